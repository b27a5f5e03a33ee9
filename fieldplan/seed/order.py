"""What each parcel gets and what to buy for a job, lot by lot, in whole bags."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from fieldplan.facts import Money, fact
from fieldplan.model.budget import Batch, BoxBudget, CarrierLine, Delivery, OrderLine, SeedBudget
from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan
from fieldplan.model.seed import Component, Mix

_Lot = tuple[str, str]
_ROUNDING = 1e-9


def deliveries(
    field_id: str, mix: Mix, budget: SeedBudget, loads_kg: Sequence[tuple[BoxBudget, float]]
) -> tuple[Delivery, ...]:
    """What a parcel gets of each lot: sown, and as overage the mix's share of it or, if more, what stays in
    the boxes.

    What a box that is swept in the end holds beyond what it sows here is no overage: it is sown on later
    parcels.

    Parameters
    ----------
    loads_kg
        Every load of the field: the box and how much of seed and carrier is tipped into it.
    """
    sown: dict[_Lot, tuple[float, float]] = {}
    for one in (component for box in budget.boxes for component in box.components):
        kg, live = sown.get((one.species, one.lot), (0.0, 0.0))
        sown[one.species, one.lot] = (kg + one.sown_bulk_kg, live + one.sown_pls_kg)
    loaded = dict.fromkeys(sown, 0.0)
    for portion in (portion for box, kg in loads_kg for portion in box.portions(kg) if not portion.carrier):
        loaded[portion.species, portion.lot] += portion.bulk_kg
    swept = {
        (component.species, component.lot)
        for box in budget.boxes
        if box.swept
        for component in box.components
    }
    beyond = {lot: loaded[lot] - kg for lot, (kg, _) in sown.items()}
    residual = {lot: 0.0 if lot in swept else max(0.0, kg) for lot, kg in beyond.items()}
    return tuple(
        Delivery(
            field_id=field_id,
            species=lot[0],
            lot=lot[1],
            sown_kg=kg,
            sown_pls_kg=live,
            overage_kg=max(mix.overage_frac * kg, residual[lot]),
            residual_kg=residual[lot],
            carried_kg=beyond[lot] if lot in swept else 0.0,
        )
        for lot, (kg, live) in sown.items()
    )


def order_lines(delivered: Iterable[Delivery], mixes: Iterable[Mix]) -> tuple[OrderLine, ...]:
    """One line a lot: sown and overage over all parcels, ordered in whole bags: bags = ceil(need / bag)."""
    lots = {(component.species, component.lot): component for mix in mixes for component in mix.components}
    sown: dict[_Lot, float] = {}
    need: dict[_Lot, float] = {}
    residual: dict[_Lot, float] = {}
    for one in delivered:
        lot = (one.species, one.lot)
        sown[lot] = sown.get(lot, 0.0) + one.sown_kg
        need[lot] = need.get(lot, 0.0) + one.need_kg
        residual[lot] = residual.get(lot, 0.0) + one.residual_kg
    in_order = sorted(sown, key=lambda lot: (lot[0].casefold(), lot[1]))
    return tuple(_line(lots[lot], sown[lot], need[lot], residual[lot]) for lot in in_order)


def _line(lot: Component, sown_kg: float, need_kg: float, residual_kg: float) -> OrderLine:
    return OrderLine(
        species=lot.species,
        lot=lot.lot,
        sown_kg=sown_kg,
        need_kg=need_kg,
        residual_kg=residual_kg,
        bag_kg=lot.bag_kg,
        bags=math.ceil(need_kg / lot.bag_kg - _ROUNDING),
        pls_frac=lot.pls_frac,
        price=lot.price,
    )


def carrier_lines(labelled: Iterable[Batch], mixes: Iterable[Mix]) -> tuple[CarrierLine, ...]:
    """How much of each carrier the job takes, fills and spares together."""
    density = {
        component.carrier.name: component.carrier.bulk_kg_per_m3
        for mix in mixes
        for component in mix.components
        if component.carrier
    }
    kg: dict[str, float] = {}
    for portion in (portion for batch in labelled for portion in batch.portions if portion.carrier):
        kg[portion.species] = kg.get(portion.species, 0.0) + portion.bulk_kg
    return tuple(CarrierLine(name=name, kg=kg[name], m3=kg[name] / density[name]) for name in sorted(kg))


def ground_by_lot(fields: Iterable[FieldPlan]) -> dict[_Lot, float]:
    """Ground drilled with each lot, in m²."""
    ground_m2: dict[_Lot, float] = {}
    for field in fields:
        for lot in {(line.species, line.lot) for line in field.deliveries}:
            ground_m2[lot] = ground_m2.get(lot, 0.0) + field.coverage.audit.drilled_m2
    return ground_m2


def overage_notes(
    fields: Iterable[FieldPlan], order: Sequence[OrderLine], mixes: Iterable[Mix], drill: Drill
) -> list[Note]:
    """For each box whose least level stays in it and is more than the overage asked for: what that costs in
    seed, bags and money.

    It is a warning where more bags are bought for a least level that nobody gave, or for seed that is more
    than what is sown.
    """
    by_name = {mix.name: mix for mix in mixes}
    box_of = {
        (mix.name, component.species, component.lot): component.box
        for mix in by_name.values()
        for component in mix.components
    }
    raised: dict[str, dict[_Lot, float]] = {}
    residual: dict[str, float] = {}
    for mix, one in ((by_name[plan.seed.mix], delivery) for plan in fields for delivery in plan.deliveries):
        box = box_of[mix.name, one.species, one.lot]
        residual[box] = residual.get(box, 0.0) + one.residual_kg
        beyond = one.overage_kg - mix.overage_frac * one.sown_kg
        if beyond > _ROUNDING * one.sown_kg:
            lots = raised.setdefault(box, {})
            lots[one.species, one.lot] = lots.get((one.species, one.lot), 0.0) + beyond
    lines = {(line.species, line.lot): line for line in order}
    return [_raised_note(drill.box(box), lots, residual[box], lines) for box, lots in raised.items()]


def _raised_note(
    box: SeedBox | None, lots: Mapping[_Lot, float], residual_kg: float, lines: Mapping[_Lot, OrderLine]
) -> Note:
    assert box is not None
    n_bags = 0
    money: dict[str, float] = {}
    for lot, kg in lots.items():
        line = lines[lot]
        more = line.bags - math.ceil((line.need_kg - kg) / line.bag_kg - _ROUNDING)
        n_bags += more
        if line.price is not None and more:
            money[line.price.currency] = (
                money.get(line.price.currency, 0.0) + more * line.bag_kg * line.price.per_kg
            )
    more_kg, sown_kg = sum(lots.values()), sum(lines[lot].sown_kg for lot in lots)
    return Note(
        code="overage-raised",
        warning=n_bags > 0 and (box.min_assumed or more_kg > sown_kg),
        values={
            "box": box.name,
            "stays_kg": residual_kg,
            "more_kg": more_kg,
            "least_level": fact("least-level/assumed" if box.min_assumed else "least-level/given"),
            "bags": fact("bags-more", n_bags=n_bags) if n_bags else fact("bags-more/none"),
            "cost": tuple(Money(amount, currency) for currency, amount in money.items()),
        },
    )
