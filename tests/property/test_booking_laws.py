"""Laws of the odds: exact against every course of the weather, rising with days, falling with clumps of wet
days.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldplan.model.job import BookingTerms
from fieldplan.work.booking import booking_for, latest_start, prob_done_within, working_days_s

HOUR = 3600.0
TERMS = BookingTerms(day_s=8 * HOUR, fieldwork_day_prob=0.55, confidence_prob=0.8)


@settings(derandomize=True, max_examples=60, deadline=None)
@given(days=st.integers(1, 9), needed=st.integers(1, 6), prob=st.floats(0.05, 0.95), rho=st.floats(0, 0.9))
def test_odds_equal_the_sum_over_every_course_of_the_weather(
    days: int, needed: int, prob: float, rho: float
) -> None:
    """The two-state chain, enumerated: 2^N courses of fit and unfit days with their chances."""
    total = 0.0
    for course in product((True, False), repeat=days):
        chance = prob if course[0] else 1 - prob
        for before, today in pairwise(course):
            fit = prob + rho * (1 - prob) if before else prob * (1 - rho)
            chance *= fit if today else 1 - fit
        total += chance if sum(course) >= needed else 0.0
    assert prob_done_within(days, needed, prob, rho) == pytest.approx(total, abs=1e-12)


@settings(derandomize=True, max_examples=60, deadline=None)
@given(hours=st.floats(1, 90), prob=st.floats(0.1, 1), rho=st.floats(0, 0.8), spread=st.floats(0, 0.5))
def test_odds_rise_with_days_and_reach_the_confidence(
    hours: float, prob: float, rho: float, spread: float
) -> None:
    """Every day more is worth something or nothing; the suggestion is the first day that reaches the
    confidence.
    """
    terms = replace(TERMS, fieldwork_day_prob=prob, persistence_frac=rho, uncertainty_frac=spread)
    booking = booking_for(hours * HOUR, terms)
    chances = [odd.prob for odd in booking.odds]
    assert chances == sorted(chances)
    before = [odd.prob for odd in booking.odds if odd.days < booking.suggested_days]
    assert all(chance < terms.confidence_prob for chance in before)
    assert (
        next(odd.prob for odd in booking.odds if odd.days == booking.suggested_days)
        >= terms.confidence_prob
    )


def test_wet_spells_ask_for_more_days() -> None:
    """At the same share of fit days, spells make a booking longer."""
    plain = booking_for(24 * HOUR, TERMS).suggested_days
    assert booking_for(24 * HOUR, replace(TERMS, persistence_frac=0.6)).suggested_days > plain


def test_spread_is_the_triangle_it_says() -> None:
    """Every day fit, 20 h give or take half: two days hold 16 h with a chance of (1 − 0.4)²/2 = 18 %, three
    24 h with 82 %.
    """
    sure = replace(TERMS, fieldwork_day_prob=1.0, uncertainty_frac=0.5, confidence_prob=0.8)
    booking = booking_for(20 * HOUR, sure)
    chance = {odd.days: odd.prob for odd in booking.odds}
    assert chance[2] == pytest.approx(0.18, abs=1e-9)
    assert chance[3] == pytest.approx(0.82, abs=1e-9)
    assert booking.suggested_days == 3


def test_days_off_are_counted_and_not_worked() -> None:
    """From Saturday 8 May 2027, Sundays and the 10th off, every day fit: 16 h are done on Tuesday the 11th,
    four days on.
    """
    terms = replace(
        TERMS,
        fieldwork_day_prob=1.0,
        start=date(2027, 5, 8),
        weekdays_off=frozenset({6}),
        dates_off=frozenset({date(2027, 5, 10)}),
    )
    booking = booking_for(16 * HOUR, terms)
    assert booking.suggested_days == 4
    assert booking.finish == date(2027, 5, 11)
    assert booking.fieldwork_days_needed == 2


def test_short_days_hold_less_work() -> None:
    """Ten hours a day asked for in December at 45° N: daylight allows under nine, and the job takes a day
    more than in June.
    """
    december = replace(TERMS, day_s=10 * HOUR, fieldwork_day_prob=1.0, start=date(2027, 12, 15))
    june = replace(december, start=date(2027, 6, 15))
    place = (-95.0, 45.0)
    assert 8 * HOUR < working_days_s(december, place)[0] < 9 * HOUR
    assert working_days_s(june, place)[0] == 10 * HOUR
    assert booking_for(20 * HOUR, june, place).suggested_days == 2
    assert booking_for(20 * HOUR, december, place).suggested_days == 3


def test_latest_start_with_days_off_is_the_last_that_holds() -> None:
    """Every day fit, Sundays off, to be done by Saturday 12 June 2027: 69.8 h at 8 h are nine working days,
    so Thursday the 3rd.
    """
    terms = replace(
        TERMS,
        fieldwork_day_prob=1.0,
        start=date(2027, 5, 1),
        finish_by=date(2027, 6, 12),
        weekdays_off=frozenset({6}),
    )
    assert latest_start(69.8 * HOUR, terms, None) == date(2027, 6, 3)


def test_jobs_longer_than_a_year_have_no_days_to_book() -> None:
    """A million hours end at once in a booking without days, not in a table that fills the memory: 125,000
    days of 8 h.
    """
    booking = booking_for(1e6 * HOUR, TERMS)
    assert (booking.suggested_days, booking.finish, booking.fieldwork_days_needed) == (None, None, 125_000)
    assert [(odd.days, odd.prob) for odd in booking.odds] == [(366, 0.0)]
    assert not booking.fits_within(366)


def test_odds_of_a_booking_that_cannot_be_had_go_as_far_as_days_are_booked() -> None:
    """With 55 % of days fit, 202 fit days within 366 are as likely as not, and no longer booking is made:
    the odds are the binomial's own.
    """
    booking = booking_for(202 * 8 * HOUR, replace(TERMS, confidence_prob=0.99))
    assert booking.suggested_days is None
    assert booking.odds[-1].days == 366
    assert booking.prob == pytest.approx(prob_done_within(366, 202, 0.55), abs=1e-12)
    assert 0 < booking.prob < 0.99


def test_no_work_has_nothing_to_book() -> None:
    """A job of no hours, of which nothing is drilled, has neither days nor odds."""
    booking = booking_for(0.0, TERMS)
    assert (booking.suggested_days, booking.odds, booking.fieldwork_days_needed) == (None, (), 0)
