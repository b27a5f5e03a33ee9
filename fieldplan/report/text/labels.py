"""Labels of seed: of each batch, and of each bag that is emptied out of a box."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.model.budget import Batch, BoxChange
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.words.plain import fitted, width
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import TREATED, lot_name, parcel

LABEL_WIDTH = 66


@dataclass(frozen=True, slots=True)
class Label:
    """One label: of a batch of a parcel, or of a bag that is emptied out of a box before it or in the end."""

    field: FieldPlan
    of: Batch | BoxChange
    comes_again: bool = False
    """Whether seed of an emptied bag is poured back on a later parcel."""

    @property
    def head(self) -> str:
        """The parcel of a batch, or when the bag is filled out of a box."""
        name = parcel(self.field)
        if isinstance(self.of, Batch):
            return name
        return f"emptied {'after' if self.of.kind == 'empty last' else 'before'} {name}"

    @property
    def use(self) -> str:
        """What the batch or bag is for."""
        if isinstance(self.of, BoxChange):
            return "use first where this mix comes next" if self.comes_again else "left over, keep dry"
        if self.of.spare:
            return "spare, keep dry"
        when = "the start" if self.of.number == 1 else f"stop {self.of.number - 1}"
        return f"batch {self.of.number} of {self.of.of}, for {when}"


def labels_of(plan: Plan) -> list[Label]:
    """Every label: of what is emptied before a parcel, of its batches, and of what is emptied in the end."""
    labels: list[Label] = []
    for k, field in enumerate(plan.fields):
        later = {
            (change.box, change.mix)
            for after in plan.fields[k + 1 :]
            for change in after.box_changes
            if change.kind == "tip back"
        }
        labels += [
            Label(field, change, (change.box, change.mix) in later)
            for change in field.box_changes
            if change.kind == "empty first" and (change.kg or change.treated)
        ]
        labels += [Label(field, batch) for batch in field.batches]
    return labels + [Label(plan.fields[-1], change) for change in plan.emptied_last]


def label_lines(plan: Plan, q: Quantities) -> list[str]:
    """The labels of a plan as lines of text."""
    every = labels_of(plan)
    scale_kg = plan.job.loading.scale_kg
    return [
        line
        for n, one in enumerate(every, start=1)
        for line in label(one, f"label {n} of {len(every)}", q, scale_kg)
    ]


def label(one: Label, numbered: str, q: Quantities, scale_kg: float) -> list[str]:
    """One label as lines of text in a frame.

    Parameters
    ----------
    numbered
        The number of the label, in words.
    scale_kg
        The smallest step of the scale.
    """
    lines = [
        f"{one.head}: {one.of.box} box, {one.use}",
        f"mix: {one.of.mix}   {numbered}",
        *([TREATED] if one.of.treated else []),
        *label_portions(one.of, q, scale_kg),
    ]
    bar = "+" + "-" * LABEL_WIDTH + "+"
    inside = [line for text in lines for line in fitted(text, LABEL_WIDTH - 2)]
    return [
        f"  {bar}",
        *(f"  | {line}{' ' * (LABEL_WIDTH - 2 - width(line))} |" for line in inside),
        f"  {bar}",
    ]


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
