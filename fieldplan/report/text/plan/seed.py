"""Seed of each field, box by box, and the bags to order."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import lot_name, spread


def seed_lines(plan: Plan, q: Quantities) -> list[str]:
    """A table of the seed that each box sows and one of the lots to order.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    if not plan.driven:
        return paragraph("Nothing is drilled: there is no seed to order.")
    header, rows = boxes_table(plan, q)
    order_header, order_rows = order_table(plan, q)
    return [
        *paragraph(
            "PLS = pure live seed; bulk = what comes out of the bag. Both are for drilled ground, overlap included."
        ),
        *table(header, rows, left=4),
        "",
        *table(order_header, order_rows),
        *paragraph("Residual = seed left in the boxes at the end, part of the overage."),
        *(text for line in plan.order if line.need_range_kg for text in paragraph(spread(line, q))),
    ]


def boxes_table(plan: Plan, q: Quantities) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Header and a row for each lot in each box of each field."""
    unit = q.mass_unit
    header = ("field", "mix", "box", "seed", f"PLS {unit}", f"bulk {unit}", "box rate", "fills")
    return header, [row for field in plan.fields for row in _box_rows(field, q)]


def order_table(plan: Plan, q: Quantities) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Header and a row for each lot to order."""
    unit = q.mass_unit
    header = (
        *("order", "sown", "overage", "residual", "need"),
        *("bags", "of", f"{unit} ordered", "left over"),
    )
    return header, _order_rows(plan, q)


def _box_rows(field: FieldPlan, q: Quantities) -> Iterator[tuple[str, ...]]:
    """A row for each lot; field, mix and box stand in their first row only."""
    start = (field.field.field_id, field.seed.mix)
    for box in field.seed.boxes:
        name, rate, fills = box.box, q.mass_rate(box.load_kg_per_m2), str(field.fills)
        for component in box.components:
            pls, bulk = q.mass(component.sown_pls_kg), q.mass(component.sown_bulk_kg)
            yield (*start, name, lot_name(component.species, component.lot), pls, bulk, rate, fills)
            start, name, rate, fills = ("", ""), "", "", ""


def _order_rows(plan: Plan, q: Quantities) -> list[tuple[str, ...]]:
    return [
        (
            lot_name(line.species, line.lot),
            q.mass(line.sown_kg),
            q.mass(line.overage_kg),
            q.mass(line.residual_kg),
            q.mass(line.need_kg),
            str(line.bags),
            q.mass(line.bag_kg),
            q.mass(line.ordered_kg),
            q.mass(line.left_over_kg),
        )
        for line in plan.order
    ]
