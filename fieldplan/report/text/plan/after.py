"""After the field: what to empty, what the meter reads, what seed is left."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.plan import Plan
from fieldplan.report.text.table import NARROW, paragraph
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import changed, lot_name

MAX_LOTS = 4
"""Lots that are named with what is left of them; of more the sum is said."""


def after_lines(plan: Plan, q: Quantities) -> list[str]:
    """What to do when the last field is sown.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    return [line for text in _texts(plan, q) for line in paragraph(text, bullet="- ", maximum=NARROW)]


def _texts(plan: Plan, q: Quantities) -> Iterator[str]:
    if not plan.driven:
        yield "Nothing is drilled: there is nothing to empty."
        return
    yield from (changed(change, q) for change in plan.emptied_last)
    read = f"Write down the drill's meter: about {q.area(plan.totals.drilled_m2, 1)} {q.area_unit} more than before."
    yield f"{read} {_left_over(plan, q)}"


def _left_over(plan: Plan, q: Quantities) -> str:
    """What is left of the bags that are ordered."""
    if len(plan.order) > MAX_LOTS:
        left_kg = sum(line.left_over_kg for line in plan.order)
        return f"Left over of {counted(len(plan.order), 'lot')}: {q.mass(left_kg)} {q.mass_unit} in all."
    parts = [
        f"{lot_name(line.species, line.lot)} {q.mass(line.left_over_kg)} {q.mass_unit}"
        for line in plan.order
    ]
    return f"Left over: {', '.join(parts)}."
