"""What a finished plan makes look wrong: days long past or far ahead, more bags than a field can hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from fieldplan.model.budget import OrderLine
from fieldplan.model.job import BookingTerms
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.tables import read as tables
from fieldplan.units import ACRE_M2

_LONG_DAYS = 400
"""From so many days on, a day is told as years away."""
_SHARE_KEYS = frozenset({"rate", "purity", "germination", "hard", "dormant", "seeds_per_pound", "bag"})
"""Figures of a lot on which the number of its bags rests."""


def day_doubts(booking: BookingTerms, mixes: Iterable[Mix], today: date) -> tuple[Note, ...]:
    """Warnings on days that cannot be meant, held against the day of planning."""
    return tuple(_days(booking, mixes, today))


def order_doubts(order: Iterable[OrderLine], mixes: Iterable[Mix], sown_m2: Mapping[tuple[str, str], float]) -> tuple[Note, ...]:
    """What unlikely figures of a lot come to, in bags; and bags that are unlikely many although no figure was.

    Parameters
    ----------
    sown_m2
        Ground on which each lot is sown, by species and lot.
    """
    lots = {(one.species, one.lot): one for mix in mixes for one in mix.components}
    return tuple(
        note
        for line in order
        if (lot := lots.get((line.species, line.lot)))
        and (note := _on_bags(line, lot, sown_m2.get((line.species, line.lot), 0.0)))
    )


def _on_bags(line: OrderLine, lot: Component, sown_m2: float) -> Note | None:
    many, dear = _too_many(line, lot, sown_m2), _too_dear(line, lot, sown_m2)
    if not many and not dear and not _SHARE_KEYS & set(lot.unlikely):
        return None
    said = f"{line.species}{f' ({line.lot})' if line.lot else ''}"
    counted = f"{line.bags:,} bag{'' if line.bags == 1 else 's'} of {said} {'is' if line.bags == 1 else 'are'}"
    text = f"As it stands, {counted} to be ordered, {{ordered_kg}} for {{sown_m2}}."
    if many:
        text += ' That is many bags for so much ground: are rate and bag right? If so, say so with the line  meant = ["bag"]  below its [[mix.component]].'
    if dear and line.price is not None:
        cost = line.price.per_kg * line.ordered_kg
        text += f' They cost ${cost:,.0f}: is the price right? If so, say so with the line  meant = ["price"]  below its [[mix.component]].'
    return Note(code="bags-many", warning=True, told=text, values={"ordered_kg": line.ordered_kg, "sown_m2": sown_m2})


def _too_many(line: OrderLine, lot: Component, sown_m2: float) -> bool:
    """More bags by the acre than is likely; one or two bags of a small field are nothing to ask about."""
    return line.bags > 2 and not _SHARE_KEYS & lot.meant and line.bags * ACRE_M2 > _band("plan.bags_per_acre")[1] * sown_m2 > 0


def _too_dear(line: OrderLine, lot: Component, sown_m2: float) -> bool:
    """Seed that costs more by the acre than is likely, in dollars: of other money nothing is known here."""
    if line.price is None or line.price.currency != "$" or "price" in lot.meant:
        return False
    return line.price.per_kg * line.ordered_kg * ACRE_M2 > _band("plan.cost_per_acre")[1] * sown_m2 > 0


def _days(booking: BookingTerms, mixes: Iterable[Mix], today: date) -> Iterator[Note]:
    meant = set(booking.meant)
    for key in ("start", "finish_by"):
        day = getattr(booking, key)
        low, high = _band(f"booking.{key}")
        if day is not None and key not in meant and not low <= (day - today).days <= high:
            yield _warning("day-unlikely", f"booking: {key} = {day} is {_away(day, today)}. "
                           f'If it is right, say so with the line  meant = ["{key}"]  below [booking]; the day of planning is set with --today.')  # fmt: skip
    if booking.start is not None and "days_off" not in meant:
        off = [day for day in sorted(booking.dates_off) if day < booking.start or (day - booking.start).days > _LONG_DAYS]
        if off:
            shown = ", ".join(f"{day}" for day in off[:3])
            yield _warning("day-unlikely", f"booking: days_off has {shown}, which {'is' if len(off) == 1 else 'are'} not within a year from start = "
                           f'{booking.start}. If that is right, say so with the line  meant = ["days_off"]  below [booking].')  # fmt: skip
    low, high = _band("mix.component.tested")
    for mix in mixes:
        for one in mix.components:
            if one.tested is not None and "tested" not in one.meant and not low <= (one.tested - today).days <= high:
                yield _warning("day-unlikely", f"mix {mix.name}, component {one.species}: tested = {one.tested} is {_away(one.tested, today)}. "
                               'If it is right, say so with the line  meant = ["tested"]  below its [[mix.component]].')  # fmt: skip


def _away(day: date, today: date) -> str:
    """How far a day lies from another, in words."""
    days = abs((day - today).days)
    far = f"{days / 365.25:.1f} years" if days >= _LONG_DAYS else f"{days} day{'' if days == 1 else 's'}"
    return f"{far} {'before' if day < today else 'after'} the day of planning, {today}"


def _band(key: str) -> tuple[float, float]:
    band = tables.band(key)
    assert band is not None, key
    return band.likely


def _warning(code: str, text: str) -> Note:
    return Note(code=code, told=text, warning=True)
