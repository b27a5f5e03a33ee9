"""Acreage alone, beside what the same outline measures by the ways that go wrong."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.field import Field
from fieldplan.report.text.notes import note_lines
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities


def acres_page(boundary: BoundaryFile, quantities: Quantities) -> str:
    """A table of fields: real area, area in Web Mercator and in the file's own coordinates, with the error
    of each.
    """
    q = quantities
    rows = [_row(field.field_id, field.name, [field], q) for field in boundary.fields]
    if len(rows) > 1:
        rows.append(_row("all", "", boundary.fields, q))
    own = sorted({field.acreage.own_coordinates_name for field in boundary.fields})
    degrees = any(field.acreage.own_coordinates_m2 is None for field in boundary.fields)
    own_text = f"Own coordinates: {', '.join(own)}."
    if degrees:
        own_text += (
            " They are degrees, which have no area: a program that shows one has guessed a projection."
        )
    lines = [
        f"{q.area_word.capitalize()} of {plain(boundary.path.name)}",
        *table(("field", "name", "real", "Web Mercator", "", "own coordinates", ""), rows, left=2),
        *paragraph(
            "Real: on the WGS84 ellipsoid, ring by ring, holes taken out. Web Mercator is what web maps draw in; "
            "area measured in it is wrong by 1/cos² of the latitude."
        ),
        *paragraph(own_text),
        *(line for text in warning_lines(boundary.notes, q) for line in paragraph(text, bullet="- ")),
        *note_lines(boundary.notes, q),
    ]
    return "\n".join(lines) + "\n"


def _row(field_id: str, name: str, fields: Sequence[Field], q: Quantities) -> tuple[str, ...]:
    real = sum(field.mapped_m2 for field in fields)
    mercator = sum(field.acreage.web_mercator_m2 for field in fields)
    own = [field.acreage.own_coordinates_m2 for field in fields]
    known = [value for value in own if value is not None]
    own_m2 = sum(known) if len(known) == len(own) else None
    return (
        field_id,
        name if name != field_id else "",
        q.area(real),
        q.area(mercator),
        _error(mercator, real),
        "degrees" if own_m2 is None else q.area(own_m2),
        "" if own_m2 is None else _error(own_m2, real),
    )


def _error(value: float, real: float) -> str:
    return f"{(value / real - 1) * 100:+.2f} %"
