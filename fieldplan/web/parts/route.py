"""The map of a field with its passes, turns and stops; its drive is played leg by leg."""

from __future__ import annotations

import asyncio

from nicegui import background_tasks

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.html.page import words_and_units
from fieldplan.report.html.route import Route
from fieldplan.report.html.tags import listed, text
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.report.words.seed import parcel
from fieldplan.report.words.sequence import rule_line, sequence_lines
from fieldplan.web.desk import Desk
from fieldplan.web.elements import choice, fill, fragment, plain
from fieldplan.web.parts.shown import NONE_YET, after_the_cover

CONTROLS = (
    '<div class="bar" role="group" aria-label="map">'
    '<button type="button" data-do="in" aria-label="closer">+</button>'
    '<button type="button" data-do="out" aria-label="farther">−</button>'
    '<button type="button" data-do="all">whole field</button></div>'
    '<div class="bar legs" role="group" aria-label="drive">'
    '<input type="range" min="0" value="0" aria-label="leg of the drive">'
    '<button type="button" data-do="play" aria-pressed="false">play</button>'
    '<button type="button" data-do="back">leg before</button><button type="button" data-do="next">next leg</button></div>'
    '<p class="caption" role="status"></p>'
)


def build(desk: Desk) -> None:
    """Build the part in the current container."""
    seen = {"field": ""}
    drawn: list[tuple[FieldPlan, System]] = []
    with plain("div", "", "which") as which:
        chooser = choice("Field", (), "", lambda value: look_at(value))
    shown = fragment(NONE_YET)

    def look_at(field_id: str) -> None:
        seen["field"] = field_id
        draw()

    def draw() -> None:
        if shown.is_deleted:
            return
        plan = None if desk.answer is None else desk.answer.plan
        which.set_visibility(plan is not None and len(plan.fields) > 1)
        if plan is None:
            shown.content = NONE_YET
            drawn.clear()
            return
        field = _seen(plan, seen["field"])
        fill(
            chooser,
            [(one.field.field_id, parcel(one)) for one in plan.fields],
            field.field.field_id,
        )
        if not drawn or drawn[0][0] is not field or drawn[0][1] != desk.units:
            drawn[:] = [(field, desk.units)]
            background_tasks.create(put(field, desk.units), name="map of the drive")

    async def put(field: FieldPlan, units: System) -> None:
        """Draw beside what else the server does: a large field takes a quarter of a second."""
        html = await asyncio.to_thread(field_html, field, Quantities(units, fills_form=True))
        if not shown.is_deleted and drawn and drawn[0][0] is field and drawn[0][1] == units:
            shown.content = html

    after_the_cover(desk, draw)


def _seen(plan: Plan, field_id: str) -> FieldPlan:
    """The field that is looked at, or the first that is drilled."""
    found = [field for field in plan.fields if field.field.field_id == field_id]
    return (found or plan.driven or plan.fields)[0]


def field_html(field: FieldPlan, q: Quantities) -> str:
    """The map with its controls and legend, the figures of the drive, and the order of passes in words."""
    route, totals = Route(field, 0, q, north_up=True), field.totals
    figures = (
        ("Passes", f"{totals.passes}"),
        ("Turns", f"{totals.turns}"),
        ("Stops for seed", f"{totals.refills}"),
        ("Plantable", f"{q.area(totals.plantable_m2)} {q.area_unit}"),
        ("Missed", f"{q.area(totals.missed_m2)} {q.area_unit}"),
        ("Drilled twice", f"{q.area(totals.overlap_m2)} {q.area_unit}"),
    )
    rows = "".join(f"<div><dt>{name}</dt><dd>{text(value)}</dd></div>" for name, value in figures)
    lines = sequence_lines(field, q)
    rule = rule_line(field, q)
    order = (
        f"<details><summary>Order of passes, to drive without guidance</summary>{f'<p>{text(rule)}</p>' if rule else ''}"
        f"{listed(lines)}</details>"
        if lines
        else ""
    )
    return (
        f'<div class="field-route"><figure class="map">{route.svg()}<div class="controls">{CONTROLS}</div>'
        f"<figcaption>{route.caption()}</figcaption></figure>"
        f'<div hidden class="drive-data">{_data(route.data())}</div>'
        f'<div hidden class="words">{_data(words_and_units(q))}</div></div>'
        f'<dl class="figures">{rows}</dl>{order}'
    )


def _data(json: str) -> str:
    """JSON as the text of an element: a sign that begins an entity is written as JSON has it."""
    return json.replace("&", "\\u0026")
