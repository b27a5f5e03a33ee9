"""What each parcel gets and what to buy for the whole job, lot by lot, in whole bags."""

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
    """What a parcel gets of each lot: what it sows, plus overage.

    Overage is the mix's share of what is sown or, if that is more, the residual seed in the boxes. A box
    that is swept at the end leaves no residual: what it holds beyond this parcel is sown on later ones.

    Parameters
    ----------
    loads_kg
        Every load of the field: the box, and the seed and carrier poured into it, in kg.
    """
    sown: dict[_Lot, tuple[float, float]] = {}
    for component in (component for box in budget.boxes for component in box.components):
        lot = (component.species, component.lot)
        bulk_kg, pls_kg = sown.get(lot, (0.0, 0.0))
        sown[lot] = (bulk_kg + component.sown_bulk_kg, pls_kg + component.sown_pls_kg)
    loaded = dict.fromkeys(sown, 0.0)
    for portion in (portion for box, load_kg in loads_kg for portion in box.portions(load_kg)):
        if not portion.carrier:
            loaded[portion.species, portion.lot] += portion.bulk_kg
    swept = {
        (component.species, component.lot)
        for box in budget.boxes
        if box.swept
        for component in box.components
    }
    treated = {
        (component.species, component.lot)
        for box in budget.boxes
        for component in box.components
        if component.treated
    }
    beyond_kg = {lot: loaded[lot] - bulk_kg for lot, (bulk_kg, _) in sown.items()}
    residual_kg = {lot: 0.0 if lot in swept else max(0.0, kg) for lot, kg in beyond_kg.items()}
    return tuple(
        Delivery(
            field_id=field_id,
            species=lot[0],
            lot=lot[1],
            sown_kg=bulk_kg,
            sown_pls_kg=pls_kg,
            overage_kg=max(mix.overage_frac * bulk_kg, residual_kg[lot]),
            residual_kg=residual_kg[lot],
            carried_kg=beyond_kg[lot] if lot in swept else 0.0,
            treated=lot in treated,
        )
        for lot, (bulk_kg, pls_kg) in sown.items()
    )


def carrier_deliveries(
    budget: SeedBudget, loads_kg: Sequence[tuple[BoxBudget, float]], labeled: Sequence[Batch]
) -> tuple[Delivery, ...]:
    """What a parcel is brought of each carrier: what goes into its batches, spares included.

    Parameters
    ----------
    loads_kg
        Every load of the field: the box, and the seed and carrier poured into it, in kg.
    labeled
        The batches of the parcel.
    """
    needed: dict[str, float] = {}
    for batch in labeled:
        for part in batch.portions:
            if part.carrier:
                needed[part.species] = needed.get(part.species, 0.0) + part.bulk_kg
    made = []
    for name, need_kg in needed.items():
        boxes = [box for box in budget.boxes if box.carrier == name]
        sown_kg = carried_kg = residual_kg = 0.0
        for box in boxes:
            loaded_kg = sum(kg for loaded, kg in loads_kg if loaded.box == box.box) * box.carrier_frac
            sown_kg += box.carrier_kg
            if box.swept:
                carried_kg += loaded_kg - box.carrier_kg
            else:
                residual_kg += max(0.0, loaded_kg - box.carrier_kg)
        made.append(
            Delivery(
                field_id=labeled[0].field_id,
                species=name,
                lot="",
                sown_kg=sown_kg,
                sown_pls_kg=0.0,
                overage_kg=need_kg - sown_kg - carried_kg,
                residual_kg=residual_kg,
                carried_kg=carried_kg,
                carrier=True,
            )
        )
    return tuple(made)


def order_lines(delivered: Iterable[Delivery], mixes: Iterable[Mix]) -> tuple[OrderLine, ...]:
    """The order: one line for each lot, by species and lot, in whole bags.

    need = what all parcels are brought; bags = ceil(need / weight of a bag).
    """
    uses: dict[_Lot, list[Component]] = {}
    for component in (component for mix in mixes for component in mix.components):
        uses.setdefault((component.species, component.lot), []).append(component)
    sown: dict[_Lot, float] = {}
    need: dict[_Lot, float] = {}
    residual: dict[_Lot, float] = {}
    for delivery in (one for one in delivered if not one.carrier):
        lot = (delivery.species, delivery.lot)
        sown[lot] = sown.get(lot, 0.0) + delivery.sown_kg
        need[lot] = need.get(lot, 0.0) + delivery.need_kg
        residual[lot] = residual.get(lot, 0.0) + delivery.residual_kg
    in_order = sorted(sown, key=lambda lot: (lot[0].casefold(), lot[1]))
    return tuple(_line(uses[lot], sown[lot], need[lot], residual[lot]) for lot in in_order)


