"""Where the seed runs out if a drill sows heavy: more than it was set for."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from fieldplan.model.budget import BoxBudget, OrderLine, Portion, RunOut, SeedEnd
from fieldplan.model.loads import Lot
from fieldplan.model.plan import FieldPlan
from fieldplan.tables import read as tables

_ROUNDING = 1e-9


def run_outs(
    sown: Iterable[tuple[str, BoxBudget, float]],
    order: Sequence[OrderLine],
    fields: Sequence[FieldPlan] = (),
) -> tuple[RunOut, ...]:
    """How far one fill and all seed of the job go, for each box of each mix and each published case.

    Seed lasts for planned area × (ordered − residual) / (planned seed × (1 + heavy)); the scarcest lot of
    the box decides. A lot that several mixes share is divided as planned. The cases are the rows "sows
    heavy" of ``tables/machinery.csv``, each with its source.

    Parameters
    ----------
    sown
        Mix, box and drilled area, in m², of every field.
    order
        What is ordered of each lot.
    fields
        The fields in the order they are sown, to find where what is brought there ends.
    """
    boxes: dict[tuple[str, str], tuple[BoxBudget, float]] = {}
    for mix, box, drilled_m2 in sown:
        area_m2 = boxes.get((mix, box.box), (box, 0.0))[1]
        boxes[mix, box.box] = (box, area_m2 + drilled_m2)
    lasts_frac = {
        (line.species, line.lot): (line.ordered_kg - line.residual_kg) / line.sown_kg
        for line in order
        if line.sown_kg > 0
    }
    heavy = tables.machinery_values("sows heavy", "%")
    ends = {percent / 100: _ends(fields, percent / 100, lasts_frac) for percent, _, _ in heavy}
    return tuple(
        RunOut(
            mix=mix,
            box=box_name,
            heavy_frac=(frac := percent / 100),
            found=found,
            source=source,
            planned_m2=area_m2,
            fill_m2=box.area_per_fill_m2 / (1 + frac),
            seed_m2=area_m2
            * min(lasts_frac[component.species, component.lot] for component in box.components)
            / (1 + frac),
            ends=ends[frac].get((mix, box_name)),
        )
        for (mix, box_name), (box, area_m2) in boxes.items()
        for percent, found, source in heavy
    )


def _ends(
    fields: Sequence[FieldPlan], heavy_frac: float, lasts_frac: Mapping[Lot, float]
) -> dict[tuple[str, str], SeedEnd]:
    """Where seed ends first, by mix and box, if every field is sown heavier by a fraction.

    At each parcel there is what earlier ones left of the same contents, in the box and as spare, and what is
    brought there. What must stay in a box that is not swept is not sown.
    """
    at_hand: dict[tuple[str, object], dict[Lot, float]] = {}
    ends: dict[tuple[str, str], SeedEnd] = {}
    for field in fields:
        for box in field.seed.boxes:
            stock = at_hand.setdefault((box.box, box.contents), {})
            for batch in field.batches:
                if batch.box == box.box:
                    _add(stock, batch.portions)
            stays = {} if box.swept else _by_lot(box.portions(field.supply.left_kg[box.box]))
            asked = _by_lot(box.portions((box.sown_bulk_kg + box.carrier_kg) * (1 + heavy_frac)))
            lasts = {
                lot: (stock.get(lot, 0.0) - stays.get(lot, 0.0)) / kg for lot, kg in asked.items() if kg
            }
            scarcest = min(lasts, key=lambda lot: (round(lasts[lot], 9), lasts_frac.get(lot, math.inf)))
            sown_frac = min(1.0, max(0.0, lasts[scarcest]))
            for lot, kg in asked.items():
                stock[lot] = stock.get(lot, 0.0) - kg * sown_frac
            if sown_frac < 1 - _ROUNDING:
                drilled_m2 = field.coverage.audit.drilled_m2
                end = SeedEnd(
                    field_id=field.field.field_id,
                    species=scarcest[0],
                    lot=scarcest[1],
                    sown_m2=drilled_m2 * sown_frac,
                    of_m2=drilled_m2,
                )
                ends.setdefault((field.seed.mix, box.box), end)
    return ends


def _by_lot(portions: Iterable[Portion]) -> dict[Lot, float]:
    return {(part.species, part.lot): part.bulk_kg for part in portions}


def _add(stock: dict[Lot, float], portions: Iterable[Portion]) -> None:
    for lot, kg in _by_lot(portions).items():
        stock[lot] = stock.get(lot, 0.0) + kg
