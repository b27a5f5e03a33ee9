"""Fields, a plan or a season as the cell of a notebook: HTML that needs nothing else and runs nothing.

Maps are images with their own styles, which cannot reach the page around them.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Iterator, Sequence
from html import escape

from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.season import Season
from fieldplan.model.totals import Totals
from fieldplan.report.pictures.map_svg import map_svg
from fieldplan.report.pictures.season_svg import season_svg
from fieldplan.report.text.fields import field_rows, fields_title
from fieldplan.report.text.plan.short import short_lines
from fieldplan.report.text.plan_page import title_of
from fieldplan.report.text.season_page import season_in_short, season_title
from fieldplan.report.words.hours import hours
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import parcel

MAX_MAPS = 6
"""Maps of more fields would make a notebook too large to open."""


def fields_cell(boundary: BoundaryFile, q: Quantities) -> str:
    """Fields with their names and areas."""
    header = ("field", "name", q.area_word)
    return _cell(
        fields_title(boundary, q),
        warning_lines(boundary.notes, q),
        [_table(header, field_rows(boundary, q), left=2)],
    )


def plan_cell(plan: Plan, boundary_name: str, q: Quantities) -> str:
    """A plan in short, its fields in a table, and a map of each of the first few."""
    rows = [
        _row(planned.field.field_id, planned.field.name, planned.totals, [planned], q)
        for planned in plan.fields
    ]
    if len(rows) > 1:
        rows.append(_row("all", "", plan.totals, plan.fields, q))
    header = (
        "field",
        "name",
        f"plantable, {q.area_unit}",
        f"drilled, {q.area_unit}",
        "passes",
        "in the field",
        f"seed, {q.mass_unit}",
    )
    return _cell(
        title_of(plan, boundary_name),
        short_lines(plan, q),
        [_table(header, rows, left=2), *_maps(plan.fields[:MAX_MAPS], q)],
    )


def season_cell(season: Season, q: Quantities) -> str:
    """A season in short, and its bookings as a picture with a lane a drill."""
    title, answer = season_title(season.program), season_in_short(season, q)
    picture = _image(season_svg(season), f"Bookings of {title}")
    return _cell(title, (), [f"<pre>{escape(answer)}</pre>", picture])


def _row(
    field_id: str, name: str, totals: Totals, fields: Sequence[FieldPlan], q: Quantities
) -> tuple[str, ...]:
    seed_kg = sum(box.sown_bulk_kg for planned in fields for box in planned.seed.boxes)
    return (
        field_id,
        name,
        q.area(totals.plantable_m2),
        q.area(totals.drilled_m2),
        q.count(totals.passes),
        hours(totals.field_s),
        q.mass(seed_kg),
    )


def _maps(fields: Sequence[FieldPlan], q: Quantities) -> Iterator[str]:
    for number, planned in enumerate(fields):
        drawn = _image(map_svg(planned, q), f"Map of {parcel(planned)}")
        opened = "" if number else ' open="open"'
        yield f"<details{opened}><summary>{_text(parcel(planned))}</summary>{drawn}</details>"


def _image(svg: str, what: str) -> str:
    data = b64encode(svg.encode("utf-8")).decode("ascii")
    style = "max-width:100%;height:auto;background:#fff"
    return f'<img alt="{_text(what)}" style="{style}" src="data:image/svg+xml;base64,{data}"/>'


def _cell(title: str, lines: Iterable[str], parts: Iterable[str]) -> str:
    items = "".join(f"<li>{_text(line)}</li>" for line in lines)
    listed = f"<ul>{items}</ul>" if items else ""
    return f"<div><p><strong>{_text(title)}</strong></p>{listed}{''.join(parts)}</div>"


def _table(header: Sequence[str], rows: Iterable[Sequence[str]], *, left: int) -> str:
    """A table whose first ``left`` columns are text and the rest numbers."""

    def line(tag: str, cells: Sequence[str]) -> str:
        sides = ("left" if i < left else "right" for i in range(len(cells)))
        marked = (
            f'<{tag} style="text-align:{side}">{_text(text)}</{tag}>'
            for side, text in zip(sides, cells, strict=True)
        )
        return f"<tr>{''.join(marked)}</tr>"

    body = "".join(line("td", cells) for cells in rows)
    return f"<table><thead>{line('th', header)}</thead><tbody>{body}</tbody></table>"


def _text(text: str) -> str:
    return escape(plain(text))
