"""A drill breaks down and is repaired: its bookings go the ways of the living season, and days and cost can be traced."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from living import Clerk, odds_of, row

pytest.importorskip("ortools")

NAMES = ("A", "B", "C", "D")
DOWN = 'down drill=one day=2027-05-06 until=2027-05-11 what="hose burst"'


@pytest.fixture
def clerk(tmp_path: Path) -> Clerk:
    """Two drills and four requests of 12 acres, early by the rules: three days each, two on each drill."""
    return (
        Clerk(tmp_path / "spring")
        .season(drills=("one", "two"), early_by_rules="true")
        .list(*(row(name, asked=f"2027-03-0{k}") for k, name in enumerate(NAMES, start=1)))
    )


def _days(first: str, last: str) -> set[str]:
    start, end = date.fromisoformat(first), date.fromisoformat(last)
    return {str(start + timedelta(days=k)) for k in range((end - start).days + 1)}


def test_bookings_in_the_down_time_move_and_held_ones_are_named(clerk: Clerk) -> None:
    """By hand: A and B have 3, 4 and 5 May, C and D 6, 7 and 8 May (Sundays off). Drill one breaks on the 6th until the
    11th. Who is on it on the 6th and has not said yes moves, to days that are not lost. Who said yes keeps the days: all
    3 are lost, so its odds are none, and it is named with other days that it could have.
    """
    before = clerk.bookings()
    on_one = next(name for name in ("C", "D") if before[name]["drill"] == "one")
    other = next(name for name in ("C", "D") if name != on_one)
    assert before[on_one]["days"] == ["2027-05-06", "2027-05-07", "2027-05-08"]
    clerk.record(DOWN)
    found = clerk.json("rain --today 2027-05-06")
    changes = {one["request"]: one for one in found["changes"]}
    moved = changes[on_one]
    assert moved["now"]["days"] != before[on_one]["days"]
    assert moved["now"]["drill"] == "two" or not set(moved["now"]["days"]) & _days(
        "2027-05-06", "2027-05-11"
    )
    assert changes[other]["now"] == changes[other]["was"]
    held = Clerk(clerk.folder.parent / "held").season(drills=("one", "two"), early_by_rules="true")
    held.list(*clerk.rows.values()).bookings()
    held.record(f"confirm request={on_one} day=2027-04-01", DOWN)
    found = held.json("rain --today 2027-05-06")
    (clash,) = found["clashes"]
    assert (clash["request"], clash["odds_prob"]) == (on_one, 0)
    assert {one["why"] for one in clash["lost"]} == {"breakdown: hose burst"}
    own = next(one for one in clash["choices"] if one["command"].startswith(f"release request={on_one}"))
    release, confirm = own["command"].split("; ")
    held.record(f"{release} day=2027-05-06", f"{confirm} day=2027-05-06")
    now = held.bookings()[on_one]
    assert now["confirmed"]
    assert now["drill"] == "two" or not set(now["days"]) & _days("2027-05-06", "2027-05-11")


def test_a_repair_ends_the_down_time_sooner_or_later_than_expected(clerk: Clerk) -> None:
    """By hand: C or D has 6, 7, 8 May on drill one. Broken from the 6th until the 11th, 3 days are lost; working again on
    the 7th, 1 day is: odds of one fieldwork day in two. Working again only on the 14th, a booking confirmed for the 12th
    and 13th loses both.
    """
    before = clerk.bookings()
    name = next(name for name in ("C", "D") if before[name]["drill"] == "one")
    clerk.record(f"confirm request={name} day=2027-04-01", DOWN)
    clerk.record('repair drill=one day=2027-05-06 cost=$84.50 what="new hose" works=2027-05-07')
    assert clerk.bookings()[name]["odds_prob"] == pytest.approx(odds_of(2, 1))
    clerk.record('repair drill=one day=2027-05-06 cost=$84.50 what="new hose" works=2027-05-06 corrects=11')
    assert clerk.bookings()[name]["odds_prob"] == pytest.approx(odds_of(3, 1))
    assert [one["kind"] for one in clerk.entries][-3:] == ["down", "repair", "repair"]


def test_days_and_cost_of_a_breakdown_are_on_the_boards_page(clerk: Clerk) -> None:
    """By hand: broken on Thursday 6 May, working again on Wednesday 12: Thu, Fri, Sat, Mon, Tue are 5 working days, Sunday
    is none. Repairs $84.50 + $310.00 (billed later, named by the day of the breakdown) = $394.50. New seed tubes in June
    belong to no breakdown: $40. Rain on 4 May is one day with each drill, and no breakdown.
    """
    clerk.does("plan")
    clerk.record(
        DOWN,
        'repair drill=one day=2027-05-11 cost=$84.50 what="new hose" works=2027-05-12',
        'repair drill=one day=2027-06-01 cost=$310 what="mechanic" broke=2027-05-06',
        'repair drill=one day=2027-06-02 cost=$40 what="seed tubes"',
        "lost day=2027-05-04 why=rain",
    )
    board = clerk.json("board --day 2027-06-30")
    (down,) = board["downtimes"]
    assert (down["days"], down["cost"], down["works"]) == (5, "394.50", "2027-05-12")
    kinds = {one["number"]: one["kind"] for one in clerk.entries}
    assert [kinds[number] for number in down["rows"]] == ["down", "repair", "repair"]
    assert board["repairs"] == "434.50"
    assert (board["down_days"], board["rain_days"]) == (5, 2)
    drills = {one["name"]: one for one in board["drills"]}
    assert (drills["one"]["down_days"], drills["two"]["down_days"]) == (5, 0)
    clerk.does("board --day 2027-06-30")
    assert "5 drill-days lost to breakdowns and repairs." in clerk.said
    assert "hose burst" in clerk.said


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ((DOWN, DOWN.replace("05-06", "05-08")), "is out of work already"),
        (("repair drill=one day=2027-05-06 cost=$1 what=x works=2027-05-07",), "was not out of work"),
        (
            (DOWN, "repair drill=one day=2027-05-07 cost=$1 what=x works=2027-05-05"),
            "would work again before",
        ),
        ((DOWN.replace("until=2027-05-11", "until=2027-05-05"),), "until is before day"),
        ((DOWN.replace("until=2027-05-11", ""),), "until"),
    ],
)
def test_what_does_not_fit_is_refused(clerk: Clerk, lines: tuple[str, ...], sentence: str) -> None:
    """Two breakdowns at once, a repair of what was not broken, and days in the wrong order."""
    clerk.does("plan")
    clerk.record(*lines[:-1])
    assert clerk.run(f"record {lines[-1]}") != 0
    assert sentence in clerk.said


def test_what_was_sown_in_the_morning_stands(clerk: Clerk) -> None:
    """On the day on which it broke it may have sown; on the next it cannot, until it works again."""
    clerk.does("plan")
    clerk.record('out request=A drill=one day=2027-05-05 meter="100 ac"', DOWN)
    sown = "sown request=A field=A day={} acres=2ac"
    clerk.record(sown.format("2027-05-06"))
    assert clerk.run("record " + sown.format("2027-05-07")) != 0
    assert "breakdown" in clerk.said or "hose burst" in clerk.said
    clerk.record("repair drill=one day=2027-05-06 cost=$5 what=hose works=2027-05-07")
    clerk.record(sown.format("2027-05-07"))
