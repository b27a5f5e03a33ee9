"""Seed by box, by parcel and by trip of the truck, and what to order."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.documents.load_list import load_list_parts
from fieldplan.report.html.tags import text
from fieldplan.report.text.plan.seed import boxes_table
from fieldplan.report.text.seed_page import CARRIED, delivery_table, order_table
from fieldplan.report.words.quantities import Quantities
from fieldplan.web.desk import Desk
from fieldplan.web.parts.pictures import filled, scrolled
from fieldplan.web.parts.shown import shown_with_plan

PURE = (
    "PLS = pure live seed; bulk = what comes out of the bag. Both are for drilled ground, overlap included."
)


def build(desk: Desk) -> None:
    """Build the part in the current container."""
    shown_with_plan(desk, seed_html)


def seed_html(plan: Plan, q: Quantities) -> str:
    """The order in sight, and three tables that open: by box, by parcel, by trip."""
    if not plan.driven:
        return "<p>Nothing is drilled: there is no seed to order.</p>"
    order_header, order = order_table(plan, q)
    header, boxes = boxes_table(plan, q)
    to_header, delivered = delivery_table(plan, q)
    carried = any(part.carried_kg for field in plan.fields for part in field.deliveries)
    return (
        scrolled("To order", order_header, order, 1)
        + _opens("By box", f"<p>{PURE}</p>" + scrolled("By box", header, filled(boxes, 3), 4))
        + _opens(
            "By parcel",
            scrolled("To each parcel", to_header, filled(delivered, 2), 3)
            + (f"<p>{text(CARRIED)}</p>" if carried else ""),
        )
        + _opens("By trip of the truck", _trips(plan, q))
    )


def _trips(plan: Plan, q: Quantities) -> str:
    """The load list: under the head of each trip what it takes, and where that is put down."""
    html, head = "", ""
    for part in load_list_parts(plan, q):
        head = part.name or head
        html += f"<h3>{text(part.name)}</h3>" if part.name else ""
        if part.rows:
            caption = part.name or f"Where it is put down. {head}"
            html += scrolled(caption, part.header, filled(part.rows, part.left), max(1, part.left))
        html += "".join(f"<p>{text(line)}</p>" for line in part.lines)
    return html


def _opens(title: str, inner: str) -> str:
    return f"<details><summary>{title}</summary>{inner}</details>"
