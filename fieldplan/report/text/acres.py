"""Page of `fieldplan acres`: real acres, beside the wrong acres that map projections give."""

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
    """A table of fields: real area, area in Web Mercator and in the file's coordinates, with their errors.

    Parameters
    ----------
    quantities
        The reader's units.
    """
    q = quantities
    rows = [_row(field.field_id, field.name, [field], q) for field in boundary.fields]
    if len(rows) > 1:
        rows.append(_row("all", "", boundary.fields, q))
    names = sorted({field.acreage.own_coordinates_name for field in boundary.fields})
    degrees = any(field.acreage.own_coordinates_m2 is None for field in boundary.fields)
    coordinates = f"File coordinates: {', '.join(names)}."
    if degrees:
        coordinates += " Degrees have no area: a program that shows one has guessed a projection."
    lines = [
        f"{q.area_word.capitalize()} of {plain(boundary.path.name)}",
        *table(("field", "name", "real", "Web Mercator", "", "file coordinates", ""), rows, left=2),
        *paragraph(
            "Real: on the WGS84 ellipsoid, ring by ring, without the holes. Web Mercator is the projection of web maps: "
            "areas measured in it are too large by a factor of about 1/cos² of the latitude."
        ),
        *paragraph(coordinates),
        *(line for text in warning_lines(boundary.notes, q) for line in paragraph(text, bullet="- ")),
        *note_lines(boundary.notes, q),
    ]
    return "\n".join(lines) + "\n"


def _row(field_id: str, name: str, fields: Sequence[Field], q: Quantities) -> tuple[str, ...]:
    real = sum(field.mapped_m2 for field in fields)
    mercator = sum(field.acreage.web_mercator_m2 for field in fields)
    in_file = [field.acreage.own_coordinates_m2 for field in fields]
    known = [value for value in in_file if value is not None]
    in_file_m2 = sum(known) if len(known) == len(in_file) else None
    return (
        field_id,
        name if name != field_id else "",
        q.area(real),
        q.area(mercator),
        _error(mercator, real),
        "degrees" if in_file_m2 is None else q.area(in_file_m2),
        "" if in_file_m2 is None else _error(in_file_m2, real),
    )


def _error(value: float, real: float) -> str:
    return f"{(value / real - 1) * 100:+.2f} %"
