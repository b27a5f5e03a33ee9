"""How full the boxes are, from pouring to pouring."""

from __future__ import annotations

from fieldplan.model.plan import FieldPlan


def highest_levels_kg(field: FieldPlan) -> dict[str, float]:
    """The most that is ever in each box on a field, in kg of seed and carrier, right after it is poured in.

    Level after a pouring = what the box held before the field + all poured in so far − all sown so far.
    """
    sown_m2 = [0.0]
    for leg in field.supply.legs:
        if leg.kind == "refill":
            sown_m2.append(sown_m2[-1])
        elif leg.sown:
            sown_m2[-1] += leg.length_m * field.coverage.drill_width_m
    loads = [field.supply.first_load_kg, *(refill.load_kg for refill in field.supply.refills)]
    held_kg = {
        change.box: change.kg for change in field.box_changes if change.kind in ("in the box", "tip back")
    }
    highest = {}
    for box in field.seed.boxes:
        poured_kg, levels = held_kg.get(box.box, 0.0), []
        for load, before_m2 in zip(loads, [0.0, *sown_m2], strict=False):
            poured_kg += load[box.box]
            levels.append(poured_kg - before_m2 * box.load_kg_per_m2)
        highest[box.box] = max(levels)
    return highest
