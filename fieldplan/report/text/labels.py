"""Labels of seed: of each batch, and of each bag that is emptied out of a box."""

from __future__ import annotations

from fieldplan.model.budget import Batch, BoxChange
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.words.plain import fitted, width
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import TREATED, lot_name, parcel

LABEL_WIDTH = 66


def labels_of(plan: Plan) -> list[tuple[FieldPlan, Batch | BoxChange]]:
    """Every label: of what is emptied before a parcel, of its batches, and of what is emptied in the end."""
    every: list[tuple[FieldPlan, Batch | BoxChange]] = []
    for field in plan.fields:
        every += [
            (field, one)
            for one in field.box_changes
            if one.kind == "empty first" and (one.kg or one.treated)
        ]
        every += [(field, batch) for batch in field.batches]
    return every + [(plan.fields[-1], change) for change in plan.emptied_last]


def label_lines(plan: Plan, q: Quantities) -> list[str]:
    """The labels of a plan as lines of text."""
    every = labels_of(plan)
    scale_kg = plan.job.loading.scale_kg
    return [
        line
        for n, (field, one) in enumerate(every, start=1)
        for line in label(field, one, f"label {n} of {len(every)}", q, scale_kg)
    ]


def label(
    plan: FieldPlan, one: Batch | BoxChange, numbered: str, q: Quantities, scale_kg: float
) -> list[str]:
    """One label as lines of text in a frame.

    Parameters
    ----------
    numbered
        The number of the label, in words.
    scale_kg
        The smallest step of the scale.
    """
    lines = [
        f"{label_head(plan, one)}: {one.box} box, {label_use(one)}",
        f"mix: {one.mix}   {numbered}",
        *([TREATED] if one.treated else []),
        *label_portions(one, q, scale_kg),
    ]
    bar = "+" + "-" * LABEL_WIDTH + "+"
    inside = [line for text in lines for line in fitted(text, LABEL_WIDTH - 2)]
    return [
        f"  {bar}",
        *(f"  | {line}{' ' * (LABEL_WIDTH - 2 - width(line))} |" for line in inside),
        f"  {bar}",
    ]


def label_head(plan: FieldPlan, one: Batch | BoxChange) -> str:
    """The first words of a label: the parcel of a batch, or when the bag is filled out of a box."""
    if isinstance(one, Batch):
        return parcel(plan)
    return f"emptied {'after' if one.kind == 'empty last' else 'before'} {parcel(plan)}"


def label_use(one: Batch | BoxChange) -> str:
    """What a batch or a bag is for."""
    if isinstance(one, BoxChange):
        return "use first where this mix comes next" if one.kind == "empty first" else "left over"
    if one.spare:
        return "spare, keep dry"
    when = "start" if one.number == 1 else f"stop {one.number - 1}"
    return f"batch {one.number} of {one.of}, for the {when}"


def label_portions(one: Batch | BoxChange, q: Quantities, scale_kg: float) -> list[str]:
    """What is in a batch or a bag, lot by lot, then all of it; a bag out of a box is weighed."""
    lines = []
    for part in one.portions:
        tail = ": mix in well" if part.carrier else f"  PLS {q.weight(part.pls_kg, scale_kg)}"
        if isinstance(one, BoxChange) and part.carrier:
            tail = ""
        lines.append(f"{q.weight(part.bulk_kg, scale_kg):>11}  {lot_name(part.species, part.lot)}{tail}")
    total_kg = sum(part.bulk_kg for part in one.portions)
    seed_kg = sum(part.bulk_kg for part in one.portions if not part.carrier)
    live_kg = sum(part.pls_kg for part in one.portions)
    if len(one.portions) > 1:
        lines.append(
            f"{q.weight(total_kg, scale_kg):>11}  in all; seed {q.weight(seed_kg, scale_kg)}, PLS {q.weight(live_kg, scale_kg)}"
        )
    if isinstance(one, BoxChange):
        lines.append("reckoned; weighed: ____________   date: ____________")
        if one.treated:
            lines.append("what to do with it: see the label and local rules")
    return lines
