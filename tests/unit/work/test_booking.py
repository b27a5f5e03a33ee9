"""Days to book, worked out by hand with chances of a half."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from fieldplan.model.job import BookingTerms
from fieldplan.work.booking import (
    booking_for,
    latest_start,
    prob_done_within,
    prob_within,
    with_latest_start,
)
from fieldplan.work.daylight import daylight_s
from fieldplan.work.working_days import working_days_s

HOUR_S = 3600.0
START = date(2027, 5, 10)
"""A Monday."""
TERMS = BookingTerms(day_s=8 * HOUR_S, fieldwork_day_prob=0.5, confidence_prob=0.8, start=START)
HERE = (-95.0, 44.0)


def test_the_min_number_of_days_that_reaches_the_confidence_is_booked() -> None:
    """12 h need two fit days of 8: of 2 to 5 days 1/4, 4/8, 11/16, 26/32; odds of three days more are told,
    and none of one day.
    """
    booking = booking_for(12 * HOUR_S, TERMS)
    assert (booking.fieldwork_days_needed, booking.suggested_days, booking.finish) == (
        2,
        5,
        date(2027, 5, 14),
    )
    assert [odd.days for odd in booking.odds] == [2, 3, 4, 5, 6, 7, 8]
    assert [odd.prob for odd in booking.odds] == pytest.approx([1 - (n + 1) / 2**n for n in range(2, 9)])
    assert (booking.day_s, booking.confidence_prob, booking.latest_start) == (
        (8 * HOUR_S, 8 * HOUR_S),
        0.8,
        None,
    )


@pytest.mark.parametrize(
    ("confidence", "days"), [(0.25, 2), (0.26, 3), (0.5, 3), (0.6875, 4), (0.8125, 5), (0.82, 6)]
)
def test_a_confidence_that_is_just_reached_is_reached(confidence: float, days: int) -> None:
    """1/4, 4/8, 11/16, 26/32."""
    assert booking_for(12 * HOUR_S, replace(TERMS, confidence_prob=confidence)).suggested_days == days


@pytest.mark.parametrize(
    ("hours", "needed"),
    [(0.1, 1), (8.0, 1), (8.1, 2), (16.0, 2), (24.0, 3), (366 * 8.0, 366), (367 * 8.0, 367)],
)
def test_fit_days_are_whole_days_of_work(hours: float, needed: int) -> None:
    """A full day is one; a job of over a year goes on in the next."""
    assert booking_for(hours * HOUR_S, TERMS).fieldwork_days_needed == needed


def test_days_off_are_booked_but_not_worked() -> None:
    """Certain weather from a Saturday on: 12 h are done on Saturday and Monday; a Tuesday off comes
    after.
    """
    terms = replace(
        TERMS,
        fieldwork_day_prob=1.0,
        start=date(2027, 5, 15),
        weekdays_off=frozenset({6}),
        dates_off=frozenset({date(2027, 5, 18)}),
    )
    booking = booking_for(12 * HOUR_S, terms)
    assert (booking.suggested_days, booking.finish, booking.fieldwork_days_needed) == (
        3,
        date(2027, 5, 17),
        2,
    )
    assert working_days_s(terms, None)[:5] == [8 * HOUR_S, 0.0, 8 * HOUR_S, 0.0, 8 * HOUR_S]


@pytest.mark.parametrize(
    ("days", "needed", "prob"),
    [(1, 1, 0.5), (2, 2, 0.35), (2, 1, 0.65), (3, 3, 0.245), (1, 2, 0.0), (2, 0, 1.0)],
)
def test_weather_that_stays_makes_both_ends_likelier(days: int, needed: int, prob: float) -> None:
    """With p = 0.5 and ρ = 0.4: fit after fit 0.5 + 0.4 × 0.5 = 0.7, fit after unfit 0.5 × 0.6 = 0.3."""
    assert prob_done_within(days, needed, 0.5, 0.4) == pytest.approx(prob)


@pytest.mark.parametrize(
    ("job_h", "days", "prob"),
    [(10, 1, 0.18), (8, 1, 0.5), (6, 1, 17 / 18), (5, 1, 1.0), (10, 2, 1.0), (16, 1, 0.0)],
)
def test_hours_that_are_uncertain_lie_in_a_triangle(job_h: float, days: int, prob: float) -> None:
    """Half more or less, every day fit: of 10 h there is (1 − 0.4)² / 2 under 8; of 6 h all but (1 − 2/3)²
    / 2.
    """
    terms = replace(TERMS, fieldwork_day_prob=1.0, uncertainty_frac=0.5)
    assert prob_within(job_h * HOUR_S, terms, None, days) == pytest.approx(prob)


@pytest.mark.parametrize(("days", "prob"), [(-1, 0.0), (0, 0.0), (1, 0.0), (2, 0.25), (5, 0.8125)])
def test_the_chance_of_so_many_days_is_that_of_the_odds(days: int, prob: float) -> None:
    """Of none there is none."""
    assert prob_within(12 * HOUR_S, TERMS, None, days) == pytest.approx(prob)


def test_no_working_day_is_longer_than_its_daylight() -> None:
    """Of 16 hours in December there are fewer; without a place or a day nobody knows."""
    terms = replace(TERMS, day_s=16 * HOUR_S, start=date(2027, 12, 20))
    hours = working_days_s(terms, HERE)
    assert hours[:3] == [daylight_s(date(2027, 12, 20) + timedelta(days=k), 44.0, -95.0) for k in range(3)]
    assert 8.5 * HOUR_S < hours[0] < 9.5 * HOUR_S
    assert max(hours) <= 16 * HOUR_S
    assert (
        set(working_days_s(terms, None))
        == set(working_days_s(replace(terms, start=None), HERE))
        == {16 * HOUR_S}
    )
    booking = booking_for(30 * HOUR_S, terms, HERE)
    assert booking.day_s == (min(hours[: booking.suggested_days]), max(hours[: booking.suggested_days]))


@pytest.mark.parametrize(
    ("finish_by", "latest"),
    [
        (date(2027, 5, 14), date(2027, 5, 10)),
        (date(2027, 5, 20), date(2027, 5, 16)),
        (date(2027, 5, 13), None),
        (date(2027, 5, 9), None),
    ],
)
def test_the_latest_start_is_five_days_before_the_end(finish_by: date, latest: date | None) -> None:
    """Which 12 h take at 80 %; none where the start is past it."""
    terms = replace(TERMS, finish_by=max(finish_by, START))
    assert latest_start(12 * HOUR_S, terms, None) == latest
    booking = with_latest_start(booking_for(12 * HOUR_S, terms), 12 * HOUR_S, terms, None)
    assert booking.latest_start == latest


def test_without_an_end_or_a_start_there_is_no_latest_start() -> None:
    """Nothing is asked for."""
    assert latest_start(12 * HOUR_S, TERMS, None) is None
    assert latest_start(12 * HOUR_S, replace(TERMS, start=None), None) is None


def test_no_work_takes_no_days() -> None:
    """And none is suggested where a year of days does not do."""
    nothing, endless = booking_for(0.0, TERMS), booking_for(400 * 8 * HOUR_S, TERMS)
    assert (nothing.fieldwork_days_needed, nothing.suggested_days, nothing.odds, nothing.finish) == (
        0,
        None,
        (),
        None,
    )
    assert (endless.suggested_days, endless.finish, [(odd.days, odd.prob) for odd in endless.odds]) == (
        None,
        None,
        [(366, 0.0)],
    )
