"""The board's report: cells and sums from a made-up ledger of round numbers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from seasons import season_of

from fieldplan.facts import fact
from fieldplan.model.records import Board, BoardLine, DrillLine
from fieldplan.report.data.board import board_object
from fieldplan.report.documents.board import board_document
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.quantities import Quantities, System

ACRE_M2 = 4046.8564224
DAY = date(2027, 5, 3)
A, B, C = (
    placement.request
    for placement in season_of(
        DAY, DAY, [("drill 1", renter, DAY, 1) for renter in ("Ash", "Birch", "Cedar")]
    ).placements
)


def _line(name: str, users: int, mapped: float, drilled: float, billed: float) -> BoardLine:
    return BoardLine(
        name=name, users=users, mapped_m2=mapped * ACRE_M2, drilled_m2=drilled * ACRE_M2, billed_ac=billed
    )


def _drill(name: str, rentals: int, days: int, acres: float, rain: int, repairs: str) -> DrillLine:
    return DrillLine(
        name=name,
        rentals=rentals,
        days_out=days,
        drilled_m2=acres * ACRE_M2,
        rain_days=rain,
        repairs=Decimal(repairs),
    )


BOARD = Board(
    as_of=date(2027, 7, 1),
    requests=5,
    rentals=4,
    users=3,
    groups={"county": (_line("North", 2, 40, 44, 42.5), _line("", 1, 10, 11, 10.25))},
    drills=(_drill("drill 1", 3, 9, 44, 2, "125.50"), _drill("drill 2", 1, 4, 11, 1, "0")),
    total=_line("", 3, 50, 55, 52.75),
    charged=Decimal("738.50"),
    paid=Decimal("650"),
    deposits=Decimal("200"),
    balances=(
        (A, Decimal("500"), Decimal("400")),
        (B, Decimal("200"), Decimal("211.50")),
        (C, Decimal("38.50"), Decimal("38.50")),
    ),
    strays=("X-1",),
    repairs=Decimal("125.50"),
    rain_days=3,
    turned_away=((A, 20 * ACRE_M2, "too late"), (B, 5 * ACRE_M2, "no drill")),
    open_requests=("Cedar",),
    seed_kg={"oats": 453.59237, "rye": 45.359237},
    unbilled=((C, fact("kept-in-rain")),),
    unaccounted_m2=3 * ACRE_M2,
    remarks=((A, "good drill"),),
    currency="$",
)


def _part(name: str, system: System = "us", board: Board = BOARD) -> Part:
    document: Document = board_document(board, "Spring", Quantities(system))
    return next(part for part in document.parts if part.name == name)


def test_groups_are_told_in_acres_with_their_sum() -> None:
    """A group without a name is not recorded; a hectare is 2.47105 acres, of billed ones too."""
    part = _part("By county")
    assert part.header == ("county", "renters", "acres on the map", "acres drilled", "acres billed")
    assert part.rows == (
        ("North", "2", "40.00", "44.00", "42.50"),
        ("not recorded", "1", "10.00", "11.00", "10.25"),
        ("all", "3", "50.00", "55.00", "52.75"),
    )
    assert _part("By county", "metric").rows[0] == ("North", "2", "16.19", "17.81", "17.20")


def test_drills_are_told_with_their_sum() -> None:
    """4 rentals, 13 days out, 55 acres, 3 days of rain, $125.50 of repairs."""
    assert _part("By drill").rows == (
        ("drill 1", "3", "9", "44.00", "2", "$125.50"),
        ("drill 2", "1", "4", "11.00", "1", "$0.00"),
        ("all", "4", "13", "55.00", "3", "$125.50"),
    )


def test_what_is_owed_is_not_set_off_against_what_is_to_be_paid_back() -> None:
    """One owes $100.00, another is owed $11.50, a third is even; deposits are no income."""
    part = _part("Income and repairs")
    assert part.rows == (
        ("charged", "$738.50"),
        ("paid", "$650.00"),
        ("owed", "$100.00"),
        ("to be paid back", "$11.50"),
        ("repairs", "$125.50"),
        ("charged less repairs", "$613.00"),
    )
    assert part.lines[0] == "Deposits of $200.00 are held; they are not income."
    assert part.lines[1].startswith("Not billed: Cedar (Cedar): ")


def test_where_nobody_is_owed_that_line_is_left_out() -> None:
    """And so is that of deposits, where none are held."""
    part = _part(
        "Income and repairs",
        board=replace(BOARD, balances=BOARD.balances[:1], deposits=Decimal(0), unbilled=()),
    )
    assert [name for name, _ in part.rows] == ["charged", "paid", "owed", "repairs", "charged less repairs"]
    assert part.lines == ()


def test_only_accounts_that_are_open_are_listed() -> None:
    """With what is owed, less than nothing where it is to be paid back."""
    assert _part("Not settled").rows == (
        ("Ash", "Ash", "$500.00", "$400.00", "$100.00"),
        ("Birch", "Birch", "$200.00", "$211.50", "−$11.50"),
    )


def test_seed_and_those_turned_away_are_told_in_the_readers_units() -> None:
    """1,000 and 100 lb; 20 and 5 acres, 25 in short."""
    assert _part("Seed sown").rows == (("oats", "1,000.0"), ("rye", "100.0"))
    assert _part("Seed sown", "metric").rows == (("oats", "453.6"), ("rye", "45.4"))
    assert _part("Turned away").rows == (
        ("Ash", "Ash", "too late", "20.0"),
        ("Birch", "Birch", "no drill", "5.0"),
    )
    assert _part("What renters said").lines == ("Ash: good drill",)


def test_in_short() -> None:
    """Counts and acres as they are in the ledger."""
    assert _part("In short").lines == (
        "4 rentals to 3 renters, of 5 requests.",
        "55.0 acres drilled by the meters, on 50.0 acres on the map.",
        "3 drill-days lost to weather.",
        "2 requests turned away, 25.0 acres.",
        "Entries name X-1, not in the list of requests: no total here includes them.",
        "1 request neither returned nor turned away: Cedar.",
        "3.0 acres were metered while no renter had the drill.",
    )


def test_the_last_word_compares_with_published_drills() -> None:
    """500 to 600 and 350 acres (fieldplan/tables/machinery.csv names the sources), 202 to 243 and 142
    hectares.
    """
    us, metric = (board_document(BOARD, "Spring", Quantities(system)).last for system in ("us", "metric"))  # type: ignore[arg-type]
    assert us == (
        "For comparison: one published drill of 10 ft sowed 500 to 600 acres and more in a year (source: drill-season), one of 12 ft about 350 "
        "(source: drill-season-12)."
    )
    assert "one published drill of 3.05 m sowed 200 to 240 hectares" in metric
    assert "one of 3.66 m about 140 (" in metric


def test_the_object_says_the_same_in_si() -> None:
    """Acres that were billed as square metres, money as text."""
    made = board_object(BOARD)
    assert (made["schema"], made["as_of"], made["open"], made["strays"]) == (
        "fieldplan/board/1",
        "2027-07-01",
        ["Cedar"],
        ["X-1"],
    )
    assert (made["requests"], made["loans"], made["users"], made["rain_days"], made["unaccounted_m2"]) == (
        5,
        4,
        3,
        3,
        3 * ACRE_M2,
    )
    assert made["groups"] == {
        "county": [
            {
                "name": "North",
                "users": 2,
                "mapped_m2": 40 * ACRE_M2,
                "drilled_m2": 44 * ACRE_M2,
                "billed_m2": 42.5 * ACRE_M2,
            },
            {
                "name": "not recorded",
                "users": 1,
                "mapped_m2": 10 * ACRE_M2,
                "drilled_m2": 11 * ACRE_M2,
                "billed_m2": 10.25 * ACRE_M2,
            },
        ]
    }
    assert made["total"] == {
        "name": "all",
        "users": 3,
        "mapped_m2": 50 * ACRE_M2,
        "drilled_m2": 55 * ACRE_M2,
        "billed_m2": 52.75 * ACRE_M2,
    }
    assert set(made) == {
        "schema",
        "as_of",
        "requests",
        "loans",
        "users",
        "groups",
        "total",
        "drills",
        "charged",
        "paid",
        "deposits",
        "repairs",
        "currency",
        "rain_days",
        "seed_kg",
        "unaccounted_m2",
        "turned_away",
        "open",
        "strays",
        "balances",
        "unbilled",
        "down_days",
        "downtimes",
        "remarks",
    }
    assert (made["currency"], made["seed_kg"], made["remarks"]) == (
        "$",
        dict(BOARD.seed_kg),
        ["Ash: good drill"],
    )
    assert (made["charged"], made["paid"], made["deposits"], made["repairs"]) == (
        "738.50",
        "650",
        "200",
        "125.50",
    )
    assert made["turned_away"] == [
        {"request": "Ash", "mapped_m2": 20 * ACRE_M2, "why": "too late"},
        {"request": "Birch", "mapped_m2": 5 * ACRE_M2, "why": "no drill"},
    ]
    assert made["balances"] == [
        {"request": "Ash", "charged": "500", "paid": "400"},
        {"request": "Birch", "charged": "200", "paid": "211.50"},
        {"request": "Cedar", "charged": "38.50", "paid": "38.50"},
    ]
    assert made["drills"] == [
        {
            "name": "drill 1",
            "loans": 3,
            "days_out": 9,
            "drilled_m2": 44 * ACRE_M2,
            "rain_days": 2,
            "down_days": 0,
            "repairs": "125.50",
        },
        {
            "name": "drill 2",
            "loans": 1,
            "days_out": 4,
            "drilled_m2": 11 * ACRE_M2,
            "rain_days": 1,
            "down_days": 0,
            "repairs": "0",
        },
    ]


def test_every_table_has_a_header_over_each_column() -> None:
    """Named as the figures under it are."""
    tables = {
        part.name: part for part in board_document(BOARD, "Spring", Quantities("metric")).parts if part.rows
    }
    assert {name: part.header for name, part in tables.items()} == {
        "By county": ("county", "renters", "hectares on the map", "hectares drilled", "hectares billed"),
        "By drill": ("drill", "rentals", "days out", "hectares drilled", "days lost", "repairs"),
        "Income and repairs": ("", "sum"),
        "Not settled": ("renter", "request", "charged", "paid", "owed"),
        "Turned away": ("renter", "request", "why", "hectares"),
        "Seed sown": ("seed", "kg"),
    }
    assert all(len(row) == len(part.header) for part in tables.values() for row in part.rows)
