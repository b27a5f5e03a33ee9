"""The ground of each field: mapped, plantable, drilled, overlap, missed, outside."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.model.totals import Totals
from fieldplan.report.text.plan.short import times_text
from fieldplan.report.text.table import table
from fieldplan.report.words.numbers import share
from fieldplan.report.words.quantities import Quantities

_HEADER = (
    *("field", "name", "mapped", "excluded", "plantable", "drilled"),
    *("overlap", "", "missed", "", "outside"),
)
_EXCLUDED_TO_PLANTABLE = slice(3, 5)
"""Columns that are left out where no field has excluded ground: mapped is then plantable."""


def ground_lines(plan: Plan, q: Quantities) -> list[str]:
    """A table of the ground of each field and of all of them.

    Overlap and missed ground are also shares of the plantable ground, counted as often as it is drilled.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    rows = [_row(field.field.field_id, field.field.name, field.totals, q) for field in plan.fields]
    if len(plan.fields) > 1:
        rows.append(_row("all", "", plan.totals, q))
    header = list(_HEADER)
    if not any(field.field.excluded for field in plan.fields):
        for cells in (header, *rows):
            del cells[_EXCLUDED_TO_PLANTABLE]
    title = f"  {q.area_word.capitalize()}; percent of plantable {q.area_word}{times_text(plan)}"
    return [title, *table(header, rows, left=2)]


def _row(field_id: str, name: str, ground: Totals, q: Quantities) -> list[str]:
    return [
        field_id,
        name if name != field_id else "",
        q.area(ground.mapped_m2),
        q.area(ground.excluded_m2),
        q.area(ground.plantable_m2),
        q.area(ground.drilled_m2),
        q.area(ground.overlap_m2),
        share(ground.overlap_m2, ground.to_sow_m2, 1),
        q.area(ground.missed_m2),
        share(ground.missed_m2, ground.to_sow_m2, 1),
        q.area(ground.outside_m2),
    ]
