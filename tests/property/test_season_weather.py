"""A season over drawn weathers against exact odds, and what must hold of it whatever is drawn."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from conftest import SAMPLES
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldplan.facts import fact
from fieldplan.model.booked import BookingDuration, Placement
from fieldplan.model.request import Request
from fieldplan.model.season import Proof, Refusal, Season
from fieldplan.season.program import load_program
from fieldplan.season.weather import chances_of
from fieldplan.work.booking import prob_done_within

LENDING = load_program(SAMPLES / "season.toml")
OPENS = LENDING.terms.opens
N = 4000


def _season(bookings: list[tuple[int, int, float]], *, p: float = 0.55, rho: float = 0.0) -> Season:
    """One drill that works every day; bookings as first day, last day to work on, and days of work."""
    drill = LENDING.drills[0]
    terms = replace(drill.job.booking, fieldwork_day_prob=p, persistence_frac=rho, uncertainty_frac=0.0)
    drill = replace(
        drill, job=replace(drill.job, booking=terms), weekdays_off=frozenset(), dates_off=frozenset()
    )
    placements = tuple(
        Placement(
            request=Request(
                row=k + 2,
                request_id=f"R{k}",
                renter=f"farm {k}",
                ready=OPENS,
                until=OPENS + timedelta(days=last),
                asked=None,
                fields=None,
                ground_m2=1.0,
                place_lonlat=(-95.75, 44.25),
                mix=None,
                pto_power_w=None,
            ),
            drill=drill.name,
            days=(OPENS + timedelta(days=first),),
            duration=BookingDuration(days=1, job_s=work * terms.day_s),
            waiting_days=0,
            tow_m=0.0,
            collect_from="",
            reason=fact("kept-in-rain"),
        )
        for k, (first, last, work) in enumerate(bookings)
    )
    proof = Proof(served_proven=True, waiting_days=0, waiting_bound_days=0, tow_m=0.0, tow_bound_m=0.0)
    return Season(
        program=replace(LENDING, drills=(drill,)), placements=placements, refusals=(), proof=proof, notes=()
    )


@given(
    days=st.integers(1, 12),
    work=st.integers(1, 5),
    p=st.sampled_from([0.3, 0.55, 0.8]),
    rho=st.sampled_from([0.0, 0.3, 0.7]),
    seed=st.integers(0, 10_000),
)
@settings(max_examples=40, deadline=None)
def test_one_booking_has_its_exact_odds(days: int, work: int, p: float, rho: float, seed: int) -> None:
    """Within five standard errors of the chance of so many fit days among so many days."""
    season = _season([(0, days - 1, float(work))], p=p, rho=rho)
    found = chances_of(season, N, np.random.default_rng(seed))
    exact = prob_done_within(days, work, p, rho)
    assert abs(found.each_prob["R0"] - exact) <= 5 * math.sqrt(max(exact * (1 - exact), 1e-4) / N)
    assert found.all_prob == found.booked_prob == found.each_prob["R0"]


def test_two_in_a_row_by_hand() -> None:
    """Days fit by a half. The first has two days for one of work, the second must work on the third. Done
    by the second day: 3/4; the third fit: 1/2. Both are independent, so 3/8 for both; the second starts on
    the third day either way, since then the first gives up.
    """
    found = chances_of(_season([(0, 1, 1.0), (2, 2, 1.0)], p=0.5), 40_000, np.random.default_rng(1))
    assert abs(found.each_prob["R0"] - 0.75) < 0.012
    assert abs(found.each_prob["R1"] - 0.5) < 0.012
    assert abs(found.booked_prob - 0.375) < 0.012


def test_a_late_one_holds_up_the_next() -> None:
    """The first may work until the third day, the second begins on the second and must be done on the
    third. The second is done if the first is done on the first day and one of the next two is fit (1/2 ·
    3/4), or on the second day and the third is fit (1/4 · 1/2).
    """
    found = chances_of(_season([(0, 2, 1.0), (1, 2, 1.0)], p=0.5), 40_000, np.random.default_rng(2))
    assert abs(found.each_prob["R1"] - 0.5) < 0.012


@given(
    bookings=st.lists(
        st.tuples(st.integers(0, 10), st.integers(0, 6), st.sampled_from([0.4, 1.0, 1.7])),
        min_size=1,
        max_size=4,
        unique_by=lambda one: one[0],
    ),
    later=st.integers(1, 5),
)
@settings(max_examples=40, deadline=None)
def test_more_time_for_the_last_never_hurts(bookings: list[tuple[int, int, float]], later: int) -> None:
    """With the same weathers, a later last day of the last booking leaves all others as they are and its
    own chance no lower.
    """
    ordered = sorted(
        ((first, first + slack, work) for first, slack, work in bookings), key=lambda one: one[0]
    )
    longer = [*ordered[:-1], (ordered[-1][0], ordered[-1][1] + later, ordered[-1][2])]
    a, b = (chances_of(_season(one), 500, np.random.default_rng(3)).each_prob for one in (ordered, longer))
    name = f"R{len(ordered) - 1}"
    assert {**a, name: 0} == {**b, name: 0}
    assert b[name] >= a[name]


def test_sharers_are_done_together() -> None:
    """Two bookings on the same days, half a day of work each: both are done on the first fit day."""
    season = _season([(0, 3, 0.5), (0, 3, 0.5)], p=0.5)
    found = chances_of(season, 40_000, np.random.default_rng(4))
    assert abs(found.booked_prob - (1 - 0.5**4)) < 0.012
    assert found.each_prob["R0"] == found.each_prob["R1"] == found.booked_prob


def test_days_off_give_no_work() -> None:
    """A drill that rests on Sundays does nothing on one."""
    season = _season([(6, 6, 1.0)], p=1.0)
    assert (OPENS + timedelta(days=6)).weekday() == date(2027, 4, 25).weekday() == 6
    drill = replace(season.program.drills[0], weekdays_off=frozenset({6}))
    resting = replace(season, program=replace(season.program, drills=(drill,)))
    assert chances_of(season, 100, np.random.default_rng(5)).booked_prob == 1
    assert chances_of(resting, 100, np.random.default_rng(5)).booked_prob == 0


def _spread(season: Season, uncertainty_frac: float) -> Season:
    drill = season.program.drills[0]
    terms = replace(drill.job.booking, uncertainty_frac=uncertainty_frac)
    return replace(
        season,
        program=replace(season.program, drills=(replace(drill, job=replace(drill.job, booking=terms)),)),
    )


def test_hours_spread_as_a_triangle() -> None:
    """Every day fit. A day of work within one day: half of all hours come out no longer. A third more work
    needs hours of 3/4 or less, which of hours between 1/2 and 3/2 is an eighth; two jobs in a row are
    spread each by itself.
    """
    found = chances_of(
        _spread(_season([(0, 0, 1.0), (1, 1, 4 / 3)], p=1.0), 0.5), 40_000, np.random.default_rng(6)
    )
    assert abs(found.each_prob["R0"] - 0.5) < 0.012
    assert abs(found.each_prob["R1"] - 0.125) < 0.01
    assert abs(found.booked_prob - 0.0625) < 0.008


def test_sharers_give_up_on_the_earlier_last_day() -> None:
    """Of two that share days one may work to the second day and one to the fifth: both are over after the
    second.
    """
    season = _season([(0, 1, 0.5), (0, 4, 0.5)], p=0.5)
    found = chances_of(season, 40_000, np.random.default_rng(7))
    assert abs(found.booked_prob - 0.75) < 0.012


def test_who_has_no_booking_is_not_served() -> None:
    """The chance to serve everyone is none, whatever the weather."""
    season = _season([(0, 9, 0.1)], p=1.0)
    refused = replace(
        season,
        refusals=(Refusal(request=season.placements[0].request, reason=fact("kept-in-rain"), changes=()),),
    )
    assert chances_of(season, 100, np.random.default_rng(8)).all_prob == 1
    assert chances_of(refused, 100, np.random.default_rng(8)).all_prob == 0