def _need_range_kg(uses: Sequence[Component], need_kg: float) -> tuple[float, float] | None:
    """The need by the highest and lowest published count, where all rates of a lot are in seeds.

    need × count used / published count.
    """
    counts = [(one.seeds_per_kg, one.seeds_per_kg_range) for one in uses if one.rate.basis == "live seeds"]
    if len(counts) < len(uses) or not counts:
        return None
    used, published = counts[0]
    if used is None or published is None or published[0] == published[1]:
        return None
    low, high = published
    return need_kg * used / high, need_kg * used / low


def _line(uses: Sequence[Component], sown_kg: float, need_kg: float, residual_kg: float) -> OrderLine:
    lot = uses[-1]
    return OrderLine(
        need_range_kg=_need_range_kg(uses, need_kg),
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


def carrier_lines(labeled: Iterable[Batch], mixes: Iterable[Mix]) -> tuple[CarrierLine, ...]:
    """How much of each carrier the job takes, by weight and volume, fills and spares together."""
    density = {
        component.carrier.name: component.carrier.bulk_kg_per_m3
        for mix in mixes
        for component in mix.components
        if component.carrier
    }
    kg: dict[str, float] = {}
    for portion in (portion for batch in labeled for portion in batch.portions if portion.carrier):
        kg[portion.species] = kg.get(portion.species, 0.0) + portion.bulk_kg
    return tuple(CarrierLine(name=name, kg=kg[name], m3=kg[name] / density[name]) for name in sorted(kg))


def ground_by_lot(fields: Iterable[FieldPlan]) -> dict[_Lot, float]:
    """Ground drilled with each lot, in m², by species and lot."""
    ground_m2: dict[_Lot, float] = {}
    for field in fields:
        for lot in {(line.species, line.lot) for line in field.deliveries if not line.carrier}:
            ground_m2[lot] = ground_m2.get(lot, 0.0) + field.coverage.audit.drilled_m2
    return ground_m2


def overage_notes(
    fields: Iterable[FieldPlan], order: Sequence[OrderLine], mixes: Iterable[Mix], drill: Drill
) -> list[Note]:
    """A note for each box whose residual seed is more than the overage asked for.

    It says what that costs in seed, bags and money. It is a warning if more bags must be bought and either
    the minimum level is assumed or the extra seed is more than what is sown.

    Parameters
    ----------
    order
        The order of the whole job, as `order_lines` gives it.
    """
    by_name = {mix.name: mix for mix in mixes}
    box_of = {
        (mix.name, component.species, component.lot): component.box
        for mix in by_name.values()
        for component in mix.components
    }
    raised: dict[str, dict[_Lot, float]] = {}
    residual: dict[str, float] = {}
    mix_deliveries = (
        (by_name[field.seed.mix], delivery)
        for field in fields
        for delivery in field.deliveries
        if not delivery.carrier
    )
    for mix, delivery in mix_deliveries:
        lot = (delivery.species, delivery.lot)
        box = box_of[mix.name, *lot]
        residual[box] = residual.get(box, 0.0) + delivery.residual_kg
        beyond_kg = delivery.overage_kg - mix.overage_frac * delivery.sown_kg
        if beyond_kg > _ROUNDING * delivery.sown_kg:
            lots = raised.setdefault(box, {})
            lots[lot] = lots.get(lot, 0.0) + beyond_kg
    lines = {(line.species, line.lot): line for line in order}
    return [_raised_note(drill.box(box), lots, residual[box], lines) for box, lots in raised.items()]


def _raised_note(
    box: SeedBox | None, lots: Mapping[_Lot, float], residual_kg: float, lines: Mapping[_Lot, OrderLine]
) -> Note:
    assert box is not None
    n_bags = 0
    money: dict[str, float] = {}
    for lot, beyond_kg in lots.items():
        line = lines[lot]
        more_bags = line.bags - math.ceil((line.need_kg - beyond_kg) / line.bag_kg - _ROUNDING)
        n_bags += more_bags
        if line.price is not None and more_bags:
            cost = more_bags * line.bag_kg * line.price.per_kg
            money[line.price.currency] = money.get(line.price.currency, 0.0) + cost
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
