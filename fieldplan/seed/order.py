"""What each parcel gets and what to buy for a job, lot by lot, in whole bags."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from fieldplan.model.budget import Batch, BoxBudget, CarrierLine, Delivery, OrderLine, SeedBudget
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix

_Lot = tuple[str, str]
_ROUNDING = 1e-9


def deliveries(field_id: str, mix: Mix, budget: SeedBudget, loads_kg: Sequence[tuple[BoxBudget, float]]) -> tuple[Delivery, ...]:
    """What a parcel gets of each lot: sown, and as overage the mix's share of it or, if more, what stays in the boxes.

    Parameters
    ----------
    loads_kg
        Every load of the field: the box and how much of seed and carrier is tipped into it.
    """
    sown: dict[_Lot, tuple[float, float]] = {}
    for one in (one for box in budget.boxes for one in box.components):
        kg, live = sown.get((one.species, one.lot), (0.0, 0.0))
        sown[one.species, one.lot] = (kg + one.sown_bulk_kg, live + one.sown_pls_kg)
    loaded = dict.fromkeys(sown, 0.0)
    for portion in (portion for box, kg in loads_kg for portion in box.portions(kg) if not portion.carrier):
        loaded[portion.species, portion.lot] += portion.bulk_kg
    return tuple(
        Delivery(
            field_id=field_id, species=lot[0], lot=lot[1], sown_kg=kg, sown_pls_kg=live,
            overage_kg=max(mix.overage_frac * kg, loaded[lot] - kg), stays_kg=max(0.0, loaded[lot] - kg),
        )
        for lot, (kg, live) in sown.items()
    )  # fmt: skip


def order_lines(delivered: Iterable[Delivery], mixes: Iterable[Mix]) -> tuple[OrderLine, ...]:
    """One line a lot: sown and overage over all parcels, ordered in whole bags: bags = ceil(need / bag)."""
    lots = {(one.species, one.lot): one for mix in mixes for one in mix.components}
    sown: dict[_Lot, float] = {}
    need: dict[_Lot, float] = {}
    stays: dict[_Lot, float] = {}
    for one in delivered:
        lot = (one.species, one.lot)
        sown[lot] = sown.get(lot, 0.0) + one.sown_kg
        need[lot] = need.get(lot, 0.0) + one.need_kg
        stays[lot] = stays.get(lot, 0.0) + one.stays_kg
    in_order = sorted(sown, key=lambda lot: (lot[0].casefold(), lot[1]))
    return tuple(_line(lots[lot], sown[lot], need[lot], stays[lot]) for lot in in_order)


def _line(lot: Component, sown_kg: float, need_kg: float, stays_kg: float) -> OrderLine:
    return OrderLine(
        species=lot.species, lot=lot.lot, sown_kg=sown_kg, need_kg=need_kg, stays_kg=stays_kg, bag_kg=lot.bag_kg,
        bags=math.ceil(need_kg / lot.bag_kg - _ROUNDING), pls_frac=lot.pls_frac, price=lot.price,
    )  # fmt: skip


def carrier_lines(labelled: Iterable[Batch], mixes: Iterable[Mix]) -> tuple[CarrierLine, ...]:
    """How much of each carrier the job takes, fills and spares together."""
    density = {one.carrier.name: one.carrier.bulk_kg_per_m3 for mix in mixes for one in mix.components if one.carrier}
    kg: dict[str, float] = {}
    for portion in (portion for batch in labelled for portion in batch.portions if portion.carrier):
        kg[portion.species] = kg.get(portion.species, 0.0) + portion.bulk_kg
    return tuple(CarrierLine(name=name, kg=kg[name], m3=kg[name] / density[name]) for name in sorted(kg))


def overage_notes(delivered: Iterable[Delivery], mixes: Mapping[str, Mix], mix_of: Mapping[str, str]) -> list[Note]:
    """Say so where what stays in a box is more than the overage asked for, so that more is ordered.

    ``mix_of`` names the mix of each field.
    """
    raised: dict[_Lot, float] = {}
    for one in delivered:
        beyond = one.overage_kg - mixes[mix_of[one.field_id]].overage_frac * one.sown_kg
        if beyond > _ROUNDING * one.sown_kg:
            raised[one.species, one.lot] = raised.get((one.species, one.lot), 0.0) + beyond
    if not raised:
        return []
    lots = "; ".join(f"{species}{f' ({lot})' if lot else ''} {{lot{n}_kg}}" for n, (species, lot) in enumerate(raised, start=1))
    values = {f"lot{n}_kg": kg for n, kg in enumerate(raised.values(), start=1)}
    return [Note(code="overage-raised", values=values, text=(
        "The least level that stays in a box is more than the overage asked for, so more is ordered than that: "
        f"{lots}. It comes out again when the box is emptied."))]  # fmt: skip
