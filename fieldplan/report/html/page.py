"""The plan as one HTML file that opens without a network: maps that pan, zoom and play, and tables that
print.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from importlib.resources import files
from typing import Any

from fieldplan.facts import case_of
from fieldplan.model.coverage import Leg
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.documents.load_list import load_list_parts
from fieldplan.report.output import Output, PlanAsked, of_text
from fieldplan.report.paper.field_sheet import sheet_of
from fieldplan.report.pictures.hours_and_odds import hours_svg, odds_svg
from fieldplan.report.pictures.map_svg import map_svg
from fieldplan.report.pictures.starts_svg import starts_svg
from fieldplan.report.text.plan.short import short_lines
from fieldplan.report.text.plan_page import page, title_of
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, hours
from fieldplan.report.words.seed import parcel
from fieldplan.report.words.sentences import sentence

_META = (
    '<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">\n'
    '<meta http-equiv="Content-Security-Policy" content="'
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'\">"
)
"""The page may load nothing: it works without a network, and what is in a file cannot call one."""


def html_page(plan: Plan, boundary_name: str, q: Quantities) -> str:
    """A whole plan as one page: the short answer, a section a field, then the whole plan page as text.

    Parameters
    ----------
    plan
        The plan of the job.
    boundary_name
        The name of the boundary file, for the title.
    q
        The reader's units.
    """
    folder = files("fieldplan.report.html")
    css, script = (folder.joinpath(name).read_text(encoding="utf-8") for name in ("page.css", "page.js"))
    title = _text(title_of(plan, boundary_name))
    parts = [
        "<!doctype html>",
        f'<html lang="en"><head>{_META}',
        f"<title>{title}</title><style>{css}</style></head><body>",
        f"<h1>{title}</h1>{_list(short_lines(plan, q))}",
        f'<nav aria-label="fields"><ul>{_links(plan)}</ul></nav>',
        f"<section><h2>Hours and odds</h2>{_drawn(hours_svg(plan))}{_drawn(odds_svg(plan))}{_starts(plan)}</section>",
        *(_field(plan, field, i, q) for i, field in enumerate(plan.fields)),
        f"<section><h2>Load list</h2>{_load_list(plan, q)}</section>",
        f"<section><h2>Everything</h2>{_whole_page(plan, boundary_name, q)}</section>",
        f"<script>{script}</script></body></html>",
    ]
    return "\n".join(parts) + "\n"


def _links(plan: Plan) -> str:
    return "".join(
        f'<li><a href="#f{i}">{_text(parcel(field))}</a></li>' for i, field in enumerate(plan.fields)
    )


def _whole_page(plan: Plan, boundary_name: str, q: Quantities) -> str:
    text = page(plan, boundary_name, q, every_stop=True)
    return f'<div class="scroll"><pre>{_text_block(text)}</pre></div>'


def _load_list(plan: Plan, q: Quantities) -> str:
    """The trips of the truck, and where all of each lot goes."""
    return "".join(
        (f"<h3>{_text(part.name)}</h3>" if part.name else "")
        + (_table({"header": part.header, "rows": part.rows}, part.left) if part.rows else "")
        + "".join(f"<p>{_text(line)}</p>" for line in part.lines)
        for part in load_list_parts(plan, q)
    )


def _field(plan: Plan, field: FieldPlan, index: int, q: Quantities) -> str:
    """The section of a field; its legs stand in it as data for the script that plays them."""
    sheet = sheet_of(plan, field, q, on_paper=False)
    legs = _legs(field, q)
    warnings = warning_lines((note for note in plan.notes if note.field_id == field.field.field_id), q)
    answers = "".join(f"<dt>{_text(name)}</dt><dd>{_text(text)}</dd>" for name, text in sheet["answers"])
    # no "<" in the data: it would end the script where a name holds "</script>"
    data = json.dumps(legs).replace("<", "\\u003c")
    return "".join(
        (
            f'<section id="f{index}" data-field="{_text(field.field.field_id)}"><h2>{_text(parcel(field))}</h2>',
            *(f'<p class="danger">{_text(text)}</p>' for text in warnings),
            _drawn(_map(field, index, q)),
            _buttons(len(legs)),
            f'<p class="caption" aria-live="polite"></p><p>{_text(sheet["legend"])}</p>',
            _treated(sheet["treated"]),
            f"<dl>{answers}</dl>",
            _seed(sheet) if field.is_drilled else "",
            f"<h3>Good to know</h3>{_list(sheet['notes'])}" if sheet["notes"] else "",
            f'<script type="application/json">{data}</script></section>',
        )
    )


def _legs(field: FieldPlan, q: Quantities) -> list[dict[str, str]]:
    """What each leg of the route is, for the caption of the map."""
    return [
        {"what": f"{_named(timed.leg, q)}, {q.length(timed.leg.length_m)}, from {hours(timed.start_s)} on"}
        for timed in field.time.legs
    ]


def _named(leg: Leg, q: Quantities) -> str:
    """What a leg is and, of a turn, its shape."""
    name = sentence(case_of("leg", leg.kind), q)
    if not leg.shape:
        return name
    shape = case_of("leg-shape", leg.shape, reverse_m=leg.reverse_m)
    return f"{name} ({sentence(shape, q)})"


def _map(field: FieldPlan, index: int, q: Quantities) -> str:
    """The map with a hatch of its own: ids must differ on one page."""
    drawn = map_svg(field, us=q.system == "us", legs=True)
    return drawn.replace('id="hatch"', f'id="hatch{index}"').replace("url(#hatch)", f"url(#hatch{index})")


def _buttons(n_legs: int) -> str:
    """Zoom, play and a slider; what plays is hidden where there is nothing to play."""
    hidden = "" if n_legs else " hidden"
    return (
        '<div class="bar"><button data-do="in" aria-label="closer">+</button>'
        '<button data-do="out" aria-label="farther">−</button>'
        '<button data-do="all">whole field</button>'
        f'<button data-do="play" aria-pressed="false"{hidden}>play</button>'
        f'<button data-do="next"{hidden}>next leg</button>'
        f'<input type="range" min="0" max="{n_legs}" value="0" aria-label="leg of the route"{hidden}></div>'
    )


def _seed(sheet: Mapping[str, Any]) -> str:
    return (
        f"<h3>Boxes</h3>{_list(sheet['changes'])}{_table(sheet['boxes'], 2)}"
        f"<h3>Pour in</h3>{_table(sheet['loads'], 3)}"
        f"<h3>Catch on the scale</h3>{_table(sheet['catch'], 1)}"
    )


def _treated(cautions: Sequence[str]) -> str:
    if not cautions:
        return ""
    return f'<p class="danger">TREATED SEED. {_text(" ".join(f"{text}." for text in cautions))}</p>'


def _starts(plan: Plan) -> str:
    """The picture of other starts, where a record lets them be compared."""
    svg = starts_svg(plan)
    return _drawn(svg) if svg else ""


def _drawn(svg: str) -> str:
    return f'<div class="map">{svg}</div>'


def _list(texts: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{_text(text)}</li>' for text in texts)}</ul>"


def _table(data: dict[str, Any], left: int) -> str:
    def row(tag: str, cells: Sequence[str]) -> str:
        written = (
            f"<{tag}{' class=t' if i < left else ''}>{_text(text)}</{tag}>" for i, text in enumerate(cells)
        )
        return f"<tr>{''.join(written)}</tr>"

    body = "".join(row("td", cells) for cells in data["rows"])
    return f'<div class="scroll"><table><thead>{row("th", data["header"])}</thead><tbody>{body}</tbody></table></div>'


def _text(text: str) -> str:
    return escape(plain(text))


def _text_block(text: str) -> str:
    return escape("\n".join(plain(line) for line in text.splitlines()))


OUTPUT: Output[PlanAsked] = Output(
    name="page",
    words="one HTML file: maps that play, tables",
    make=lambda asked: {"plan.html": of_text(lambda: html_page(asked.plan, asked.boundary_name, asked.q))},
)
