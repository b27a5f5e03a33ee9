"""What is merely not known takes nobody's days: it is asked, and what depends on the answer is named. What is known does,
and a booking that was taken comes first when its days are free again.

Each request has 12 acres, which take three days in a row (odds of one fieldwork day in three); Sundays are off.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest
from living import Clerk, places, row

pytest.importorskip("ortools")

OUT = 'out request=A drill=one day=2027-05-03 meter="100 ac"'


@pytest.fixture
def clerk(tmp_path: Path) -> Clerk:
    """One drill. A has it on 3, 4, 5 May and B on 6, 7, 8 May, the last days that B can have."""
    made = Clerk(tmp_path / "spring").season(early_by_rules="true")
    made.list(row("A", asked="2027-03-01"), row("B", asked="2027-03-02", until="2027-05-08"))
    days = {name: one["days"] for name, one in made.bookings().items()}
    assert days == {"A": _may(3, 4, 5), "B": _may(6, 7, 8)}
    return made


def _may(*days: int) -> list[str]:
    return [f"2027-05-{day:02}" for day in days]


def _changes(found: dict) -> dict:  # type: ignore[type-arg]
    return {one["request"]: one for one in found["changes"]}


def _kinds(clerk: Clerk) -> list[str]:
    return [one["kind"] for one in clerk.entries]


@pytest.mark.parametrize("lines", [(), (OUT,), ("confirm request=A day=2027-04-01",)])
@pytest.mark.parametrize("today", ["2027-05-04", "2027-05-05"])
def test_nobody_is_struck_off_for_work_of_which_nothing_is_known(
    clerk: Clerk, lines: Iterable[str], today: str
) -> None:
    """If nothing of A is done it needs B's days, and B has none to move to. Nobody said so: B keeps them, nothing is entered,
    and the page asks about A and says that B depends on it.
    """
    clerk.record(*lines)
    before = _kinds(clerk)
    found = clerk.json(f"rain --today {today}")
    b = _changes(found)["B"]
    assert (b["now"], b["depends_on"]) == (b["was"], ["A"])
    (question,) = found["questions"]
    assert (question["request"], question["depends"], question["out"]) == ("A", ["B"], OUT in lines)
    assert _kinds(clerk) == before
    clerk.does(f"rain --today {today}")
    assert "Is A done" in clerk.said
    assert "B farm depends on that" in clerk.said
    assert "depends on A" in clerk.said
    assert "loses" not in clerk.said


def test_a_drill_that_is_overdue_takes_nobody_s_days(clerk: Clerk) -> None:
    """A's days are over, its drill never came back, and B's begin today: B keeps them and depends on A."""
    clerk.record(OUT)
    found = clerk.json("rain --today 2027-05-06")
    b = _changes(found)["B"]
    assert (b["now"], b["depends_on"]) == (b["was"], ["A"])
    assert "cancel" not in _kinds(clerk)


def test_what_rests_on_a_drill_that_is_overdue_is_said(clerk: Clerk) -> None:
    """A's drill is out past its last day: plan and offers say that what they give rests on its return, until A is done."""
    clerk.record(
        OUT, "confirm request=B day=2027-04-01", "shorten request=B last=2027-05-07 day=2027-04-02"
    )
    clerk.edit("W", row("W", asked="2027-03-05", ready="2027-05-08"))
    for page in ("plan", "offers"):
        clerk.does(f"{page} --today 2027-05-05")
        assert "Still out" not in clerk.said
        clerk.does(f"{page} --today 2027-05-06")
        assert "Still out past the last day: A." in clerk.said
    clerk.record('done request=A share="100 %" day=2027-05-05')
    for page in ("plan", "offers"):
        clerk.does(f"{page} --today 2027-05-06")
        assert "Still out" not in clerk.said


def test_days_kept_for_work_not_known_are_nobody_s_last_chance(tmp_path: Path) -> None:
    """B loses its days to rain and can only have 10, 11, 12 May instead; A is out with nothing known, and would need the 10th
    and 11th: B gets them.
    """
    clerk = Clerk(tmp_path / "spring").season(early_by_rules="true")
    clerk.list(row("A", asked="2027-03-01"), row("B", asked="2027-03-02", until="2027-05-12")).does("plan")
    clerk.record(OUT, "lost day=2027-05-06 until=2027-05-08 why=rain")
    changes = _changes(clerk.json("rain --today 2027-05-05"))
    assert changes["B"]["now"]["days"] == _may(10, 11, 12)
    assert changes["A"]["now"]["days"] == _may(5)


def test_days_of_a_booking_that_is_lost_stay_free_for_it(clerk: Clerk) -> None:
    """One of B's three days is lost, so B loses them all. A is out with nothing known, and keeps none of the other two."""
    clerk.record(OUT, "lost day=2027-05-06 why=rain")
    changes = _changes(clerk.json("rain --today 2027-05-05"))
    assert changes["B"]["now"] is None
    assert changes["A"]["now"]["days"] == _may(5)


def test_what_is_known_to_take_longer_takes_days_and_says_so(clerk: Clerk) -> None:
    """Nothing of A is done on its last day, and that was entered: it needs three days, B loses its booking, and the entry
    says that A goes on; nothing was lost to rain.
    """
    clerk.record('done request=A share="0 %" day=2027-05-05')
    found = clerk.json("rain --today 2027-05-05")
    assert _changes(found)["B"]["now"] is None
    assert "work of A goes on with one to 2027-05-07" in _changes(found)["B"]["reason"]
    assert not found["questions"]
    (cancelled,) = [one for one in clerk.entries if one["kind"] == "cancel"]
    facts = cancelled["facts"]
    assert (facts["cause"], facts["why"]) == (
        "work goes on",
        "no days left; work of A goes on with one to 2027-05-07",
    )


