"""The fields of a boundary in a few lines."""

from __future__ import annotations

from fieldplan.model.boundary import BoundaryFile
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities


def fields_title(boundary: BoundaryFile, q: Quantities) -> str:
    """How many fields there are, and how much ground is to be sown."""
    plantable_m2 = sum(field.plantable_m2 for field in boundary.fields)
    n_fields = counted(len(boundary.fields), "field")
    return plain(f"{n_fields} of {boundary.path.name}, {q.area(plantable_m2)} {q.area_word}")


def field_rows(boundary: BoundaryFile, q: Quantities) -> list[tuple[str, str, str]]:
    """Id, name and area to be sown of each field."""
    return [
        (field.field_id, field.name if field.name != field.field_id else "", q.area(field.plantable_m2))
        for field in boundary.fields
    ]


def fields_in_short(boundary: BoundaryFile, q: Quantities) -> str:
    """The fields, a line each, below their number and what must be looked at."""
    warnings = [line for text in warning_lines(boundary.notes, q) for line in paragraph(text)]
    first, *others = field_rows(boundary, q)
    return "\n".join([fields_title(boundary, q), *warnings, *table(first, others, left=2)])
