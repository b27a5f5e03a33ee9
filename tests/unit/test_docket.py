"""The docket that plan, rain and capacity settle: which runs there are, and what each costs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from conftest import SAMPLES

from fieldplan.model.request import Request
from fieldplan.season.docket import Docket, docket_of
from fieldplan.season.program import load_program
from fieldplan.units import ACRE_M2

_SAMPLE = load_program(SAMPLES / "season.toml")
LENDING = replace(
    _SAMPLE,
    drills=(replace(_SAMPLE.drills[0], weekdays_off=frozenset({6})),),
    terms=replace(_SAMPLE.terms, share_days=True),
)
"""One drill that rests on Sundays; short jobs may share its days."""
MAY = {day: date(2027, 5, day) for day in range(1, 32)}


def _request(name: str, first: int, last: int, acres: float = 2.0) -> Request:
    return Request(
        row=2,
        request_id=name,
        renter=name,
        ready=MAY[first],
        until=MAY[last],
        asked=None,
        fields=None,
        ground_m2=acres * ACRE_M2,
        place_lonlat=(-95.75, 44.25),
        mix="oats and alfalfa",
        pto_power_w=None,
        facts={"county": "", "practice": "", "asked": ""},
    )


@pytest.fixture(scope="module")
def docket() -> Docket:
    """Two short jobs in one place, miles from the drill's home, whose windows are 10 to 19 and 12 to 22
    May.
    """
    drill = replace(LENDING.drills[0], home_lonlat=(-95.75, 44.30))
    return docket_of(replace(LENDING, drills=(drill,)), [_request("a", 10, 19), _request("b", 12, 22)])


def _first_days(docket: Docket, longest_days: int | None = None) -> dict[tuple[int, ...], list[date]]:
    found: dict[tuple[int, ...], list[date]] = {}
    for run in docket.runs(lambda *_: (0,), longest_days):
        found.setdefault(run.requests, []).append(docket.days_of(run)[0])
        assert docket.days_of(run)[-1] <= min(docket.windows[i][1] for i in run.requests)
    return found


def test_a_run_begins_on_every_working_day_that_leaves_days_enough(docket: Docket) -> None:
    """From the first day of all who share it to the last that their days fit behind, no Sunday among
    them.
    """
    found = _first_days(docket)
    assert set(found) == {(0,), (1,), (0, 1), (1, 0)}
    for requests, days in found.items():
        n = docket.duration(0, 0).days if len(requests) == 1 else docket.shared_bookings[0, requests].days
        low, high = max(10 + 2 * i for i in requests), min(19 + 3 * i for i in requests)
        working = [MAY[k] for k in range(low, high + 1) if MAY[k].weekday() != 6]
        assert days == working[: len(working) - n + 1]


def test_longest_booking_holds_where_it_is_asked_for(docket: Docket) -> None:
    """A booking that was made longer keeps its days after rain."""
    n = docket.duration(0, 0).days
    assert (0,) in _first_days(docket, n)
    assert not _first_days(docket, n - 1)


def test_runs_cost_what_the_one_who_asks_says(docket: Docket) -> None:
    """The cost is asked once for each run, with its requests, its drill and its first day."""
    for run in docket.runs(lambda requests, drill, first: (len(requests), drill, (first - MAY[1]).days)):
        assert run.costs == (len(run.requests), run.drill, (docket.days_of(run)[0] - MAY[1]).days)


def test_begun_requests_and_days_that_are_gone_are_left_out(docket: Docket) -> None:
    """One that has begun has no run to be given and shares none; days before the 14th, and the 17th, cannot
    be had.
    """
    left = docket_of(
        docket.program,
        docket.requests,
        begun={0},
        open_day=lambda day: day >= MAY[14] and day != MAY[17],
        farthest_m=docket.farthest_m,
    )
    assert set(_first_days(left)) == {(1,)}
    assert not left.shared_bookings
    assert all(day >= MAY[14] and day != MAY[17] for day in left.days[0])
    assert left.durations == docket.durations


def test_work_of_a_party_is_what_its_members_take_together(docket: Docket) -> None:
    """The second collects from the first, who stands in the same place: its road is saved."""
    shared_booking = next(run for run in docket.runs(lambda *_: (0,)) if len(run.requests) == 2)
    alone = [docket.duration(i, 0) for i in shared_booking.requests]
    assert alone[1].road_s > 0
    assert docket.work_s(shared_booking) == pytest.approx(alone[0].job_s + alone[1].job_s - alone[1].road_s)
    assert docket.work_s(shared_booking) == docket.shared_bookings[0, shared_booking.requests].together_s
    assert docket.waiting_days(MAY[10] + timedelta(days=5), 0) == 5
