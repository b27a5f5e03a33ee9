"""What to pour into the boxes of a field, stop by stop."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby
from operator import itemgetter

from fieldplan.model.budget import Portion
from fieldplan.model.plan import MIN_KG, FieldPlan, Plan
from fieldplan.model.work import Refill
from fieldplan.report.words.places import last_sown, place_of, start_of
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
    by_load = [(_load(plan, field, stop.load_kg, q), stop) for stop in field.supply.refills]
    for rows, same in groupby(by_load, key=itemgetter(0)):
        loads.append((_stops(field, [stop for _, stop in same]), rows))
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
    """A row for each lot; the box stands in the first only."""
    bag_kg = {(line.species, line.lot): line.bag_kg for line in plan.order}
    scale_kg = plan.job.loading.scale_kg
    for portion in portions:
        bags = from_bags(portion, bag_kg.get((portion.species, portion.lot)), q, scale_kg)
        name = lot_name(portion.species, portion.lot) + (", TREATED" if portion.treated else "")
        yield [box, plain(name), q.weight(portion.bulk_kg, scale_kg), bags]
        box = ""


def _stops(field: FieldPlan, stops: list[Refill]) -> str:
    """Stops with the same load, and the passes or headland segments that each comes in or after."""
    if len(stops) == 1:
        return f"stop {stops[0].stop}, {place_of(field, stops[0].leg)}"
    before = [last_sown(field, stop.leg) for stop in stops]
    places = []
    for kind, singular, plural in (
        ("headland", "headland segment", "headland segments"),
        ("pass", "pass", "passes"),
    ):
        for goes_on, where in ((False, "after"), (True, "in")):
            numbers = [str(last.number) for last in before if (last.kind, last.goes_on) == (kind, goes_on)]
            if numbers:
                places.append(f"{where} {plural if len(numbers) > 1 else singular} {', '.join(numbers)}")
    return f"stops {stops[0].stop} to {stops[-1].stop}, {' and '.join(places)} as driven"
