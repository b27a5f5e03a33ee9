"""What to pour into the boxes of a field, stop by stop."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from operator import itemgetter

from fieldplan.model.budget import Portion
from fieldplan.model.plan import MIN_KG, FieldPlan, Plan, StopOnClock
from fieldplan.model.work import Refill
from fieldplan.report.words.hours import clock_in_parts
from fieldplan.report.words.places import place_of, start_of
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import from_bags, lot_name

_NOTHING = [["", "nothing: the boxes hold enough", "", ""]]


def load_rows(plan: Plan, field: FieldPlan, q: Quantities) -> list[list[str]]:
    """What to pour in, stop by stop; stops in a row with the same load are joined, spares come last.

    Parameters
    ----------
    plan
        The plan of the whole job.
    field
        One of its fields.
    q
        The reader's units.

    Returns
    -------
    list of list of str
        When, box, seed, mass and how many bags it takes. When and box stand in their first row only.
    """
    if not field.is_drilled:
        return []
    loads = [(start_of(plan, field), _load(plan, field, field.supply.first_load_kg, q))]
    by_load = [
        (_load(plan, field, stop.load_kg, q), stop, on_clock)
        for stop, on_clock in zip(field.supply.refills, field.at_stops, strict=True)
    ]
    for rows, same in groupby(by_load, key=itemgetter(0)):
        loads.append((_stops(field, [(stop, on_clock) for _, stop, on_clock in same], q), rows))
    spares = [
        row
        for batch in field.batches
        if batch.spare
        for row in _portion_rows(plan, batch.box, batch.portions, q)
    ]
    loads.append(("spare, keep dry", spares))
    return [[when if k == 0 else "", *row] for when, rows in loads for k, row in enumerate(rows)]


def _load(plan: Plan, field: FieldPlan, load_kg: Mapping[str, float], q: Quantities) -> list[list[str]]:
    """The rows of one stop, box by box."""
    rows = [
        row
        for box in field.seed.boxes
        if load_kg[box.box] > MIN_KG
        for row in _portion_rows(plan, box.box, box.portions(load_kg[box.box]), q)
    ]
    return rows or _NOTHING


def _portion_rows(plan: Plan, box: str, portions: Iterable[Portion], q: Quantities) -> Iterator[list[str]]:
    """A row for each lot; the box stands in the first only, with what goes into it in all where that is of several."""
    portions = tuple(portions)
    bag_kg = {(line.species, line.lot): line.bag_kg for line in plan.order}
    scale_kg = plan.job.loading.scale_kg
    if len(portions) > 1:
        box = f"{box}, {q.weight(sum(portion.bulk_kg for portion in portions), scale_kg)}"
    for portion in portions:
        bags = from_bags(portion, bag_kg.get((portion.species, portion.lot)), q, scale_kg)
        name = lot_name(portion.species, portion.lot) + (", TREATED" if portion.treated else "")
        yield [box, plain(name), q.weight(portion.bulk_kg, scale_kg), bags]
        box = ""


def _stops(field: FieldPlan, stops: Sequence[tuple[Refill, StopOnClock]], q: Quantities) -> str:
    """Stops with the same load, and where, when and after how much ground each is made."""
    each = [
        (
            f"{place_of(field, stop.leg)}, at {clock_in_parts([on_clock.start_s])[1]}",
            f"{q.area(on_clock.drilled_m2, 1)} {q.area_unit} done, {clock_in_parts([on_clock.left_s])[1]} left",
        )
        for stop, on_clock in stops
    ]
    if len(stops) == 1:
        return f"stop {stops[0][0].stop}, {'; '.join(each[0])}"
    first, last = stops[0][0].stop, stops[-1][0].stop
    listed = "; ".join(
        f"{stop.stop} {', '.join(said)}" for (stop, _), said in zip(stops, each, strict=True)
    )
    return f"stops {first} to {last}: {listed}"
