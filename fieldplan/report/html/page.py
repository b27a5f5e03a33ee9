"""The plan as one HTML file that opens without a network, on a phone and on paper.

What is heavy, maps and tables of each field, stands in ``noscript``: without script it is there, with script it is
drawn when it is scrolled to or printed.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from importlib.resources import files
from typing import Any

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.documents.document import Part
from fieldplan.report.documents.load_list import ACCOUNT_HEADER, DROPS_HEADER, TAKEN_HEADER, load_list_parts
from fieldplan.report.html.cover import cover_html
from fieldplan.report.html.route import Route
from fieldplan.report.html.tags import grouped_table, held, listed, table, text, text_block
from fieldplan.report.output import Output, PlanAsked, of_text
from fieldplan.report.paper.field_sheet import sheet_of
from fieldplan.report.pictures.hours_and_odds import PHONE_MM, hours_svg, odds_svg
from fieldplan.report.pictures.starts_svg import starts_svg
from fieldplan.report.text.plan_page import title_of, whole_page
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.page import MAP_HELP, NO_SCRIPT, WORDS
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import parcel
from fieldplan.report.words.species import species_lines, species_sources, species_title
from fieldplan.report.words.thousands import GROUPS
from fieldplan.units import FOOT_M, POUND_KG

_META = (
    '<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">\n'
    '<meta name="color-scheme" content="light dark">\n'
    '<meta http-equiv="Content-Security-Policy" content="'
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">"
)
"""The page may load nothing: it works without a network, and what is in a file cannot call one."""
_READ_DATA = 'const pageData = JSON.parse(document.getElementById("page-data").textContent);\n'
_SCRIPTS = ("words.js", "map.js", "marks.js", "position.js", "page.js")
_CONTROLS = (
    '<div class="bar" role="group" aria-label="map"><button type="button" data-do="in" aria-label="closer">+</button>'
    '<button type="button" data-do="out" aria-label="farther">−</button>'
    '<button type="button" data-do="all">whole field</button>'
    '<button type="button" data-do="where" aria-pressed="false">where am I?</button></div>'
    '<div class="bar legs" role="group" aria-label="route"><input type="range" min="0" value="0" aria-label="leg of the route">'
    '<button type="button" data-do="play" aria-pressed="false">play</button>'
    '<button type="button" data-do="back">leg before</button><button type="button" data-do="next">next leg</button>'
    '<button type="button" data-do="done">done up to here</button>'
    '<button type="button" data-do="undone">not done from here on</button></div>'
    '<p class="caption" role="status"></p><p class="position" role="status"></p>'
    '<p class="left"></p><p class="kept"></p>'
)


_CAPTIONS = {
    TAKEN_HEADER: "What is taken along",
    DROPS_HEADER: "What is put down",
    DROPS_HEADER[:-1]: "What is put down",
    ACCOUNT_HEADER: "Every lot",
}
"""Tables of the load list: what they list, for the heading above says which trip."""


def _head(plan: Plan) -> str:
    """The letterhead of whoever lends the drill, if the job file has one."""
    return "".join(f"<p class=note>{text(line)}</p>" for line in plan.job.drill.letterhead)


def html_page(plan: Plan, boundary_name: str, q: Quantities) -> str:
    """A whole plan as one page: the cover, a section a field, then the whole plan page as text.

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
    css = "".join(folder.joinpath(name).read_text(encoding="utf-8") for name in ("map.css", "page.css"))
    script = "".join(folder.joinpath(name).read_text(encoding="utf-8") for name in _SCRIPTS)
    title = text(title_of(plan, boundary_name))
    whole = text_block(whole_page(plan, boundary_name, q))
    parts = [
        "<!doctype html>",
        f'<html lang="en"><head>{_META}',
        f"<title>{title}</title><style>{css}</style></head><body>",
        f"<header>{_head(plan)}<h1>{title}</h1>{cover_html(plan, q)}<noscript><p class=note>{NO_SCRIPT}</p></noscript></header>",
        _find(len(plan.fields)),
        f'<main><section id="fields"><h2>Fields</h2><ul class="fields">{_links(plan, q)}</ul></section>',
        '<section id="hours"><h2>Hours and odds</h2>'
        + held(
            _chart("Hours by field", hours_svg(plan, PHONE_MM))
            + _chart("Odds by days booked", odds_svg(plan, PHONE_MM))
            + _chart("Odds by start", starts_svg(plan, PHONE_MM))
        )
        + "</section>",
        *(_field(plan, field, i, q) for i, field in enumerate(plan.fields)),
        f'<section id="species"><h2>Species</h2>{held(_species(plan, q))}</section>',
        f'<section id="loads"><h2>Load list</h2>{held(_load_list(plan, q))}</section>',
        '<section id="everything"><h2>Everything</h2>'
        + held(
            f'<div class="scroll" tabindex="0" role="region" aria-label="the whole plan as text"><pre>{whole}</pre></div>'
        )
        + "</section></main>",
        f'<template id="controls">{_CONTROLS}</template>',
        f'<script type="application/json" id="page-data">{words_and_units(q)}</script>',
        f'<script>"use strict";(() => {{\n{_READ_DATA}{script}}})();</script></body></html>',
    ]
    return "\n".join(parts) + "\n"


