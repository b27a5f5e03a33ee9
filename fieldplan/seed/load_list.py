"""The load list: what the truck takes from the seed house on each trip, in bags, and where it puts it down.

Loads ride in the order in which they are needed. A day has as few trips as its loads allow: each trip takes
the next loads until one more would be over the limit.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from fieldplan.model.budget import Batch, OrderLine, Portion
from fieldplan.model.job import LoadingTerms
from fieldplan.model.loads import Drop, LoadList, Lot, LotAccount, Taken, Trip
from fieldplan.model.plan import FieldPlan

_MIN_KG = 1e-6
_ROUNDING = 1e-9
MAX_PARTS = 1000
"""A load that so many trips cannot take is left whole: the limit is no truck's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnClock:
    """A field with the time on the clock of the job at which it is begun, box changes before it included."""

    plan: FieldPlan
    start_s: float


def load_list(
    fields: Sequence[OnClock],
    order: Iterable[OrderLine],
    carriers_kg_per_m3: Mapping[str, float],
    terms: LoadingTerms,
    day_s: float,
) -> LoadList:
    """The trips of a job, and where all of each lot goes.

    Parameters
    ----------
    fields
        The drilled fields in the order they are sown.
    carriers_kg_per_m3
        The bulk weight of each carrier by its name.
    day_s
        The length of a working day: a load needed at the time t is brought on day ⌊t / day_s⌋ + 1.
    """
    bags_kg = {(line.species, line.lot): line.bag_kg for line in order}
    bags_kg |= {(name, ""): terms.bale_kg for name in carriers_kg_per_m3}
    drops = [drop for field in fields for drop in _drops(field, bags_kg, terms)]
    touched: dict[Lot, float] = {}
    trips: list[Trip] = []
    for day, of_day in groupby(drops, key=lambda drop: math.floor(drop.start_s / day_s) + 1):
        for together in _packed(of_day, bags_kg, terms):
            taken = tuple(_taken(together, bags_kg, carriers_kg_per_m3, touched))
            trips.append(Trip(number=len(trips) + 1, day=day, drops=together, taken=taken))
    accounts = tuple(_accounts([one.plan for one in fields], trips, order, terms.bale_kg))
    return LoadList(limit_kg=terms.limit_kg, trips=tuple(trips), accounts=accounts)


def _drops(one: OnClock, bags_kg: Mapping[Lot, float], terms: LoadingTerms) -> Iterator[Drop]:
    """The batches of a field in the order in which they are needed; the spares come with the last."""
    plan = one.plan
    begins = {timed.start_s for timed in plan.time.legs if timed.leg.kind == "refill"}
    stops_s = [0.0, *sorted(begins)]
    boxes = {box.box: i for i, box in enumerate(plan.seed.boxes)}
    needed = sorted(plan.batches, key=lambda batch: (batch.spare, batch.number, boxes[batch.box]))
    last_stop = max((batch.number - 1 for batch in plan.batches if not batch.spare), default=0)
    for batch in needed:
        stop = last_stop if batch.spare else batch.number - 1
        yield _drop(batch, stop, one.start_s + stops_s[stop], bags_kg, terms)


def _drop(
    batch: Batch, stop: int, start_s: float, bags_kg: Mapping[Lot, float], terms: LoadingTerms
) -> Drop:
    return Drop(
        field_id=batch.field_id,
        mix=batch.mix,
        box=batch.box,
        stop=stop,
        spare=batch.spare,
        portions=batch.portions,
        start_s=start_s,
        gross_kg=_gross_kg(batch.portions, bags_kg, terms),
    )


def _gross_kg(portions: Iterable[Portion], bags_kg: Mapping[Lot, float], terms: LoadingTerms) -> float:
    """Weight with bags: each portion by itself in as many as it would fill."""
    return sum(
        part.bulk_kg
        + terms.empty_bag_kg * math.ceil(part.bulk_kg / bags_kg[part.species, part.lot] - _ROUNDING)
        for part in portions
    )


def _packed(
    drops: Iterable[Drop], bags_kg: Mapping[Lot, float], terms: LoadingTerms
) -> Iterator[tuple[Drop, ...]]:
    """Drops in the fewest trips that keep their order and the limit."""
    limit_kg = math.inf if terms.limit_kg is None else terms.limit_kg * (1 + _ROUNDING)
    aboard: list[Drop] = []
    for drop in (part for whole in drops for part in _in_parts(whole, limit_kg, bags_kg, terms)):
        if aboard and sum(one.gross_kg for one in aboard) + drop.gross_kg > limit_kg:
            yield tuple(aboard)
            aboard = []
        aboard.append(drop)
    if aboard:
        yield tuple(aboard)


def _in_parts(
    drop: Drop, limit_kg: float, bags_kg: Mapping[Lot, float], terms: LoadingTerms
) -> Iterator[Drop]:
    """A drop as it is or, if no trip could take it, in equal parts."""
    for n in range(1, MAX_PARTS):
        portions = tuple(
            replace(part, bulk_kg=part.bulk_kg / n, pls_kg=part.pls_kg / n) for part in drop.portions
        )
        gross_kg = _gross_kg(portions, bags_kg, terms)
        if gross_kg <= limit_kg:
            for k in range(1, n + 1):
                yield replace(drop, portions=portions, gross_kg=gross_kg, part=k, parts=n)
            return
    yield drop


