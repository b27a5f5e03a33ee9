"""The seed order as a spreadsheet with formulas that a person can change: overage, bags, cost."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from fieldplan.errors import MissingExtra
from fieldplan.model.plan import Plan
from fieldplan.report.plain import plain
from fieldplan.report.quantities import Quantities

_FIXED_DATE = datetime(2000, 1, 1)
HEADER = ("species", "lot", "sown", "overage", "need", "bag", "bags", "ordered", "left over", "price", "cost")


def write_order(plan: Plan, q: Quantities, path: Path) -> None:
    """One row a lot; need = sown + overage, bags = whole bags that hold it, cost = ordered × price; sums below."""
    try:
        import xlsxwriter
    except ImportError:
        raise MissingExtra.named("sheets", "A spreadsheet") from None
    book = xlsxwriter.Workbook(str(path), {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False})
    book.set_properties({"title": "Seed order", "created": _FIXED_DATE})
    sheet = book.add_worksheet("seed order")
    bold, input_cell, number = (
        book.add_format({"bold": True}),
        book.add_format({"bg_color": "#fff2cc"}),
        book.add_format({"num_format": "#,##0.00"}),
    )
    sheet.write_row(
        0,
        0,
        [
            *HEADER[:2],
            *(f"{name}, {q.mass_unit}" for name in HEADER[2:6]),
            "bags",
            *(f"{name}, {q.mass_unit}" for name in HEADER[7:9]),
            f"price a {q.mass_unit}",
            "cost",
        ],
        bold,
    )
    unit = q.mass_unit_kg
    for row, line in enumerate(plan.order, start=1):
        n = row + 1
        sheet.write_string(row, 0, plain(line.species))
        sheet.write_string(row, 1, plain(line.lot))
        sheet.write_number(row, 2, round(line.sown_kg / unit, 4), number)
        sheet.write_number(row, 3, round(line.overage_kg / unit, 4), input_cell)
        sheet.write_formula(row, 4, f"=C{n}+D{n}", number, line.need_kg / unit)
        sheet.write_number(row, 5, round(line.bag_kg / unit, 4), input_cell)
        sheet.write_formula(row, 6, f"=ROUNDUP(ROUND(E{n}/F{n},6),0)", None, line.bags)
        sheet.write_formula(row, 7, f"=G{n}*F{n}", number, line.ordered_kg / unit)
        sheet.write_formula(row, 8, f"=H{n}-C{n}", number, line.left_over_kg / unit)
        if line.price is not None:
            sheet.write_number(row, 9, round(line.price.per_kg * unit, 4), input_cell)
        else:
            sheet.write_blank(row, 9, None, input_cell)
        sheet.write_formula(row, 10, f"=H{n}*J{n}", number, line.cost or 0.0)
    end = len(plan.order) + 1
    sheet.write_string(end, 0, "all", bold)
    for column, values in (
        (2, [x.sown_kg for x in plan.order]),
        (4, [x.need_kg for x in plan.order]),
        (7, [x.ordered_kg for x in plan.order]),
        (8, [x.left_over_kg for x in plan.order]),
    ):
        letter = "ABCDEFGHIJK"[column]
        sheet.write_formula(end, column, f"=SUM({letter}2:{letter}{end})", number, sum(values) / unit)
    sheet.write_formula(end, 10, f"=SUM(K2:K{end})", number, sum(x.cost or 0.0 for x in plan.order))
    sheet.set_column(0, 0, 26)
    sheet.set_column(1, 10, 13)
    sheet.freeze_panes(1, 2)
    book.close()
