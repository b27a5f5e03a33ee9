"""The seed order as a spreadsheet with formulas that a person can change: overage, bags, cost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fieldplan.model.plan import Plan
from fieldplan.report.data.workbook import workbook
from fieldplan.report.output import Output, PlanAsked
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities

SOWN, OVERAGE, RESIDUAL, NEED, BAG, BAGS, ORDERED, LEFT, PRICE, COST = range(2, 12)
"""Columns after species and lot."""


def write_order(plan: Plan, q: Quantities, path: Path) -> None:
    """One row a lot; need = sown + overage, bags = whole bags that hold it, cost = ordered × price where
    there is one; sums below.
    """
    with workbook(path, "Seed order") as book:
        _write(plan, q, book)


def _write(plan: Plan, q: Quantities, book: Any) -> None:
    sheet = book.add_worksheet("seed order")
    bold, input_cell, number = (
        book.add_format({"bold": True, "text_wrap": True}),
        book.add_format({"bg_color": "#fff2cc"}),
        book.add_format({"num_format": "#,##0.00"}),
    )
    unit, word = q.mass_unit_kg, q.mass_unit
    currencies = sorted({line.price.currency for line in plan.order if line.price is not None})
    money = f", {'/'.join(currencies)}" if currencies else ""
    sheet.write_row(
        0,
        0,
        [
            "species",
            "lot",
            f"sown, {word}",
            f"overage, {word}",
            f"of it stays in boxes, {word}",
            f"need, {word}",
            f"bag, {word}",
            "bags",
            f"ordered, {word}",
            f"left over, {word}",
            f"price a {word}{money}",
            f"cost{money}",
        ],
        bold,
    )
    for row, line in enumerate(plan.order, start=1):
        n = row + 1
        sheet.write_string(row, 0, plain(line.species))
        sheet.write_string(row, 1, plain(line.lot))
        sheet.write_number(row, SOWN, round(line.sown_kg / unit, 4), number)
        sheet.write_number(row, OVERAGE, round(line.overage_kg / unit, 4), input_cell)
        sheet.write_number(row, RESIDUAL, round(line.residual_kg / unit, 4), number)
        sheet.write_formula(row, NEED, f"=C{n}+D{n}", number, line.need_kg / unit)
        sheet.write_number(row, BAG, round(line.bag_kg / unit, 4), input_cell)
        sheet.write_formula(row, BAGS, f"=ROUNDUP(ROUND(F{n}/G{n},6),0)", None, line.bags)
        sheet.write_formula(row, ORDERED, f"=H{n}*G{n}", number, line.ordered_kg / unit)
        sheet.write_formula(row, LEFT, f"=I{n}-C{n}", number, line.left_over_kg / unit)
        if line.price is not None:
            sheet.write_number(row, PRICE, round(line.price.per_kg * unit, 4), input_cell)
        else:
            sheet.write_blank(row, PRICE, None, input_cell)
        sheet.write_formula(
            row, COST, f'=IF(K{n}="","",I{n}*K{n})', number, "" if line.cost is None else line.cost
        )
    if not plan.order:
        sheet.write_string(1, 0, "nothing to order")
        return
    end = len(plan.order) + 1
    sheet.write_string(end, 0, "all", bold)
    for column, values in (
        (SOWN, [one.sown_kg / unit for one in plan.order]),
        (OVERAGE, [one.overage_kg / unit for one in plan.order]),
        (RESIDUAL, [one.residual_kg / unit for one in plan.order]),
        (NEED, [one.need_kg / unit for one in plan.order]),
        (ORDERED, [one.ordered_kg / unit for one in plan.order]),
        (LEFT, [one.left_over_kg / unit for one in plan.order]),
        (COST, [one.cost or 0.0 for one in plan.order]),
    ):
        letter = "ABCDEFGHIJKL"[column]
        sheet.write_formula(end, column, f"=SUM({letter}2:{letter}{end})", number, sum(values))
    priced = sum(line.price is not None for line in plan.order)
    sheet.write_formula(
        end + 1,
        0,
        f'=COUNT(K2:K{end})&" of {len(plan.order)} lots have a price"',
        None,
        f"{priced} of {len(plan.order)} lots have a price",
    )
    for k, carrier in enumerate(plan.carriers):
        sheet.write_string(end + 3 + k, 0, plain(carrier.name))
        sheet.write_string(end + 3 + k, 1, "carrier")
        sheet.write_number(end + 3 + k, NEED, round(carrier.kg / unit, 4), number)
    sheet.set_column(0, 0, 26)
    sheet.set_column(1, COST, 12)
    sheet.freeze_panes(1, 2)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)


OUTPUT: Output[PlanAsked] = Output(
    name="order",
    words="spreadsheet of the seed order",
    make=lambda asked: {"seed-order.xlsx": lambda path: write_order(asked.plan, asked.q, path)},
    extra="sheets",
)