def _taken(
    drops: Iterable[Drop],
    bags_kg: Mapping[Lot, float],
    carriers_kg_per_m3: Mapping[str, float],
    touched: dict[Lot, float],
) -> Iterator[Taken]:
    """What a trip takes of each lot for each parcel; ``touched`` counts what earlier trips took."""
    sums: dict[tuple[str, Lot], tuple[float, Portion]] = {}
    for drop in drops:
        for part in drop.portions:
            key = (drop.field_id, (part.species, part.lot))
            sums[key] = (sums.get(key, (0.0, part))[0] + part.bulk_kg, part)
    for (field_id, lot), (kg, part) in sums.items():
        before_kg = touched.get(lot, 0.0)
        touched[lot] = before_kg + kg
        yield _in_bags(
            Taken(
                field_id=field_id,
                species=part.species,
                lot=part.lot,
                kg=kg,
                bag_kg=bags_kg[lot],
                first_bag=0,
                from_open_kg=0.0,
                n_whole=0,
                opened_kg=0.0,
                carrier=part.carrier,
                treated=part.treated,
                volume_m3=kg / carriers_kg_per_m3[part.species] if part.carrier else None,
            ),
            before_kg,
        )


def _in_bags(taken: Taken, before_kg: float) -> Taken:
    """What is taken of a lot in bags, with the open bag used up first.

    Parameters
    ----------
    before_kg
        What was taken of the lot before.
    """
    bag_kg = taken.bag_kg
    n_touched = math.ceil(before_kg / bag_kg - _ROUNDING)
    open_kg = max(0.0, n_touched * bag_kg - before_kg)
    if open_kg < _MIN_KG:
        open_kg = 0.0
    from_open_kg = min(open_kg, taken.kg)
    rest_kg = taken.kg - from_open_kg
    n_whole = math.floor(rest_kg / bag_kg + _ROUNDING)
    opened_kg = max(0.0, rest_kg - n_whole * bag_kg)
    return replace(
        taken,
        first_bag=n_touched if from_open_kg else n_touched + 1,
        from_open_kg=from_open_kg,
        n_whole=n_whole,
        opened_kg=opened_kg if opened_kg > _MIN_KG else 0.0,
    )


def _accounts(
    fields: Sequence[FieldPlan], trips: Iterable[Trip], order: Iterable[OrderLine], bale_kg: float
) -> Iterator[LotAccount]:
    """Where all of each lot goes, seed in the order of the order, then carriers."""
    brought: dict[Lot, float] = {}
    loaded: dict[Lot, float] = {}
    carriers: dict[Lot, None] = {}
    for drop in (drop for trip in trips for drop in trip.drops):
        for part in drop.portions:
            lot = (part.species, part.lot)
            brought[lot] = brought.get(lot, 0.0) + part.bulk_kg
            if not drop.spare:
                loaded[lot] = loaded.get(lot, 0.0) + part.bulk_kg
            if part.carrier:
                carriers[lot] = None
    sown, left, swept = _sown(fields), _left(fields), _swept(fields)
    ordered = {(line.species, line.lot): line.ordered_kg for line in order}
    ordered |= {lot: math.ceil(brought[lot] / bale_kg - _ROUNDING) * bale_kg for lot in carriers}
    for lot, ordered_kg in ordered.items():
        yield LotAccount(
            species=lot[0],
            lot=lot[1],
            ordered_kg=ordered_kg,
            brought_kg=brought.get(lot, 0.0),
            loaded_kg=loaded.get(lot, 0.0),
            sown_kg=sown.get(lot, 0.0),
            left_kg=left.get(lot, 0.0),
            swept_kg=swept.get(lot, 0.0),
            carrier=lot in carriers,
        )


def _sown(fields: Iterable[FieldPlan]) -> dict[Lot, float]:
    sown: dict[Lot, float] = {}
    for box in (box for plan in fields for box in plan.seed.boxes):
        for part in box.components:
            lot = (part.species, part.lot)
            sown[lot] = sown.get(lot, 0.0) + part.sown_bulk_kg
        if box.carrier_kg:
            sown[box.carrier, ""] = sown.get((box.carrier, ""), 0.0) + box.carrier_kg
    return sown


def _left(fields: Iterable[FieldPlan]) -> dict[Lot, float]:
    """What is in the boxes after the last field that uses each."""
    last = {
        box.box: box.portions(plan.supply.left_kg[box.box]) for plan in fields for box in plan.seed.boxes
    }
    return _summed((part, 1) for portions in last.values() for part in portions)


def _swept(fields: Iterable[FieldPlan]) -> dict[Lot, float]:
    """What was emptied into bags, less what was poured back."""
    signs = {"empty first": 1, "tip back": -1}
    changes = (change for plan in fields for change in plan.box_changes if change.kind in signs)
    return _summed((part, signs[change.kind]) for change in changes for part in change.portions)


def _summed(parts: Iterable[tuple[Portion, int]]) -> dict[Lot, float]:
    sums: dict[Lot, float] = {}
    for part, sign in parts:
        sums[part.species, part.lot] = sums.get((part.species, part.lot), 0.0) + sign * part.bulk_kg
    return sums
