"""The seed order as a spreadsheet with formulas that a person can change: overage, bags, cost."""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

from fieldplan.model.budget import OrderLine
from fieldplan.model.plan import Plan
from fieldplan.report.data.workbook import set_head, workbook
from fieldplan.report.output import Output, PlanAsked
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities

SOWN, OVERAGE, RESIDUAL, NEED, BAG, BAGS, ORDERED, LEFT, PRICE, COST = range(2, 12)
"""Columns after species and lot."""


def write_order(plan: Plan, q: Quantities, path: Path) -> None:
    """Write one row for each lot, with sums below.

    Formulas: need = sown + overage; bags = need / bag, rounded up; cost = ordered × price where there is one.

    Parameters
    ----------
    plan
        The plan whose seed is ordered.
    q
        Units of the masses.
    path
        The file to write.

    Raises
    ------
    MissingExtra
        If the spreadsheet writer is not installed.
    """
    with workbook(path, "Seed order") as book:
        sheet = book.add_worksheet("seed order")
        formats = _Formats(
            bold=book.add_format({"bold": True, "text_wrap": True}),
            to_change=book.add_format({"bg_color": "#fff2cc"}),
            number=book.add_format({"num_format": "#,##0.00"}),
        )
        sheet.write_row(0, 0, _headings(plan, q), formats.bold)
        sheet.set_row(0, 48)  # three lines: no program fits the height before it is shown
        for row, line in enumerate(plan.order, start=1):
            _write_line(sheet, formats, row, line, q.mass_unit_kg)
        if plan.order:
            _write_sums(sheet, formats, plan, q.mass_unit_kg)
            _write_carriers(sheet, formats, plan, q.mass_unit_kg)
            _set_pages(sheet)
            set_head(sheet, plan.job.drill.letterhead)
        else:
            sheet.write_string(1, 0, "nothing to order")


class _Formats(NamedTuple):
    bold: Any
    to_change: Any
    number: Any


def _headings(plan: Plan, q: Quantities) -> list[str]:
    unit = q.mass_unit
    currencies = sorted({line.price.currency for line in plan.order if line.price is not None})
    money = f", {'/'.join(currencies)}" if currencies else ""
    return [
        *(
            "species",
            "lot",
            f"sown, {unit}",
            f"overage, {unit}",
            f"residual in boxes, {unit}",
            f"need, {unit}",
        ),
        *(f"bag, {unit}", "bags", f"ordered, {unit}", f"left over, {unit}"),
        *(f"price per {unit}{money}", f"cost{money}"),
        *(
            (f"need by the highest published count, {unit}", f"by the lowest, {unit}")
            if any(line.need_range_kg for line in plan.order)
            else ()
        ),
    ]


def _write_line(sheet: Any, formats: _Formats, row: int, line: OrderLine, unit_kg: float) -> None:
    """A lot: formulas with the values that the plan has for them, so that viewers show these."""
    n, number, to_change = row + 1, formats.number, formats.to_change
    sheet.write_string(row, 0, plain(line.species))
    sheet.write_string(row, 1, plain(line.lot))
    sheet.write_number(row, SOWN, round(line.sown_kg / unit_kg, 4), number)
    sheet.write_number(row, OVERAGE, round(line.overage_kg / unit_kg, 4), to_change)
    sheet.write_number(row, RESIDUAL, round(line.residual_kg / unit_kg, 4), number)
    sheet.write_formula(row, NEED, f"=C{n}+D{n}", number, line.need_kg / unit_kg)
    sheet.write_number(row, BAG, round(line.bag_kg / unit_kg, 4), to_change)
    sheet.write_formula(row, BAGS, f"=ROUNDUP(ROUND(F{n}/G{n},6),0)", None, line.bags)
    sheet.write_formula(row, ORDERED, f"=H{n}*G{n}", number, line.ordered_kg / unit_kg)
    sheet.write_formula(row, LEFT, f"=I{n}-C{n}", number, line.left_over_kg / unit_kg)
    if line.price is not None:
        sheet.write_number(row, PRICE, round(line.price.per_kg * unit_kg, 4), to_change)
    else:
        sheet.write_blank(row, PRICE, None, to_change)
    for column, need_kg in enumerate(line.need_range_kg or (), start=COST + 1):
        sheet.write_number(row, column, round(need_kg / unit_kg, 4), number)
    cost = "" if line.cost is None else line.cost
    sheet.write_formula(row, COST, f'=IF(K{n}="","",I{n}*K{n})', number, cost)


def _write_sums(sheet: Any, formats: _Formats, plan: Plan, unit_kg: float) -> None:
    """A row of sums, and below it how many lots have a price."""
    end, n = len(plan.order) + 1, len(plan.order)
    sheet.write_string(end, 0, "all", formats.bold)
    for column, values in _summed(plan, unit_kg).items():
        letter = "ABCDEFGHIJKL"[column]
        sheet.write_formula(end, column, f"=SUM({letter}2:{letter}{end})", formats.number, sum(values))
    text = f" of {n} lots have a price"
    n_priced = sum(line.price is not None for line in plan.order)
    sheet.write_formula(end + 1, 0, f'=COUNT(K2:K{end})&"{text}"', None, f"{n_priced}{text}")


def _summed(plan: Plan, unit_kg: float) -> dict[int, list[float]]:
    """The columns that have a sum, with their values."""
    return {
        SOWN: [line.sown_kg / unit_kg for line in plan.order],
        OVERAGE: [line.overage_kg / unit_kg for line in plan.order],
        RESIDUAL: [line.residual_kg / unit_kg for line in plan.order],
        NEED: [line.need_kg / unit_kg for line in plan.order],
        ORDERED: [line.ordered_kg / unit_kg for line in plan.order],
        LEFT: [line.left_over_kg / unit_kg for line in plan.order],
        COST: [line.cost or 0.0 for line in plan.order],
    }


def _write_carriers(sheet: Any, formats: _Formats, plan: Plan, unit_kg: float) -> None:
    for row, carrier in enumerate(plan.carriers, start=len(plan.order) + 4):
        sheet.write_string(row, 0, plain(carrier.name))
        sheet.write_string(row, 1, "carrier")
        sheet.write_number(row, NEED, round(carrier.kg / unit_kg, 4), formats.number)


def _set_pages(sheet: Any) -> None:
    sheet.set_column(0, 0, 26)
    sheet.set_column(1, COST + 2, 12)
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
