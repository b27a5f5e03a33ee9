"""What must hold of fieldwork days and odds counted over years, whatever the weather was."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from unit.weather.test_reading import DLY, LONG, ORDERED, WIDE
from weather_records import plain_csv, record

from fieldplan.errors import InputError
from fieldplan.model.job import BookingTerms
from fieldplan.model.weather import RainRule, Record, Wait
from fieldplan.model.weather_odds import WeatherTerms
from fieldplan.units import HOUR_S
from fieldplan.weather.reading import record_of
from fieldplan.weather.rules import fit_days, rain_rules
from fieldplan.weather.years import halves, persistence, wilson
from fieldplan.work.booking import booking_for, prob_within

FIRST, N_YEARS = date(2001, 1, 1), 5
N_DAYS = (date(FIRST.year + N_YEARS, 1, 1) - FIRST).days
START = date(2027, 5, 3)
PLAIN = plain_csv(FIRST, FIRST + timedelta(days=20))
seeds = st.integers(0, 2**32 - 1)
rules = st.one_of(
    st.sampled_from(list(rain_rules().values())),
    st.builds(
        lambda most, after, n: RainRule(
            name="own", day_mm=most, waits=(Wait(after_mm=after, days=n),), own=True
        ),
        st.floats(0, 10),
        st.floats(0, 30),
        st.integers(1, 5),
    ),
)


def _rain(seed: int, wet: float = 0.4) -> np.ndarray:
    drawn = np.random.default_rng(seed)
    return np.where(drawn.random(N_DAYS) < wet, np.round(drawn.exponential(8, N_DAYS), 1), 0.0)


def _terms(made: Record, rule: RainRule, start: date = START, **changes: object) -> BookingTerms:
    terms = BookingTerms(
        day_s=8 * HOUR_S,
        fieldwork_day_prob=None,
        confidence_prob=0.8,
        start=start,
        weather=WeatherTerms(record=made, rules=(rule,)),
    )
    return replace(terms, **changes)  # type: ignore[arg-type]


@given(seeds, rules, st.floats(0, 20), st.floats(0.01, 1))
def test_a_wetter_record_never_has_more_fieldwork_days(
    seed: int, rule: RainRule, more_mm: float, share: float
) -> None:
    """Rain added on any days takes fieldwork days and brings none: by rules on rain alone."""
    rain = _rain(seed)
    wetter = rain + more_mm * (np.random.default_rng(seed + 1).random(N_DAYS) < share)
    before, after = fit_days(record(rain), rule), fit_days(record(wetter), rule)
    assert not (after & ~before).any()


@given(seeds, rules, st.floats(0.01, 0.3))
def test_missing_rain_is_never_dry(seed: int, rule: RainRule, share: float) -> None:
    """Days whose rain is lost are no fieldwork days, and bring none."""
    rain = _rain(seed)
    lost = np.random.default_rng(seed + 1).random(N_DAYS) < share
    found = fit_days(record(np.where(lost, np.nan, rain)), rule)
    assert not (found & lost).any()
    assert not (found & ~fit_days(record(rain), rule)).any()


@given(seeds, rules, st.integers(1, 16), st.floats(1, 90))
def test_record_and_start_moved_by_whole_weeks_change_nothing(
    seed: int, rule: RainRule, weeks: int, work_h: float
) -> None:
    """Without a place no daylight binds: the same weather on the same weekdays gives the same odds."""
    rain = _rain(seed)
    moved = timedelta(weeks=weeks)
    off = frozenset({5, 6})
    terms = _terms(record(rain, FIRST), rule, date(2027, 3, 8), weekdays_off=off)
    later = _terms(record(rain, FIRST + moved), rule, date(2027, 3, 8) + moved, weekdays_off=off)
    odds = [booking_for(work_h * HOUR_S, one, None) for one in (terms, later)]
    assume(all(one.counted is not None and one.counted.window_days <= 120 for one in odds))
    n = min(len(one.odds) for one in odds)
    assert [of.prob for of in odds[0].odds[:n]] == [of.prob for of in odds[1].odds[:n]]
    assert odds[0].suggested_days == odds[1].suggested_days


@given(seeds, rules, st.floats(1, 90), st.floats(0, 0.5))
def test_odds_over_years_rise_with_days_and_are_counts(
    seed: int, rule: RainRule, work_h: float, uncertainty: float
) -> None:
    """More days never lower the odds; with sure hours each is a count of the usable years, within its range."""
    terms = _terms(record(_rain(seed)), rule, uncertainty_frac=uncertainty)
    booking = booking_for(work_h * HOUR_S, terms, None)
    assert booking.counted is not None
    n_years = len(booking.counted.used)
    probs = [of.prob for of in booking.odds]
    assert probs == sorted(probs)
    for of in booking.odds:
        assert of.range_prob is not None
        assert of.range_prob[0] <= of.prob <= of.range_prob[1]
        if not uncertainty:
            assert of.n_met == round(of.prob * n_years)
            assert of.prob == pytest.approx(of.n_met / n_years)


@given(seeds, st.floats(1, 60), st.integers(1, 60))
def test_less_work_never_has_lower_odds(seed: int, work_h: float, days: int) -> None:
    """Half the work within the same days."""
    terms = _terms(record(_rain(seed)), rain_rules()["rain"])
    assert prob_within(work_h * HOUR_S / 2, terms, None, days) >= prob_within(
        work_h * HOUR_S, terms, None, days
    )


@given(st.integers(1, 200), st.data())
def test_a_range_holds_its_share_and_narrows_with_years(n: int, data: st.DataObject) -> None:
    """Between 0 and 1, about the share, and wider over fewer years."""
    met = data.draw(st.integers(0, n))
    low, high = wilson(met, n)
    assert 0 <= low <= met / n <= high <= 1
    wide = wilson(4 * met, 4 * n)
    assert wide[1] - wide[0] < high - low


@given(seeds, st.integers(3, 30))
def test_persistence_of_days_that_follow_no_order_is_small(seed: int, n_years: int) -> None:
    """Independent days: near none, and never beyond what it can be; the halves of the years are shares."""
    fit = np.random.default_rng(seed).random((n_years, 200)) < 0.6
    assert abs(persistence(fit)) < 6 / np.sqrt(fit.size)
    early_late = halves(fit)
    assert (early_late is None) == (n_years < 10)
    assert early_late is None or all(0 <= share <= 1 for share in early_late)


@given(st.sampled_from([LONG, DLY, WIDE, ORDERED, PLAIN]), st.data())
def test_a_mangled_record_is_read_or_refused(text: str, data: st.DataObject) -> None:
    """Whatever happened to a file: a record, or a refusal that names it."""
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        n = data.draw(st.integers(0, 12))
        text = text[:at] + data.draw(st.text(max_size=6)) + text[at + n :]
    refused = None
    try:
        found = record_of(text, "station.csv")
    except InputError as error:
        refused = str(error)
    assert "station.csv" in refused if refused else found.n_days > 0
