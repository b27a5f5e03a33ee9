"""Where the seed runs out if a drill sows heavy: more than it was set for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fieldplan.model.budget import BoxBudget, OrderLine, RunOut
from fieldplan.tables import read as tables


def run_outs(
    sown: Iterable[tuple[str, BoxBudget, float]], order: Sequence[OrderLine]
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
        )
        for (mix, box_name), (box, area_m2) in boxes.items()
        for percent, found, source in heavy
    )