def _find(n_fields: int) -> str:
    """The bar that stays in sight: back to the list, and a field by its name."""
    return (
        f'<nav aria-label="fields"><a href="#fields">Fields ({n_fields})</a>'
        '<label class="find" hidden>find <input type="search" autocomplete="off"></label>'
        '<span class="found" role="status"></span><ul class="matches" hidden></ul></nav>'
    )


def _links(plan: Plan, q: Quantities) -> str:
    return "".join(
        f'<li><a href="#f{i}">{text(parcel(field))}</a> {q.area(field.totals.plantable_m2)} {q.area_unit} <span class="state"></span></li>'
        for i, field in enumerate(plan.fields)
    )


def words_and_units(q: Quantities) -> str:
    """Words and units for the script of maps, as JSON that is safe within HTML."""
    us = q.system == "us"
    units = {
        "areaM2": q.area_unit_m2,
        "area": q.area_word,
        "group": GROUPS[q.system],
        "massKg": POUND_KG if us else 1.0,
        "mass": q.mass_unit,
        "lengthM": FOOT_M if us else 1.0,
        "length": "ft" if us else "m",
    }
    return json.dumps({"words": WORDS, "units": units}).replace("<", "\\u003c")


def _chart(title: str, svg: str) -> str:
    """A picture; nothing without one."""
    if not svg:
        return ""
    return f'<figure class="chart" role="group" aria-label="{title}">{svg}</figure>'


def _species(plan: Plan, q: Quantities) -> str:
    """What is published of each species that is sown, and what has to be asked for."""
    state = plan.job.seed_law.state
    blocks = "".join(
        f"<h3>{text(species_title(facts))}</h3>{listed(species_lines(facts, q, state))}"
        for facts in plan.species
    )
    cited = [f"{source.key}: {source.title}" for source in species_sources(plan.species)]
    return f"{blocks}<h3>Sources of these figures</h3>{listed(cited)}"


def _load_list(plan: Plan, q: Quantities) -> str:
    """The trips of the truck, and where all of each lot goes."""
    parts = load_list_parts(plan, q)
    return "".join(
        (f"<h3>{text(part.name)}</h3>" if part.name else "")
        + (_part(part) if part.rows else "")
        + "".join(f"<p>{text(line)}</p>" for line in part.lines)
        for part in parts
    )


def _part(part: Part) -> str:
    """The table of a part; where cells of its first column say the same as those above, by groups."""
    as_table = table if all(row[0] for row in part.rows) else grouped_table
    return as_table(_CAPTIONS[part.header], {"header": part.header, "rows": part.rows}, max(1, part.left))


def _field(plan: Plan, field: FieldPlan, index: int, q: Quantities) -> str:
    """The section of a field: warnings, map, figures, tables."""
    sheet = sheet_of(plan, field, q)
    warnings = warning_lines((note for note in plan.notes if note.field_id == field.field.field_id), q)
    answers = "".join(f"<dt>{text(name)}</dt><dd>{text(answer)}</dd>" for name, answer in sheet["answers"])
    return "".join(
        (
            f'<section id="f{index}" data-field="{text(field.field.field_id)}"><h2>{text(parcel(field))}</h2>',
            *(f'<p class="danger">{text(warning)}</p>' for warning in warnings),
            _treated(sheet["treated"]),
            held(_map(field, index, q)),
            f"<dl>{answers}</dl>",
            held(_sequence(sheet) + _tables(sheet, drilled=field.is_drilled)),
            "</section>",
        )
    )


def _sequence(sheet: Mapping[str, Any]) -> str:
    """The order of rounds and passes, to be driven without guidance."""
    if not sheet["sequence"]:
        return ""
    lines = "".join(f"<li>{text(line)}</li>" for line in sheet["sequence"])
    rule = f"<p>{text(sheet['rule'])}</p>" if sheet["rule"] else ""
    return f"<h3>Order of passes</h3>{rule}<ol>{lines}</ol>"


def _map(field: FieldPlan, index: int, q: Quantities) -> str:
    route = Route(field, index, q)
    return (
        f'<figure class="map">{route.svg()}<div class="controls"></div>'
        f'<figcaption><span class="help">{MAP_HELP}</span>{route.caption()}</figcaption></figure>'
        f'<script type="application/json" class="drive-data">{route.data()}</script>'
    )


def _tables(sheet: Mapping[str, Any], *, drilled: bool) -> str:
    seed = (
        (
            f"<h3>Boxes</h3>{listed(sheet['changes']) if sheet['changes'] else ''}{table('What each box holds', sheet['boxes'], 2)}"
            f"<h3>Pour in</h3>{grouped_table('What to pour in, stop by stop', sheet['loads'], 3)}"
        )
        if drilled
        else ""
    )
    return seed + (f"<h3>Good to know</h3>{listed(sheet['notes'])}" if sheet["notes"] else "")


def _treated(cautions: Sequence[str]) -> str:
    if not cautions:
        return ""
    return f'<p class="danger">TREATED SEED. {text(" ".join(f"{caution}." for caution in cautions))}</p>'


OUTPUT: Output[PlanAsked] = Output(
    name="page",
    words="one HTML file: maps that play, tables",
    make=lambda asked: {"plan.html": of_text(lambda: html_page(asked.plan, asked.boundary_name, asked.q))},
)
