"""The season that rain leaves, on a hand-made season of two drills and a party."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from conftest import SAMPLES

from fieldplan.facts import fact
from fieldplan.model.booked import Booked
from fieldplan.model.replanned import Change, Replanned, SoFar
from fieldplan.model.request import Request
from fieldplan.model.season import Season
from fieldplan.season.after_rain import season_after
from fieldplan.season.program import load_program
from fieldplan.season.rain import replan
from fieldplan.units import ACRE_M2, MILE_M

NO_DAYS_LEFT = fact("lost/no-days", last_typed_day=date(2027, 5, 29))
MAY = {day: date(2027, 5, day) for day in range(1, 32)}
_BOTH = load_program(SAMPLES / "season.toml")
_FIRST = replace(_BOTH.drills[0], weekdays_off=frozenset({6}))
ROADS = {
    ("one", "a"): 5.0,
    ("a", "b"): 2.0,
    ("b", "c"): 3.0,
    ("c", "one"): 7.0,
    ("two", "d"): 4.0,
    ("d", "two"): 9.0,
}
LENDING = replace(
    _BOTH,
    drills=(replace(_FIRST, name="one"), replace(_FIRST, name="two")),
    distances={(a.casefold(), b.casefold()): miles * MILE_M for (a, b), miles in ROADS.items()},
)
REQUESTS = tuple(
    Request(
        row=k + 2,
        request_id=name,
        renter=f"farm {name}",
        ready=MAY[3],
        until=MAY[29],
        asked=None,
        fields=None,
        ground_m2=2 * ACRE_M2,
        place_lonlat=(-95.75, 44.25),
        mix="oats and alfalfa",
        pto_power_w=None,
        facts={"county": "", "practice": "", "asked": ""},
    )
    for k, name in enumerate(("a", "b", "c", "d", "e", "f"))
)
BY_ID = {one.request_id: one for one in REQUESTS}


def _booked(
    drill: str, *days: int, shares: tuple[str, ...] = (), position: int = 0, confirmed: bool = False
) -> Booked:
    return Booked(
        drill=drill,
        days=tuple(MAY[day] for day in days),
        shares_with=shares,
        position=position,
        confirmed=confirmed,
    )


WAS = {
    "a": _booked("one", 3, 4),
    "b": _booked("one", 5, 6, shares=("c",)),
    "c": _booked("one", 5, 6, shares=("b",), position=1),
    "d": _booked("two", 4, 5, 6, confirmed=True),
    "e": _booked("two", 10, 11),
}


@pytest.fixture(scope="module")
def season() -> Season:
    """On 6 May, the 5th lost: a is finished; b and c, who share, go to the 7th with c first; d has begun
    and goes on; e is lost; f had no booking.
    """
    changes = (
        Change(request=BY_ID["b"], was=WAS["b"], now=_booked("one", 7, 8, shares=("c",), position=1)),
        Change(request=BY_ID["c"], was=WAS["c"], now=_booked("one", 7, 8, shares=("b",), position=0)),
        Change(request=BY_ID["d"], was=WAS["d"], now=_booked("two", 6, 7, confirmed=True), begun=True),
        Change(request=BY_ID["e"], was=WAS["e"], now=None, reason=NO_DAYS_LEFT),
    )
    found = Replanned(
        changes=changes, finished=("a",), served_proven=True, moved_bound=2, moved_days_bound=4
    )
    return season_after(
        LENDING, REQUESTS, WAS, found, SoFar(today=MAY[6], lost=frozenset({MAY[5]}), done_frac={"d": 0.5})
    )


def test_everybody_stands_where_they_are_now(season: Season) -> None:
    """By drill and day, the party in its new order; one that goes on keeps the days it had, but for lost
    ones.
    """
    found = [
        (placement.drill, placement.request.request_id, [day.day for day in placement.days])
        for placement in season.placements
    ]
    assert found == [
        ("one", "a", [3, 4]),
        ("one", "c", [7, 8]),
        ("one", "b", [7, 8]),
        ("two", "d", [4, 6, 7]),
    ]
    assert [placement.shared_booking for placement in season.placements] == [
        ("a",),
        ("c", "b"),
        ("c", "b"),
        ("d",),
    ]
    assert [placement.confirmed for placement in season.placements] == [False, False, False, True]


def test_each_collects_from_the_one_before(season: Season) -> None:
    """5 miles from home to a; no table from a to c, who stand in one place: none; from c to b 3 back; from
    b home no table, in one place.
    """
    assert [placement.collect_from for placement in season.placements] == ["", "farm a", "farm c", ""]
    assert [round(placement.tow_m / MILE_M, 3) for placement in season.placements] == [5, 0, 3, 4]
    assert round(season.proof.tow_m / MILE_M, 2) == 5 + 0 + 3 + 0 + 4 + 9


def test_reasons_waiting_and_refusals(season: Season) -> None:
    """Waiting counts from 3 May, the first day of all; nothing is claimed of bounds that nobody looked
    for.
    """
    assert [placement.reason.code for placement in season.placements] == [
        "finished-before-rain",
        "moved-after-rain",
        "moved-after-rain",
        "goes-on",
    ]
    assert [placement.waiting_days for placement in season.placements] == [0, 4, 4, 1]
    assert season.proof.waiting_days == 9
    assert (season.proof.waiting_bound_days, season.proof.tow_bound_m) == (0, 0)
    assert [(refusal.request.request_id, refusal.reason) for refusal in season.refusals] == [
        ("e", NO_DAYS_LEFT),
        ("f", fact("never-booked")),
    ]


def test_a_party_whose_other_half_is_finished_stands_alone() -> None:
    """The finished one keeps no company that has no booking any more."""
    changes = (Change(request=BY_ID["c"], was=WAS["c"], now=None, reason=NO_DAYS_LEFT),)
    found = Replanned(
        changes=changes, finished=("b",), served_proven=True, moved_bound=0, moved_days_bound=0
    )
    was = {name: WAS[name] for name in ("b", "c")}
    left = season_after(LENDING, REQUESTS, was, found, SoFar(today=MAY[7], lost=frozenset(), done_frac={}))
    assert [placement.shared_booking for placement in left.placements] == [("b",)]


def test_two_that_have_begun_with_one_drill_go_on_one_after_the_other() -> None:
    """The first overran, the second was to begin on 6 May: on the 7th the first goes on, then the second;
    neither is lost.
    """
    was = {"a": _booked("one", 3, 4, 5), "b": _booked("one", 6, 7, 8)}
    found = replan(
        LENDING, REQUESTS, was, SoFar(today=MAY[7], lost=frozenset(), done_frac={"a": 0.6, "b": 0.0})
    )
    now = {change.request.request_id: change.now for change in found.changes}
    assert now["a"] is not None
    assert now["b"] is not None
    assert now["a"].days[0] == MAY[7]
    assert now["b"].days[0] > now["a"].days[-1]


def test_those_who_said_yes_are_moved_last() -> None:
    """One day lost; one of two with the same drill has to move: not the one that is confirmed, whoever
    stands first.
    """
    for yes, other in (("a", "b"), ("b", "a")):
        was = {
            "a": _booked("one", 10, 11, 12, confirmed=yes == "a"),
            "b": _booked("one", 13, 14, 15, confirmed=yes == "b"),
        }
        program = replace(LENDING, drills=LENDING.drills[:1])
        found = replan(program, REQUESTS, was, SoFar(today=MAY[3], lost=frozenset({MAY[12]}), done_frac={}))
        assert {change.request.request_id: change.moved for change in found.changes} == {
            yes: False,
            other: True,
        }
        (stays,) = [change.now for change in found.changes if change.request.request_id == yes]
        assert stays is not None
        assert stays.confirmed


def test_what_was_begun_early_goes_on() -> None:
    """Half of a booking of 10 May is done by the 4th: it goes on today; all of it done: it is finished."""
    was = {"a": _booked("one", 10, 11, 12)}
    (change,) = replan(
        LENDING, REQUESTS, was, SoFar(today=MAY[4], lost=frozenset(), done_frac={"a": 0.5})
    ).changes
    assert change.begun
    assert change.now is not None
    assert change.now.days[0] == MAY[4]
    assert replan(
        LENDING, REQUESTS, was, SoFar(today=MAY[4], lost=frozenset(), done_frac={"a": 1.0})
    ).finished == ("a",)


def test_what_is_done_early_leaves_its_other_days() -> None:
    """Of three days one is past on the 4th: the finished booking keeps that one; one that lies wholly ahead
    keeps none and is left out.
    """
    was = {"a": _booked("one", 3, 4, 5), "b": _booked("one", 10, 11)}
    found = Replanned(
        changes=(), finished=("a", "b"), served_proven=True, moved_bound=0, moved_days_bound=0
    )
    left = season_after(
        LENDING, REQUESTS, was, found, SoFar(today=MAY[4], lost=frozenset(), done_frac={"a": 1.0, "b": 1.0})
    )
    assert [(placement.request.request_id, placement.days) for placement in left.placements] == [
        ("a", (MAY[3],))
    ]
