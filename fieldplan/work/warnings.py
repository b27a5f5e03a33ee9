"""Warnings on input that looks wrong once a plan is made: far-off days, far too many bags."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from fieldplan.facts import Fact, Money, Value, fact
from fieldplan.model.budget import OrderLine
from fieldplan.model.job import BookingTerms
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.tables.bands import likely
from fieldplan.units import ACRE_M2

_LONG_DAYS = 400
"""From so many days on, distances between days are given in years."""
_BAG_KEYS = frozenset({"rate", "purity", "germination", "hard", "dormant", "seeds_per_pound", "bag"})
"""Keys of a lot that its number of bags depends on."""


def day_warnings(booking: BookingTerms, mixes: Iterable[Mix], today: date) -> tuple[Note, ...]:
    """Warnings on days of the job file that are too far from the day of planning to be meant.

    The limits are in ``tables/plausible.csv``. A day named in ``meant`` is not questioned.
    """
    return tuple(_days(booking, mixes, today))


def order_warnings(
    order: Iterable[OrderLine], mixes: Iterable[Mix], sown_m2: Mapping[tuple[str, str], float]
) -> tuple[Note, ...]:
    """Warnings on lots whose order looks wrong: by an unlikely figure, the number of bags or the cost.

    The limits are in ``tables/plausible.csv``. A figure named in ``meant`` is not questioned.

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
    too_many, too_dear = _too_many(line, lot, sown_m2), _too_dear(line, lot, sown_m2)
    if not too_many and not too_dear and not _BAG_KEYS & set(lot.unlikely):
        return None
    values: dict[str, Value] = {
        "n_bags": line.bags,
        "seed": line.species,
        "lot": line.lot,
        "ordered_kg": line.ordered_kg,
        "sown_m2": sown_m2,
    }
    if too_many:
        values["many"] = fact("bags-doubt/many")
    if too_dear and line.price is not None:
        cost = Money(round(line.price.per_kg * line.ordered_kg), line.price.currency, exact=True)
        values["dear"] = fact("bags-doubt/dear", cost=cost)
    return Note(code="bags-many", warning=True, values=values)


def _too_many(line: OrderLine, lot: Component, sown_m2: float) -> bool:
    """Whether there are more bags per acre than is likely; one or two bags are never questioned."""
    return (
        line.bags > 2
        and not _BAG_KEYS & lot.meant
        and line.bags * ACRE_M2 > likely("plan.bags_per_acre", "bags/ac")[1] * sown_m2 > 0
    )


def _too_dear(line: OrderLine, lot: Component, sown_m2: float) -> bool:
    """Whether the seed costs more per acre than is likely; the limit is known for dollars only."""
    if line.price is None or line.price.currency != "$" or "price" in lot.meant:
        return False
    limit = likely("plan.cost_per_acre", "$/ac")[1] * sown_m2
    return line.price.per_kg * line.ordered_kg * ACRE_M2 > limit > 0


def _days(booking: BookingTerms, mixes: Iterable[Mix], today: date) -> Iterator[Note]:
    start, finish_by = booking.start, booking.finish_by
    if start and "start" not in booking.meant and _is_far(start, today, "booking.start"):
        yield Note(
            code="day-unlikely",
            case="start",
            warning=True,
            values={"day": start.isoformat(), "away": _away(start, today)},
        )
    if finish_by and "finish_by" not in booking.meant and _is_far(finish_by, today, "booking.finish_by"):
        yield Note(
            code="day-unlikely",
            case="finish-by",
            warning=True,
            values={"day": finish_by.isoformat(), "away": _away(finish_by, today)},
        )
    if start and "days_off" not in booking.meant:
        yield from _days_off(start, booking.dates_off)
    for mix in mixes:
        for component in mix.components:
            yield from _tested(mix.name, component, today)


def _tested(mix: str, component: Component, today: date) -> Iterator[Note]:
    tested = component.tested
    if tested and "tested" not in component.meant and _is_far(tested, today, "mix.component.tested"):
        yield Note(
            code="day-unlikely",
            case="tested",
            warning=True,
            values={
                "mix": mix,
                "species": component.species,
                "day": tested.isoformat(),
                "away": _away(tested, today),
            },
        )


def _is_far(day: date, today: date, key: str) -> bool:
    """Whether a day is further from the day of planning than is likely for its key."""
    low, high = likely(key, "days")
    return not low <= (day - today).days <= high


def _days_off(start: date, dates_off: Iterable[date]) -> Iterator[Note]:
    far = [day for day in sorted(dates_off) if day < start or (day - start).days > _LONG_DAYS]
    if far:
        first_days = tuple(day.isoformat() for day in far[:3])
        yield Note(
            code="day-unlikely",
            case="days-off",
            warning=True,
            values={"days": first_days, "n_off": len(far), "start": start.isoformat()},
        )


def _away(day: date, today: date) -> Fact:
    """How far a day is before or after the day of planning."""
    days = abs((day - today).days)
    planned = today.isoformat()
    if days >= _LONG_DAYS:
        years = days / 365.25
        return fact(
            "years-away/before" if day < today else "years-away/after", n_years=years, today=planned
        )
    return fact("days-away/before" if day < today else "days-away/after", n_days=days, today=planned)
