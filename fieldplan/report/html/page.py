"""The plan as one HTML file that opens without a network: maps that pan, zoom and play, and tables that
print.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from html import escape
from importlib.resources import files
from typing import Any

from fieldplan.facts import case_of
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.output import Output, PlanAsked, of_text
from fieldplan.report.paper.field_sheet import sheet_of
from fieldplan.report.pictures.hours_and_odds import hours_svg, odds_svg
from fieldplan.report.pictures.map_svg import map_svg
from fieldplan.report.text.plan_page import page, short_lines, title_of
from fieldplan.report.text.seed_page import parcel
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, hours
from fieldplan.report.words.sentences import sentence


def html_page(plan: Plan, boundary_name: str, q: Quantities) -> str:
    """A whole plan as a page: in short, then a section a field, then the page of the terminal with all
    notes and sources.
    """
    folder = files("fieldplan.report.html")
    css, script = (folder.joinpath(name).read_text(encoding="utf-8") for name in ("page.css", "page.js"))
    title = _text(title_of(plan, boundary_name))
    links = "".join(
        f'<li><a href="#f{i}">{_text(parcel(field))}</a></li>' for i, field in enumerate(plan.fields)
    )
    parts = [
        "<!doctype html>",
        '<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">',
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'\">",
        f"<title>{title}</title><style>{css}</style></head><body>",
        f"<h1>{title}</h1><ul>{''.join(f'<li>{_text(line)}</li>' for line in short_lines(plan, q))}</ul>",
        f'<nav aria-label="fields"><ul>{links}</ul></nav>',
        f'<section><h2>Hours and odds</h2><div class="map">{hours_svg(plan)}</div><div class="map">{odds_svg(plan)}</div></section>',
        *(_field(plan, field, i, q) for i, field in enumerate(plan.fields)),
        f'<section><h2>Everything</h2><div class="scroll"><pre>{_text_block(page(plan, boundary_name, q, every_stop=True))}</pre></div></section>',
        f"<script>{script}</script></body></html>",
    ]
    return "\n".join(parts) + "\n"


def _field(plan: Plan, one: FieldPlan, index: int, q: Quantities) -> str:
    sheet = sheet_of(plan, one, q, on_paper=False)
    legs = [
        {
            "what": f"{sentence(case_of('leg', timed.leg.kind), q)}, {q.length(timed.leg.length_m)}, from {hours(timed.start_s)} on"
        }
        for timed in one.time.legs
    ]
    data = json.dumps(legs).replace("<", "\\u003c")
    answers = "".join(f"<dt>{_text(name)}</dt><dd>{_text(text)}</dd>" for name, text in sheet["answers"])
    changes = "".join(f"<li>{_text(text)}</li>" for text in sheet["changes"])
    notes = "".join(f"<li>{_text(text)}</li>" for text in sheet["notes"])
    notes = f"<h3>Good to know</h3><ul>{notes}</ul>" if notes else ""
    own = warning_lines((note for note in plan.notes if note.field_id == one.field.field_id), q)
    warnings = "".join(f'<p class="danger">{_text(text)}</p>' for text in own)
    unmoved = "" if legs else " hidden"
    seed = (
        f"<h3>Boxes</h3><ul>{changes}</ul>{_table(sheet['boxes'], 2)}<h3>Tip in</h3>{_table(sheet['loads'], 3)}"
        f"<h3>Catch on the scale</h3>{_table(sheet['catch'], 1)}"
        if one.is_drilled
        else ""
    )
    treated = (
        f'<p class="danger">TREATED SEED. {_text(" ".join(f"{text}." for text in sheet["treated"]))}</p>'
        if sheet["treated"]
        else ""
    )
    drawn = (
        map_svg(one, us=q.system == "us", legs=True)
        .replace('id="hatch"', f'id="hatch{index}"')
        .replace("url(#hatch)", f"url(#hatch{index})")
    )
    return (
        f'<section id="f{index}" data-field="{_text(one.field.field_id)}"><h2>{_text(parcel(one))}</h2>{warnings}'
        f'<div class="map">{drawn}</div>'
        '<div class="bar"><button data-do="in" aria-label="closer">+</button><button data-do="out" aria-label="further">−</button>'
        f'<button data-do="all">whole field</button><button data-do="play" aria-pressed="false"{unmoved}>play</button>'
        f'<button data-do="next"{unmoved}>next leg</button>'
        f'<input type="range" min="0" max="{len(legs)}" value="0" aria-label="leg of the drive"{unmoved}></div>'
        f'<p class="said" aria-live="polite"></p><p>{_text(sheet["legend"])}</p>{treated}<dl>{answers}</dl>'
        f"{seed}{notes}"
        f'<script type="application/json">{data}</script></section>'
    )


def _table(data: dict[str, Any], left: int) -> str:
    def row(tag: str, cells: Sequence[str]) -> str:
        rows_shown = (
            f"<{tag}{' class=t' if i < left else ''}>{_text(text)}</{tag}>" for i, text in enumerate(cells)
        )
        return f"<tr>{''.join(rows_shown)}</tr>"

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
