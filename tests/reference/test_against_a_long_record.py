"""37 years of daily weather at Champion, Nebraska, 1982 to 2018, as a public package carries them.

Expected figures were worked out beside this project from the same file: fieldwork days from 1 April to 16 June
(77 days) by rule, and the methods that make odds of them. The survey is the state's, as printed by its farm
bureau: 49.5 days in April to mid-June, 1996 to 2021.
"""

from __future__ import annotations

from datetime import date
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest
from weather_records import CHAMPION_LAT_DEG, CHAMPION_SHA256, champion

from fieldplan.jobfile.check import Checker
from fieldplan.jobfile.weather import _level
from fieldplan.model.job import BookingTerms
from fieldplan.model.weather import Record, Rule
from fieldplan.model.weather_odds import Level, WeatherTerms
from fieldplan.weather.calibration import ranked, reliability_of
from fieldplan.weather.level import wait_for
from fieldplan.weather.rules import fit_days, known_days, own_rule, rain_rules, soil_rule
from fieldplan.weather.water_balance import excess_water_cm, workable
from fieldplan.weather.years import Sky, persistence, seasons_of
from fieldplan.work.booking import booking_for_days, prob_done_within

HUNDREDTH, TENTH_OF_A_DAY, THOUSANDTH = 0.005, 0.05, 0.0006
A, A3 = rain_rules()["rain"], rain_rules()["three-day rain"]
D = own_rule("none on a day with over 2.5 mm, nor for 1 day after 12.7 mm")
E = own_rule("none on a day with over 2.5 mm, nor for 1 day after 6.35 mm, nor for 2 days after 25.4 mm")
F1, F2, F3, F4 = (
    own_rule(f"none on a day with over 2.5 mm, nor for {n} days after 6.35 mm") for n in (1, 2, 3, 4)
)
COARSE, MEDIUM = soil_rule("coarse"), soil_rule("medium")


@pytest.fixture(scope="module")
def record() -> Record:
    """The record; tests are skipped where it is not installed."""
    return champion()


def _sky(record: Record, rule: Rule) -> Sky:
    fit = fit_days(record, rule, CHAMPION_LAT_DEG)
    return Sky(first=record.first, fit=fit, known=known_days(record, rule))


def _counts(record: Record, rule: Rule, first: tuple[int, int] = (4, 1), n_days: int = 77) -> np.ndarray:
    return seasons_of(_sky(record, rule), date(2027, *first), n_days).fit


def test_the_record_is_the_one_that_was_measured(record: Record) -> None:
    """Its checksum, days, and rain by year: 413.86 mm."""
    assert sha256(Path(record.name).read_bytes()).hexdigest() == CHAMPION_SHA256
    assert (record.n_days, record.first, record.last) == (13_514, date(1982, 1, 1), date(2018, 12, 31))
    assert np.nansum(record.rain_mm) / 37 == pytest.approx(413.86, abs=HUNDREDTH)


@pytest.mark.parametrize(
    ("rule", "mean", "least", "most", "worst_fifth", "sd", "r"),
    [
        (A, 63.81, 53, 76, 59.0, 6.02, 0.485),
        (A3, 62.35, 48, 76, 58.0, 6.71, 0.543),
        (D, 61.16, 50, 72, 56.0, 5.71, 0.331),
        (E, 58.41, 44, 72, 53.2, 6.99, 0.430),
        (F1, 58.95, 45, 72, 53.4, 6.84, 0.412),
        (F2, 54.38, 36, 72, 48.4, 8.91, 0.534),
        (F3, 50.19, 28, 72, 41.6, 10.65, 0.608),
        (F4, 46.43, 24, 72, 36.2, 12.08, 0.650),
        (COARSE, 73.89, 68, 77, 72.0, 2.28, 0.212),
        (MEDIUM, 62.32, 43, 77, 54.4, 9.03, 0.703),
    ],
    ids=["A", "A3", "D", "E", "F1", "F2", "F3", "F4", "coarse", "medium"],
)
def test_fieldwork_days_by_rule(
    record: Record,
    rule: Rule,
    mean: float,
    least: int,
    most: int,
    worst_fifth: float,
    sd: float,
    r: float,
) -> None:
    """Mean, range, worst fifth and spread over 37 years, and persistence within the window."""
    fit = _counts(record, rule)
    counts = fit.sum(axis=1)
    assert len(counts) == 37
    assert (counts.min(), counts.max()) == (least, most)
    assert counts.mean() == pytest.approx(mean, abs=HUNDREDTH)
    assert np.quantile(counts, 0.2) == pytest.approx(worst_fifth, abs=HUNDREDTH)
    assert counts.std(ddof=1) == pytest.approx(sd, abs=HUNDREDTH)
    assert persistence(fit) == pytest.approx(r, abs=0.0005)


def test_months_by_the_rain_rule(record: Record) -> None:
    """Share of fieldwork days of each month from March to November."""
    fit = fit_days(record, A)
    month = (np.datetime64(record.first) + np.arange(record.n_days)).astype("datetime64[M]").astype(
        int
    ) % 12
    shares = [fit[month == number - 1].mean() for number in range(3, 12)]
    expected = [0.950, 0.879, 0.799, 0.808, 0.804, 0.847, 0.911, 0.906, 0.965]
    assert shares == pytest.approx(expected, abs=0.0005)