def test_days_lost_are_the_cause_where_days_were_lost(clerk: Clerk) -> None:
    """B's three days are lost to rain before anything began, and A has said yes to the others that B could have."""
    clerk.record("confirm request=A day=2027-04-01", "lost day=2027-05-06 until=2027-05-08 why=rain")
    clerk.does("rain --today 2027-05-03")
    (cancelled,) = [one for one in clerk.entries if one["kind"] == "cancel"]
    assert cancelled["facts"]["cause"] == "days lost"
    assert (
        cancelled["facts"]["why"] == "no days left; days of one lost from 2027-05-06 to 2027-05-08 (rain)"
    )


@pytest.mark.parametrize(
    ("line", "cause", "why"),
    [
        ("lost day=2027-05-06 until=2027-05-08 why=rain", "days lost", "(rain)"),
        ("", "planned again", "its own dates"),
    ],
)
def test_a_plan_states_the_cause_too(clerk: Clerk, line: str, cause: str, why: str) -> None:
    """Days lost, or a row that changed so that no day is left."""
    clerk.record("confirm request=A day=2027-04-01")
    if line:
        clerk.record(line)
    else:
        clerk.edit("B", row("B", asked="2027-03-02", ready="2027-05-07", until="2027-05-08"))
    clerk.does("plan")
    (cancelled,) = [one for one in clerk.entries if one["kind"] == "cancel"]
    assert cancelled["facts"]["cause"] == cause
    assert why in cancelled["facts"]["why"]


def _taken(clerk: Clerk) -> None:
    """A is out and behind, which takes B's booking. W comes then, which asked before B and can have B's days only."""
    clerk.record(OUT, 'done request=A share="0 %" day=2027-05-05')
    clerk.does("rain --today 2027-05-05")
    clerk.edit("W", row("W", asked="2027-03-01", ready="2027-05-06", until="2027-05-08"))
    assert set(clerk.bookings("plan --today 2027-05-05")) == {"A"}
    clerk.record('done request=A share="100 %" day=2027-05-05')


def test_who_lost_a_booking_is_offered_days_first(clerk: Clerk) -> None:
    """A is done after all: 6 and 7 May are free, and B is phoned about them before W."""
    _taken(clerk)
    offers = clerk.json("offers --today 2027-05-06")["offers"]
    assert [(one["request"], one["days"]) for one in offers] == [("B", _may(6, 7, 8)), ("W", _may(6, 7, 8))]


def test_who_lost_a_booking_has_it_again_in_the_next_plan(clerk: Clerk) -> None:
    """B stands where it was, to be asked for a yes, and W gets none of it; the days are not on offer any more."""
    _taken(clerk)
    found = clerk.json("plan --today 2027-05-06")
    now = {one["request"]: one for one in found["bookings"]}
    assert places(now, "B") == {"B": ("one", _may(6, 7, 8))}
    assert not now["B"]["confirmed"]
    assert (found["since"]["again"], found["since"]["freed"]) == (["B"], [])
    assert [one["request"] for one in found["refused"]] == ["W"]


def test_who_gave_a_booking_up_does_not_come_first(clerk: Clerk) -> None:
    """B cancelled it itself: W, which asked before, comes first, and the plan gives away nothing."""
    clerk.record("confirm request=A day=2027-04-01", "confirm request=B day=2027-04-01")
    clerk.edit("W", row("W", asked="2027-03-01", ready="2027-05-06", until="2027-05-08"))
    clerk.does("plan")
    clerk.record("cancel request=B day=2027-04-20 why=hail")
    assert "W" not in clerk.bookings()
    assert [one["request"] for one in clerk.json("offers")["offers"]] == ["W"]


def test_done_work_frees_its_drill(clerk: Clerk) -> None:
    """A says on its second day that all is done: the third is free, in the plan and in rain, though the drill was not brought
    back; the day after, A is finished.
    """
    clerk.record(OUT, 'done request=A share="100 %" day=2027-05-04')
    found = clerk.json("plan --what-if")
    assert {one["request"]: one["days"] for one in found["bookings"]}["A"] == _may(3, 4)
    assert [(one["cause"], one["days"]) for one in found["since"]["freed"]] == [("done", _may(5))]
    today = _changes(clerk.json("rain --today 2027-05-04"))["A"]
    assert (today["now"]["days"], today["over"]) == (_may(4), True)
    found = clerk.json("rain --today 2027-05-05")
    assert found["finished"] == ["A"]
    assert found["questions"] == found["clashes"] == []


def test_part_of_a_job_frees_nothing(clerk: Clerk) -> None:
    """Nor does all of it, said of a day before its own."""
    clerk.record(OUT, 'done request=A share="99 %" day=2027-05-04')
    assert clerk.bookings("plan --what-if")["A"]["days"] == _may(3, 4, 5)
    clerk.record("confirm request=B day=2027-04-01", 'done request=B share="100 %" day=2027-05-04')
    assert clerk.json("plan --what-if")["since"]["freed"] == []
    assert clerk.bookings("plan --what-if")["B"]["days"] == _may(6, 7, 8)


def test_who_has_begun_is_not_called_confirmed(clerk: Clerk) -> None:
    """A's first day is past and nobody confirmed it."""
    clerk.edit("W", row("W", asked="2027-03-05", ready="2027-05-03", until="2027-05-05"))
    clerk.does("plan --today 2027-05-04")
    assert "A farm: has begun: it keeps its days" in clerk.said
    assert "A farm (has begun)" in clerk.said
    assert "confirmed" not in clerk.out.partition("WHY")[2].partition("NOTES")[0]
    clerk.record("confirm request=A day=2027-05-04")
    clerk.does("plan --today 2027-05-04")
    assert "A farm: confirmed: it keeps its days" in clerk.said
