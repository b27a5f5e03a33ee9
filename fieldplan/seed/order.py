"""What to buy for a job, lot by lot, in whole bags."""

from __future__ import annotations

import math
from collections.abc import Iterable

from fieldplan.model.seed import Mix, OrderLine, SeedBudget

_Lot = tuple[str, str, float]


def order_lines(budgets: Iterable[tuple[Mix, SeedBudget]]) -> tuple[OrderLine, ...]:
    """One line a lot: sown over all fields, need with the overage of its mix, ordered in whole bags.

    need = sown × (1 + overage); bags = ceil(need / bag).
    """
    sown: dict[_Lot, float] = {}
    need: dict[_Lot, float] = {}
    for mix, budget in budgets:
        bag_of = {(one.species, one.lot): one.bag_kg for one in mix.components}
        for component in (one for box in budget.boxes for one in box.components):
            lot = (component.species, component.lot, bag_of[component.species, component.lot])
            sown[lot] = sown.get(lot, 0.0) + component.sown_bulk_kg
            need[lot] = need.get(lot, 0.0) + component.sown_bulk_kg * (1 + mix.overage_frac)
    return tuple(
        OrderLine(
            species=species, lot=lot, sown_kg=sown[species, lot, bag], need_kg=need[species, lot, bag], bag_kg=bag,
            bags=math.ceil(need[species, lot, bag] / bag - 1e-9),
        )
        for species, lot, bag in sorted(sown)
    )  # fmt: skip
