"""Cells of the spreadsheets, read back: values as they are shown and formulas as they are worked out
anew.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from seasons import season_of

from fieldplan.facts import fact
from fieldplan.model.plan import Plan
from fieldplan.model.season import Refusal
from fieldplan.model.seed import Price
from fieldplan.report.data.order_xlsx import write_order
from fieldplan.report.data.season_xlsx import write_season
from fieldplan.report.words.quantities import Quantities, System

POUND_KG, ACRE_M2 = 0.45359237, 4046.8564224
OPENS = date(2027, 4, 1)


def _cells(path: Path, sheet: str, *, formulas: bool = False) -> list[tuple[Any, ...]]:
    return list(openpyxl.load_workbook(path, data_only=not formulas)[sheet].iter_rows(values_only=True))


@pytest.mark.parametrize("system", ["us", "metric"])
def test_an_order_is_worked_out_from_its_own_cells(
    restoration: Plan, tmp_path: Path, system: System
) -> None:
    """Need = sown + overage, bags hold it, cost = what they hold × price, sums under each; to the four
    decimals of the cells.
    """
    unit_kg = POUND_KG if system == "us" else 1.0
    priced = replace(
        restoration,
        order=tuple(
            replace(line, price=Price(per_kg=2.0 + n, currency="$") if n % 2 else None)
            for n, line in enumerate(restoration.order)
        ),
    )
    write_order(priced, Quantities(system), tmp_path / "order.xlsx")
    rows, n = _cells(tmp_path / "order.xlsx", "seed order"), len(priced.order)
    word = "lb" if system == "us" else "kg"
    assert rows[0][2:4] == (f"sown, {word}", f"overage, {word}")
    assert rows[0][10:12] == (f"price per {word}, $", "cost, $")
    for row, line in zip(rows[1 : n + 1], priced.order, strict=True):
        _, _, sown, overage, stays, need, bag, bags, ordered, left, price, cost = row
        assert row[:2] == (line.species, line.lot or None)
        assert (sown, stays, bag) == pytest.approx(
            (line.sown_kg / unit_kg, line.residual_kg / unit_kg, line.bag_kg / unit_kg), abs=5.1e-5
        )
        assert need == pytest.approx(sown + overage, abs=2e-4)
        assert bags == math.ceil(round(need / bag, 6)) == line.bags
        assert (ordered, left) == (
            pytest.approx(bags * bag, rel=1e-4),
            pytest.approx(ordered - sown, abs=1e-2),
        )
        if line.price is None:
            assert (price, cost or None) == (None, None)
        else:
            assert price == pytest.approx(line.price.per_kg * unit_kg, abs=5.1e-5)
            assert cost == pytest.approx(price * ordered, rel=1e-4)
    for column in (2, 3, 4, 5, 8, 9):
        assert rows[n + 1][column] == pytest.approx(sum(row[column] for row in rows[1 : n + 1]), abs=1e-2)
    assert rows[n + 1][11] == pytest.approx(sum(row[11] or 0.0 for row in rows[1 : n + 1]), rel=1e-4)
    assert rows[n + 1][6] is rows[n + 1][7] is rows[n + 1][10] is None
    assert rows[n + 2][0] == f"{n // 2} of {n} lots have a price"
    for row, carrier in zip(rows[n + 4 :], priced.carriers, strict=True):
        assert (row[0], row[1]) == (carrier.name, "carrier")
        assert row[5] == pytest.approx(carrier.kg / unit_kg, abs=5.1e-5)


def test_formulas_of_an_order_name_the_cells_of_their_row(restoration: Plan, tmp_path: Path) -> None:
    """Columns C to L; sums from the first lot to the last."""
    write_order(restoration, Quantities(), tmp_path / "order.xlsx")
    rows, n = _cells(tmp_path / "order.xlsx", "seed order", formulas=True), len(restoration.order)
    for k, row in enumerate(rows[1 : n + 1], start=2):
        assert (row[5], row[7], row[8], row[9], row[11]) == (
            f"=C{k}+D{k}",
            f"=ROUNDUP(ROUND(F{k}/G{k},6),0)",
            f"=H{k}*G{k}",
            f"=I{k}-C{k}",
            f'=IF(K{k}="","",I{k}*K{k})',
        )
    sums = {letter: rows[n + 1]["ABCDEFGHIJKL".index(letter)] for letter in "CDEFIJL"}
    assert sums == {letter: f"=SUM({letter}2:{letter}{n + 1})" for letter in sums}
    assert rows[n + 2][0] == f'=COUNT(K2:K{n + 1})&" of {n} lots have a price"'


def test_an_order_of_nothing_says_so(restoration: Plan, tmp_path: Path) -> None:
    """Under the header, and no sums."""
    write_order(replace(restoration, order=(), carriers=()), Quantities(), tmp_path / "order.xlsx")
    assert [row[0] for row in _cells(tmp_path / "order.xlsx", "seed order")] == [
        "species",
        "nothing to order",
    ]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Two bookings, the first over a Sunday, one of them far; a third renter is not served."""
    season = season_of(
        OPENS,
        OPENS + timedelta(days=9),
        [("drill 1", "Ash", date(2027, 4, 3), 2), ("drill 2", "Birch", date(2027, 4, 3), 1)],
    )
    ash, birch = season.placements
    ash = replace(
        ash,
        duration=replace(ash.duration, ground_m2=1250 * ACRE_M2, job_s=1000 * 3600.0),
        waiting_days=7,
        tow_m=12_345.6,
        collect_from="Birch",
    )
    birch = replace(birch, shared_booking=("Birch", "Cedar"))
    refused = Refusal(
        request=replace(birch.request, request_id="R-3", renter="Cedar"),
        reason=fact("kept-in-rain"),
        changes=(),
    )
    path = tmp_path / "season.xlsx"
    write_season(replace(season, placements=(ash, birch), refusals=(refused,)), Quantities(), path)
    return path


def test_a_booking_is_a_row_of_numbers_and_days(book: Path) -> None:
    """1,250 acres are a number, and a day is a day."""
    header, first, second = _cells(book, "bookings")
    row = dict(zip(header, first, strict=True))
    assert (row["drill"], row["request"], row["renter"]) == ("drill 1", "Ash", "Ash")
    assert (row["first day"], row["last day"]) == (datetime(2027, 4, 3), datetime(2027, 4, 5))
    assert (row["working days"], row["acres"], row["hours"], row["waiting days"]) == (2, 1250.0, 1000.0, 7)
    assert row["tow, miles"] == 7.7  # 12,345.6 m of 1,609.344 m each
    assert (second[header.index("shares with")], second[header.index("working days")]) == ("Cedar", 1)


def test_who_is_not_served_stands_on_a_sheet_of_its_own(book: Path) -> None:
    """With the reason."""
    header, row = _cells(book, "not served")
    assert header == ("request", "renter", "reason", "what would change it")
    assert row[:2] == ("R-3", "Cedar")


def test_each_day_says_who_has_which_drill(book: Path) -> None:
    """From the first day of the season to the last; a day off within a booking is the renter's."""
    header, *rows = _cells(book, "days")
    assert header == ("day", "drill 1", "drill 2")
    assert [row[0] for row in rows] == [datetime(2027, 4, 1) + timedelta(days=k) for k in range(10)]
    assert [row[1] or "" for row in rows] == ["", "", "Ash", "Ash", "Ash", "", "", "", "", ""]
    assert [row[2] or "" for row in rows] == ["", "", "Birch", "", "", "", "", "", "", ""]
