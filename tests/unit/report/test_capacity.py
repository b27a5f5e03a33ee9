"""The capacity report: cells and sentences from a made-up season of round numbers."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from seasons import season_of

from fieldplan.facts import fact
from fieldplan.model.capacity import Asked, Capacity, Chances, DrillUse, Option
from fieldplan.report.data.capacity import capacity_object
from fieldplan.report.documents.capacity import _chance, capacity_document
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.quantities import Quantities, System

ACRE_M2 = 4046.8564224
OPENS = date(2027, 4, 1)


def _option(code: str, booked_prob: float, all_prob: float, *bookings: tuple[str, int]) -> Option:
    """Bookings by renter, days after the opening; one square metre each."""
    season = season_of(
        OPENS,
        OPENS + timedelta(days=29),
        [("drill 1", renter, OPENS + timedelta(days=k), 2) for renter, k in bookings],
    )
    chances = Chances(
        all_prob=all_prob,
        booked_prob=booked_prob,
        each_prob={renter: 0.9 - 0.1 * n for n, (renter, _) in enumerate(bookings)},
        n_drawn=400,
    )
    return Option(changed=fact(code), season=season, chances=chances)


FOUND = Capacity(
    asked=Asked(days=50, fieldwork_days=24.6, ground_m2=300 * ACRE_M2, unable=("R-9", "R-10")),
    drills=(
        DrillUse(
            name="drill 1", working_days=30, fieldwork_days=16.4, booked_days=20, ground_m2=120 * ACRE_M2
        ),
        DrillUse(
            name="drill 2", working_days=25, fieldwork_days=12.3, booked_days=5, ground_m2=80 * ACRE_M2
        ),
    ),
    now=_option("kept-in-rain", 0.75, 0.5, ("a", 0), ("b", 4)),
    options=(_option("kept-in-rain", 1.0, 0.0, ("a", 0)),),
)


def _part(name: str, system: System = "us") -> Part:
    document: Document = capacity_document(FOUND, Quantities(system))
    return next(part for part in document.parts if part.name == name)


def test_days_and_ground_are_those_of_each_drill_and_of_all() -> None:
    """55 working days, 28.7 fit ones, 25 booked, 200 acres; 50 days asked for, 24.6 fit ones needed, 300
    acres.
    """
    assert _part("Days and ground").rows == (
        ("drill 1", "30", "16", "20", "120.0"),
        ("drill 2", "25", "12", "5", "80.0"),
        ("all", "55", "29", "25", "200.0"),
        ("asked for", "50 to book", "25 needed", "", "300.0"),
    )
    assert [row[-1] for row in _part("Days and ground", "metric").rows] == ["48.6", "32.4", "80.9", "121.4"]


def test_acres_stand_beside_those_of_published_drills() -> None:
    """100 acres a drill; 500 to 600 ac with one of 10 ft, 350 ac with one of 12 ft
    (fieldplan/tables/machinery.csv names the sources).
    """
    (us,) = [line for line in _part("In short").lines if "published" in line]
    (metric,) = [line for line in _part("In short", "metric").lines if "published" in line]
    assert us == (
        "This season books 100 acres per drill; published: 500 to 600 acres and more in a year with one drill of 10 ft "
        "(source: drill-season), about 350 with one of 12 ft (source: drill-season-12)."
    )
    assert metric.startswith(
        "This season books 40 hectares per drill; published: 200 to 240 hectares and more"
    )
    assert "one drill of 3.05 m" in metric
    assert "about 140 with one of 3.66 m" in metric


def test_in_short_counts_are_sums() -> None:
    """0.9 + 0.8 requests are done on average; 2 × √(0.75 × 0.25 / 400) is 4 %."""
    lines = _part("In short").lines
    assert lines[:2] == (
        "2 of 2 requests have a booking; in an average season 1.7 are done in time.",
        "Chance that everyone booked is done by their last day: 75 % (give or take 4).",
    )
    assert "50 days to book were asked for, 55 drill-days are available." in lines
    assert "No drill can do R-9, R-10 within the longest booking; their days are not counted." in lines


@pytest.mark.parametrize(
    ("prob", "n", "shown"),
    [
        (0.5, 100, "50 % (give or take 10)"),
        (0.5, 10_000, "50 % (give or take 1)"),
        (0.5, 50_000, "50 %"),
        (1.0, 400, "over 99 %"),
        (0.0, 400, "0 %"),
        (0.9, 900, "90 % (give or take 2)"),
    ],
)
def test_a_chance_that_was_drawn_has_twice_its_standard_error(prob: float, n: int, shown: str) -> None:
    """√(p (1 − p) / n), left out under half a percent; what was drawn is never certain."""
    assert _chance(prob, n) == shown


def test_each_change_has_its_own_season() -> None:
    """Bookings, ground, mean, odds of those booked and of all; a square metre each is no acre."""
    rows = _part("What a change would bring").rows
    assert [row[1:] for row in rows] == [
        ("2", "0", "0", "1.7", "75 %", "50 %"),
        ("1", "0", "0", "0.9", "over 99 %", "0 %"),
    ]


def test_each_booking_has_its_day_and_its_odds() -> None:
    """The first on Thursday, 1 April, the second on Monday the 5th; both until the season closes."""
    assert _part("Each booking").rows == (
        ("a", "drill 1", "Thu 01 Apr", "Fri 30 Apr", "90 %"),
        ("b", "drill 1", "Mon 05 Apr", "Fri 30 Apr", "80 %"),
    )


def test_the_object_says_the_same_in_si() -> None:
    """Drills, what was asked, the season as it is and every change."""
    made = capacity_object(FOUND)
    assert (made["schema"], made["weathers"]) == ("fieldplan/capacity/1", 400)
    assert made["asked"] == {
        "days": 50,
        "fit_days": 24.6,
        "ground_m2": 300 * ACRE_M2,
        "unable": ["R-9", "R-10"],
    }
    assert made["drills"] == [
        {
            "name": "drill 1",
            "working_days": 30,
            "fit_days": 16.4,
            "booked_days": 20,
            "ground_m2": 120 * ACRE_M2,
        },
        {
            "name": "drill 2",
            "working_days": 25,
            "fit_days": 12.3,
            "booked_days": 5,
            "ground_m2": 80 * ACRE_M2,
        },
    ]
    now, options = made["now"], made["options"]
    assert isinstance(now, dict)
    assert isinstance(options, list)
    assert [
        (option["booked"], option["booked_prob"], option["all_prob"]) for option in (now, *options)
    ] == [
        (2, 0.75, 0.5),
        (1, 1.0, 0.0),
    ]
    assert now["mean_done"] == pytest.approx(1.7)
    assert made["each_prob"] == {"a": 0.9, "b": 0.8}


def test_every_table_has_a_header_over_each_column() -> None:
    """Named as the figures under it are."""
    tables = {part.name: part for part in capacity_document(FOUND, Quantities()).parts if part.rows}
    assert {name: part.header for name, part in tables.items()} == {
        "Days and ground": ("drill", "working days", "fieldwork days", "booked days", "acres"),
        "What a change would bring": (
            "",
            "booked",
            "acres",
            "days of waiting",
            "done in time",
            "all booked done",
            "all who asked done",
        ),
        "Each booking": ("renter", "drill", "from", "may work until", "done in time"),
    }
    assert all(len(row) == len(part.header) for part in tables.values() for row in part.rows)
    assert capacity_document(FOUND, Quantities()).sources == ("drill-season", "drill-season-12")


def test_how_it_was_calculated_says_how_many_weathers_and_what_confidence() -> None:
    """400 drawn, and the 80 % of the season's terms."""
    lines = _part("How it was calculated").lines
    assert len(lines) == 4
    assert lines[0].startswith("400 weathers were simulated")
    assert (
        f"with {100 * FOUND.now.season.program.terms.confidence_prob:.0f} % confidence in each booking"
        in lines[2]
    )
