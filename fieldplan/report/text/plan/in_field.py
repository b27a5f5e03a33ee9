"""In the field: one row a field, seed before driving; for a single field also its first stops."""

from __future__ import annotations

from fieldplan.model.plan import MIN_KG, FieldPlan, Plan
from fieldplan.report.text.plan.refills import short_refill_lines
from fieldplan.report.text.table import NARROW, fitted_table, paragraph
from fieldplan.report.words.hours import hours
from fieldplan.report.words.places import headings
from fieldplan.report.words.quantities import Quantities

_SPARED = ("name", "turns", "passes", "missed", "rounds")
"""Columns that are left out, in this order, where the table would not fit."""
_HEADINGS = 10
"""Columns of headings; of longer lists the first stands for all."""


def in_field_lines(plan: Plan, q: Quantities) -> list[str]:
    """Seed to start with, refills, passes and hours of each field in the order in which they are sown.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    if not plan.driven:
        return paragraph("Nothing is drilled.", maximum=NARROW)
    used = {box.box for field in plan.fields for box in field.seed.boxes}
    boxes = [box.name for box in plan.job.drill.boxes if box.name in used]
    header = (
        *("field", "name", q.area_unit, *boxes, "stops", "heading", "rounds", "passes", "turns"),
        *("missed", "hours"),
    )
    rows = [_row(field, boxes, q) for field in plan.fields]
    if len(plan.fields) > 1:
        rows.append(_sums(plan, len(boxes), q))
    text = (
        f"In this order; by box, the {q.mass_unit} to pour in at the start; headland "
        f"{'first' if plan.job.working.headland_first else 'last'}."
    )
    lines = [*paragraph(text, maximum=NARROW), *fitted_table(header, rows, left=2, spared=_SPARED)]
    if len(plan.fields) == 1:
        return [*lines, *short_refill_lines(plan, plan.fields[0], q)]
    return lines


def _row(field: FieldPlan, boxes: list[str], q: Quantities) -> tuple[str, ...]:
    ground, name = field.field, field.field.name
    start = (ground.field_id, name if name != ground.field_id else "", q.area(ground.plantable_m2, 1))
    if not field.is_drilled:
        return (*start, *["–"] * (len(boxes) + 5), q.area(field.totals.missed_m2), "–")
    totals = field.totals
    return (
        *start,
        *(_load(field, box, q) for box in boxes),
        q.count(totals.refills),
        _headings(field),
        str(field.coverage.headland_rounds),
        q.count(totals.passes),
        q.count(totals.turns),
        q.area(totals.missed_m2),
        hours(totals.field_s),
    )


def _load(field: FieldPlan, box: str, q: Quantities) -> str:
    load_kg = field.supply.first_load_kg.get(box)
    return "–" if load_kg is None else "0" if load_kg < MIN_KG else q.mass(load_kg)


def _headings(field: FieldPlan) -> str:
    every = headings(field)
    return every if len(every) <= _HEADINGS else f"{every.split(',')[0]} …"


def _sums(plan: Plan, n_boxes: int, q: Quantities) -> tuple[str, ...]:
    totals = plan.totals
    return (
        *("all", "", q.area(totals.plantable_m2, 1), *[""] * n_boxes, q.count(totals.refills), "", ""),
        *(q.count(totals.passes), q.count(totals.turns), q.area(totals.missed_m2), hours(totals.field_s)),
    )