@pytest.mark.parametrize(
    ("rule", "needed", "n_met", "binomial", "chain"),
    [
        (A, 30, 36, 0.999, 0.965),
        (E, 30, 31, 0.970, 0.883),
        (A, 35, 30, 0.931, 0.820),
        (E, 35, 20, 0.609, 0.586),
        (A, 33, 32, 0.984, 0.901),
        (E, 33, 27, 0.823, 0.732),
    ],
)
def test_years_beside_a_chain_and_independent_days(
    record: Record, rule: Rule, needed: int, n_met: int, binomial: float, chain: float
) -> None:
    """So many fieldwork days of 47 from 15 April: years of 37, then the two formulas with the same share and
    persistence.
    """
    fit = _counts(record, rule, (4, 15), 47)
    assert int((fit.sum(axis=1) >= needed).sum()) == n_met
    p, r = float(fit.mean()), persistence(fit)
    assert prob_done_within(47, needed, p) == pytest.approx(binomial, abs=THOUSANDTH)
    assert prob_done_within(47, needed, p, r) == pytest.approx(chain, abs=THOUSANDTH)


def test_the_balance_with_the_evaporation_of_the_file(record: Record) -> None:
    """Medium soil with the file's own reference evaporation instead of Hargreaves: 61.24 days of 77, and of
    30 days in 47 from 15 April 31 years of 37, .992 by independent days and .857 by the chain.
    """
    lines = Path(record.name).read_text(encoding="utf-8").splitlines()[1:]
    et0_cm = np.array([float(line.split()[6]) for line in lines]) / 10
    excess = excess_water_cm(record.rain_mm / 10, et0_cm, MEDIUM.drainage, 2.0)
    fit = workable(excess, MEDIUM.drainage)
    sky = Sky(first=record.first, fit=fit, known=np.ones(len(fit), dtype=bool))
    assert seasons_of(sky, date(2027, 4, 1), 77).fit.sum(axis=1).mean() == pytest.approx(
        61.24, abs=HUNDREDTH
    )
    spring = seasons_of(sky, date(2027, 4, 15), 47).fit
    p, r = float(spring.mean()), persistence(spring)
    assert (p, r) == pytest.approx((0.7821, 0.705), abs=0.0005)
    assert int((spring.sum(axis=1) >= 30).sum()) == 31
    assert prob_done_within(47, 30, p) == pytest.approx(0.992, abs=THOUSANDTH)
    assert prob_done_within(47, 30, p, r) == pytest.approx(0.857, abs=THOUSANDTH)


def test_a_booking_counts_the_same_years(record: Record) -> None:
    """Thirty days of work lent for 47 days from 15 April, by rule E: 84 % by years, 97 % if independent, 88 %
    by the chain; what a plan shows is that table.
    """
    terms = BookingTerms(
        day_s=28_800,
        fieldwork_day_prob=None,
        confidence_prob=0.8,
        start=date(2027, 4, 15),
        weather=WeatherTerms(record=record, rules=(E,)),
    )
    # a day that stays at or below freezing is no fieldwork day here, and none of these years turns on one
    booking = booking_for_days(30 * 28_800, terms, None, 47)
    counted, found = booking.counted, booking.of_suggested
    assert counted is not None
    assert found is not None
    assert found.n_met in (30, 31)
    assert len(counted.used) == 37
    assert counted.independent_prob == pytest.approx(0.97, abs=0.015)
    assert counted.chain_prob == pytest.approx(0.88, abs=0.02)


def test_the_survey_sets_the_level_and_rules_alone_miss_it(record: Record) -> None:
    """By rain alone 58 to 64 days, 18 to 29 % above the survey's 49.5; three days of waiting bring 50.2."""
    survey = 49.5
    for rule in (A, A3, D, E):
        assert 0.17 < _counts(record, rule).sum(axis=1).mean() / survey - 1 < 0.30
    assert _counts(record, F3).sum(axis=1).mean() == pytest.approx(survey, rel=0.02)
    level = _level("Nebraska", {"file": "", "about": ""}, Checker())
    assert isinstance(level, Level)
    assert level.days == pytest.approx(survey, abs=TENTH_OF_A_DAY)
    only = own_rule("none on a day with over 2.5 mm")
    waits, alone, waited = wait_for(record, only, level, None, None)
    assert max(wait.days for wait in waits) == 3
    assert alone > 60
    assert waited == pytest.approx(survey, rel=0.01)
    for rule in (A, A3, MEDIUM):
        assert wait_for(record, rule, level, CHAMPION_LAT_DEG, None)[2] == pytest.approx(survey, rel=0.02)


@pytest.mark.parametrize("rule", [A, A3, COARSE, MEDIUM], ids=["A", "A3", "coarse", "medium"])
def test_stated_odds_come_true(record: Record, rule: Rule) -> None:
    """Each year predicted from the other 36: odds lie within a few percent of what comes true, and those of 70
    to 90 % are no boast.
    """
    found = reliability_of(_sky(record, rule), rule)
    assert found is not None
    assert found.n_cases == 37 * 9 * 3 * 6
    assert found.off_prob < 0.05
    assert found.true_frac > found.stated_prob - 0.05


def test_the_most_reliable_rule_comes_first(record: Record) -> None:
    """Ranked by how far odds are off."""
    found = ranked(reliability_of(_sky(record, rule), rule) for rule in (A3, A, MEDIUM))
    assert [one.off_prob for one in found] == sorted(one.off_prob for one in found)
