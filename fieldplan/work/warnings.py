"""What a finished plan makes look wrong: days long past or far ahead, more bags than a field can hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from fieldplan.facts import Fact, Money, Value, fact
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


def day_warnings(booking: BookingTerms, mixes: Iterable[Mix], today: date) -> tuple[Note, ...]:
    """Warnings on days that cannot be meant, held against the day of planning; days as job files have
    them.
    """
    return tuple(_days(booking, mixes, today))


def order_warnings(
    order: Iterable[OrderLine], mixes: Iterable[Mix], sown_m2: Mapping[tuple[str, str], float]
) -> tuple[Note, ...]:
    """What unlikely figures of a lot come to, in bags; and bags that are unlikely many although no figure
    was.

    Parameters
    ----------
    sown_m2
        Ground on which each lot is sown, by species and lot.
    """
    lots = {(component.species, component.lot): component for mix in mixes for component in mix.components}
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
    values: dict[str, Value] = {
        "n_bags": line.bags,
        "seed": line.species,
        "lot": line.lot,
        "ordered_kg": line.ordered_kg,
        "sown_m2": sown_m2,
    }
    if many:
        values["many"] = fact("bags-doubt/many")
    if dear and line.price is not None:
        values["dear"] = fact(
            "bags-doubt/dear",
            cost=Money(round(line.price.per_kg * line.ordered_kg), line.price.currency, exact=True),
        )
    return Note(code="bags-many", warning=True, values=values)


def _too_many(line: OrderLine, lot: Component, sown_m2: float) -> bool:
    """More bags by the acre than is likely; one or two bags of a small field are nothing to ask about."""
    return (
        line.bags > 2
        and not _SHARE_KEYS & lot.meant
        and line.bags * ACRE_M2 > tables.likely("plan.bags_per_acre", "bags/ac")[1] * sown_m2 > 0
    )


def _too_dear(line: OrderLine, lot: Component, sown_m2: float) -> bool:
    """Seed that costs more by the acre than is likely, in dollars: of other money nothing is known here."""
    if line.price is None or line.price.currency != "$" or "price" in lot.meant:
        return False
    return (
        line.price.per_kg * line.ordered_kg * ACRE_M2
        > tables.likely("plan.cost_per_acre", "$/ac")[1] * sown_m2
        > 0
    )


def _days(booking: BookingTerms, mixes: Iterable[Mix], today: date) -> Iterator[Note]:
    low, high = tables.likely("booking.start", "days")
    if (
        booking.start is not None
        and "start" not in booking.meant
        and not low <= (booking.start - today).days <= high
    ):
        yield Note(
            code="day-unlikely",
            case="start",
            warning=True,
            values={"day": booking.start.isoformat(), "away": _away(booking.start, today)},
        )
    low, high = tables.likely("booking.finish_by", "days")
    if (
        booking.finish_by is not None
        and "finish_by" not in booking.meant
        and not low <= (booking.finish_by - today).days <= high
    ):
        yield Note(
            code="day-unlikely",
            case="finish-by",
            warning=True,
            values={"day": booking.finish_by.isoformat(), "away": _away(booking.finish_by, today)},
        )
    if booking.start is not None and "days_off" not in booking.meant:
        off = [
            day
            for day in sorted(booking.dates_off)
            if day < booking.start or (day - booking.start).days > _LONG_DAYS
        ]
        if off:
            yield Note(
                code="day-unlikely",
                case="days-off",
                warning=True,
                values={
                    "days": tuple(day.isoformat() for day in off[:3]),
                    "n_off": len(off),
                    "start": booking.start.isoformat(),
                },
            )
    low, high = tables.likely("mix.component.tested", "days")
    for mix in mixes:
        for component in mix.components:
            if (
                component.tested is not None
                and "tested" not in component.meant
                and not low <= (component.tested - today).days <= high
            ):
                yield Note(
                    code="day-unlikely",
                    case="tested",
                    warning=True,
                    values={
                        "mix": mix.name,
                        "species": component.species,
                        "day": component.tested.isoformat(),
                        "away": _away(component.tested, today),
                    },
                )


def _away(day: date, today: date) -> Fact:
    """How far a day lies from another."""
    days = abs((day - today).days)
    if days >= _LONG_DAYS:
        years = days / 365.25
        return fact(
            "years-away/before" if day < today else "years-away/after",
            n_years=years,
            today=today.isoformat(),
        )
    return fact(
        "days-away/before" if day < today else "days-away/after", n_days=days, today=today.isoformat()
    )
