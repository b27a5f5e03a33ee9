"""Bookings, starts, lent days and progress by the years of a record."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from weather_records import record

from fieldplan.errors import InputError
from fieldplan.jobfile.forecast import spells
from fieldplan.model.job import BookingTerms, Spell
from fieldplan.model.weather import Record
from fieldplan.model.weather_odds import Level, WeatherTerms
from fieldplan.units import HOUR_S
from fieldplan.weather.level import wait_for
from fieldplan.weather.rules import own_rule, rain_rules, soil_rule
from fieldplan.weather.settle import settled
from fieldplan.work.booking import booking_for, booking_for_days, latest_start, prob_within
from fieldplan.work.progress import days_since
from fieldplan.work.starts import with_starts

FIRST = date(2001, 1, 1)
DRY_DAYS = own_rule("none on a day with over 1 mm")
START = date(2027, 5, 3)


def _made(wet: dict[int, list[int]], n_years: int = 4, missing: dict[int, int] | None = None) -> Record:
    """Dry years, but for days after 3 May with rain, or without a reading, by year."""
    n_days = (date(FIRST.year + n_years, 1, 1) - FIRST).days
    rain = np.zeros(n_days)
    for year, days in wet.items():
        rain[[(date(year, 5, 3) - FIRST).days + day for day in days]] = 20.0
    for year, n in (missing or {}).items():
        at = (date(year, 5, 3) - FIRST).days
        rain[at : at + n] = np.nan
    return record(rain, FIRST)


def _terms(made: Record, **changes: object) -> BookingTerms:
    terms = BookingTerms(
        day_s=8 * HOUR_S,
        fieldwork_day_prob=None,
        confidence_prob=0.8,
        start=START,
        weather=WeatherTerms(record=made, rules=(DRY_DAYS,)),
    )
    return replace(terms, **changes)  # type: ignore[arg-type]


def test_each_year_is_run_from_the_start_on() -> None:
    """Three days of work: done on the third day in the dry years, later where it rained."""
    made = _made({2001: [0, 1], 2002: [1]})
    booking = booking_for(24 * HOUR_S, _terms(made), None)
    assert [(of.days, of.n_met) for of in booking.odds] == [(3, 2), (4, 3), (5, 4), (6, 4), (7, 4), (8, 4)]
    assert booking.suggested_days == 5
    assert booking.counted is not None
    assert booking.counted.used == (2001, 2002, 2003, 2004)


def test_a_year_with_holes_is_no_dry_year() -> None:
    """Over a twentieth of the days looked at missing: the year is left out, with its share."""
    booking = booking_for(24 * HOUR_S, _terms(_made({}, missing={2002: 9})), None)
    assert booking.counted is not None
    assert booking.counted.used == (2001, 2003, 2004)
    assert booking.counted.dropped[2002] == pytest.approx(9 / booking.counted.window_days)


def test_a_single_missing_day_counts_as_wet() -> None:
    """The year is used, and the day is no fieldwork day."""
    booking = booking_for(8 * HOUR_S, _terms(_made({}, missing={2002: 1})), None)
    assert booking.counted is not None
    assert (len(booking.counted.used), booking.counted.n_unknown) == (4, 1)
    assert booking.odds[0].n_met == 3


def test_a_record_without_a_usable_year_stops() -> None:
    """No year has the days from the start on."""
    made = record(np.zeros(100), date(2001, 1, 1))
    with pytest.raises(InputError) as caught:
        booking_for(8 * HOUR_S, _terms(made), None)
    assert caught.value.problems[0].code == "weather-no-year"


def test_years_asked_for_alone_are_used() -> None:
    """First to last, both included."""
    made = _made({2001: [0, 1, 2]})
    weather = WeatherTerms(record=made, rules=(DRY_DAYS,), years=(2002, 2003))
    booking = booking_for(8 * HOUR_S, _terms(made, weather=weather), None)
    assert booking.counted is not None
    assert booking.counted.used == (2002, 2003)


def test_days_off_are_not_worked_whatever_the_weather() -> None:
    """3 May 2027 is a Monday: with Tuesdays off the second day of work is the third."""
    booking = booking_for(16 * HOUR_S, _terms(_made({}), weekdays_off=frozenset({1})), None)
    assert booking.suggested_days == 3


def test_a_season_across_the_new_year() -> None:
    """Days of one winter belong to the year in which they begin."""
    made = record(np.zeros(3 * 365), FIRST)
    booking = booking_for(8 * HOUR_S * 20, _terms(made, start=date(2027, 12, 20)), None)
    assert booking.counted is not None
    assert booking.counted.used == (2001, 2002)


def test_other_starts_are_compared_from_today_on() -> None:
    """Weeks before today are left out, as are those after the end; the planned start is among them."""
    made = _made({year: list(range(14)) for year in (2001, 2002, 2003)})
    terms = _terms(made, finish_by=date(2027, 5, 25))
    booking = with_starts(booking_for(8 * HOUR_S, terms, None), 8 * HOUR_S, terms, None, date(2027, 4, 20))
    assert booking.counted is not None
    starts = {one.start: one for one in booking.counted.starts}
    assert sorted(starts) == [date(2027, 4, 26) + timedelta(weeks=k) for k in range(5)]
    assert starts[START].suggested_days == 15
    assert starts[date(2027, 5, 17)].suggested_days == 1
    assert starts[date(2027, 5, 17)].by_end_prob == 1.0


def test_the_last_safe_start_by_years() -> None:
    """One day of work by 12 May, where in half of the years it rains from the 10th on."""
    made = _made({year: list(range(7, 40)) for year in (2001, 2002)})
    terms = _terms(made, finish_by=date(2027, 5, 12))
    assert latest_start(8 * HOUR_S, terms, None) == date(2027, 5, 9)


def test_days_lent_have_their_own_odds() -> None:
    """Two days for three days of work, and five."""
    terms = _terms(_made({2001: [0]}))
    assert booking_for_days(24 * HOUR_S, terms, None, 2).prob == 0.0
    found = booking_for_days(24 * HOUR_S, terms, None, 3)
    assert (found.suggested_days, found.prob, found.finish) == (3, 0.75, date(2027, 5, 5))


def test_what_a_forecast_tells_counts_in_every_year() -> None:
    """Wet through Wednesday, then as the years had it; in a chain as well."""
    told = (Spell(until=date(2027, 5, 5), fit=False),)
    terms = _terms(_made({2001: [3]}), forecast=told)
    assert [of.n_met for of in booking_for(8 * HOUR_S, terms, None).odds[:2]] == [3, 4]
    typed = replace(terms, weather=None, fieldwork_day_prob=0.6, persistence_frac=0.5)
    assert prob_within(8 * HOUR_S, typed, None, 3) == 0.0
    assert prob_within(8 * HOUR_S, typed, None, 4) == pytest.approx(0.6 * 0.5)  # after a wet day p(1 − ρ)
    dry = replace(typed, forecast=(Spell(until=START, fit=True),))
    assert prob_within(8 * HOUR_S, dry, None, 1) == 1.0


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("wet until Thursday", [("2027-05-06", False)]),
        ("Dry to Fri, wet until 2027-05-10", [("2027-05-07", True), ("2027-05-10", False)]),
        ("wet until Monday", [("2027-05-03", False)]),
        ("wet until monday, dry until monday", [("2027-05-03", False), ("2027-05-10", True)]),
    ],
)
def test_a_forecast_as_people_type_it(text: str, expected: list[tuple[str, bool]]) -> None:
    """From Monday 3 May 2027 on; the day that is named is the last of its spell."""
    assert [(spell.until.isoformat(), spell.fit) for spell in spells(text, START)] == expected


@pytest.mark.parametrize(
    "text", ["", "rain", "wet until later", "wet until 2027-04-01", "wet until 2028-01-01"]
)
def test_what_is_no_forecast_is_refused(text: str) -> None:
    """With how to write one."""
    with pytest.raises(InputError):
        spells(text, START)


def test_the_days_since_the_start() -> None:
    """Two working days went by, of which the years had two, or one."""
    terms = _terms(_made({2001: [0]}), weekdays_off=frozenset({1}))
    since = days_since(START, date(2027, 5, 6), terms, (-95.0, 44.0))
    assert since is not None
    assert (since.n_days, since.n_working_days, since.usual_days, since.range_days) == (3, 2, 1.75, (1, 2))
    assert days_since(START, START, terms, (-95.0, 44.0)) is None
    typed = replace(terms, weather=None, fieldwork_day_prob=0.6)
    other = days_since(START, date(2027, 5, 6), typed, (-95.0, 44.0))
    assert other is not None
    assert other.usual_days == pytest.approx(1.2)


def test_a_rule_that_needs_temperatures_or_a_place_says_so() -> None:
    """No temperatures in the record; temperatures, and no latitude."""
    rule = soil_rule("medium")
    with pytest.raises(InputError) as caught:
        settled(WeatherTerms(record=_made({}), rules=(rule,)), 44.0)
    assert caught.value.problems[0].code == "weather-no-temperatures"
    n = 800
    warm = record(np.zeros(n), FIRST, tmax_c=np.full(n, 20.0), tmin_c=np.full(n, 8.0))
    with pytest.raises(InputError) as caught:
        settled(WeatherTerms(record=warm, rules=(rule,)), None)
    assert caught.value.problems[0].code == "weather-no-latitude"
    assert settled(WeatherTerms(record=warm, rules=(rule,)), 44.0).rule is rule


def test_the_most_reliable_rule_is_taken_unless_one_is_chosen() -> None:
    """Of several the first of the ranking."""
    drawn = np.random.default_rng(7)
    rain = np.where(drawn.random(3650) < 0.4, drawn.exponential(8, 3650), 0.0)
    weather = WeatherTerms(record=record(rain, FIRST), rules=tuple(rain_rules().values()))
    found = settled(weather, None)
    assert found.rule.name == found.reliability[0].rule
    assert found.reliability[0].off_prob <= found.reliability[1].off_prob


def test_snow_and_frost_are_no_fieldwork_days() -> None:
    """By any rule, where the record has them."""
    n = 1461
    snow = np.where(np.arange(n) == (date(2001, 5, 3) - FIRST).days, 50.0, 0.0)
    high = np.where(np.arange(n) == (date(2002, 5, 3) - FIRST).days, -1.0, 15.0)
    made = record(np.zeros(n), FIRST, snow_mm=snow, tmax_c=high, tmin_c=high - 8)
    booking = booking_for(8 * HOUR_S, _terms(made), None)
    assert booking.odds[0].n_met == 2


def test_a_level_is_met_by_waits() -> None:
    """Rain of 20 mm on three of 29 days in every year, and 23 days by the survey: one day of waiting after
    each. Of the limits that do so the highest is taken; a wait after more rain than fell takes no day.
    """
    made = _made({year: [2, 10, 20] for year in (2001, 2002, 2003, 2004)})
    level = Level(place="x", first=(5, 3), last=(5, 31), days=23, source="practice")
    waits, alone, waited = wait_for(made, DRY_DAYS, level, None, None)
    assert (alone, waited) == (26.0, 23.0)
    assert [(wait.after_mm, wait.days) for wait in waits] == [(12.7, 1)]


def test_a_level_above_the_rule_leaves_the_rule_alone() -> None:
    """No wait can add days."""
    level = Level(place="x", first=(5, 1), last=(5, 31), days=31, source="practice")
    assert wait_for(_made({2001: [0]}), DRY_DAYS, level, None, None) == ((), 30.75, 30.75)
