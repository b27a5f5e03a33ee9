"""Surveys of fieldwork days: USDA NASS, Quick Stats, "Fieldwork: days suitable, measured in days / week".

The weekly series of North Dakota, autumn 1995 to 2024, is public domain (US Government). Expected figures are
worked out from the printed series: windows of each year summed, quantiles linear between order values.
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from fieldplan.jobfile.weather import published_for
from fieldplan.tables import read as tables
from fieldplan.weather.survey import surveyed_days
from fieldplan.weather.years import wilson
from fieldplan.work.booking import prob_done_within

STATE = "North Dakota"
LAST_YEAR = 2024
"""Of the printed figures; the series goes on to 2025."""
TENTH = 0.05
"""Half of the last digit of a figure printed in tenths."""
SEPTEMBER_TO_OCTOBER = {
    **{1995: 45.1, 1996: 42.3, 1997: 49.6, 1998: 45.3, 1999: 45.4, 2000: 46.0, 2001: 50.0, 2002: 46.0},
    **{2003: 51.9, 2004: 38.9, 2005: 49.3, 2006: 48.1, 2007: 50.4, 2008: 42.3, 2009: 34.9, 2010: 39.9},
    **{2011: 53.1, 2012: 50.7, 2014: 49.5, 2015: 50.9, 2016: 44.3, 2017: 50.2, 2018: 38.8, 2019: 26.1},
    **{2020: 51.3, 2021: 48.3, 2022: 53.7, 2023: 43.7, 2024: 53.9},
}


def _window(first: date, last: date) -> dict[int, float]:
    each = surveyed_days(STATE, first, (last - first).days + 1)
    return {year: days for year, days in each.items() if year <= LAST_YEAR}


def test_totals_of_every_autumn() -> None:
    """Each year's total; 2013 and 2025 have weeks missing and no total."""
    found = _window(date(2027, 9, 1), date(2027, 10, 31))
    assert set(found) == set(SEPTEMBER_TO_OCTOBER)
    for year, days in SEPTEMBER_TO_OCTOBER.items():
        assert found[year] == pytest.approx(days, abs=TENTH), year


@pytest.mark.parametrize(
    ("first", "last", "n_years", "low", "median", "high"),
    [
        ((9, 1), (9, 15), 30, 10.4, 12.6, 13.1),
        ((9, 16), (9, 30), 29, 9.9, 12.1, 13.0),
        ((10, 1), (10, 15), 29, 10.4, 11.9, 13.3),
        ((10, 16), (10, 31), 30, 9.9, 11.7, 14.0),
        ((9, 15), (10, 20), 29, 26.0, 28.1, 30.7),
        ((9, 1), (11, 15), 21, 51.9, 58.3, 63.6),
    ],
)
def test_quantiles_of_windows(
    first: tuple[int, int], last: tuple[int, int], n_years: int, low: float, median: float, high: float
) -> None:
    """The worst fifth, the median and the best fifth of years."""
    each = list(_window(date(2027, *first), date(2027, *last)).values())
    assert len(each) == n_years
    assert np.quantile(each, [0.2, 0.5, 0.8]) == pytest.approx([low, median, high], abs=TENTH)


def test_forty_days_in_september_and_october() -> None:
    """At least 40 of 61 days in 24 of 29 years, 83 %; independent days say 97 %, a chain 86 %."""
    each = np.array(list(_window(date(2027, 9, 1), date(2027, 10, 31)).values()))
    met = int((each >= 40).sum())
    assert (met, len(each)) == (24, 29)
    assert met / len(each) == pytest.approx(0.828, abs=0.0005)
    assert prob_done_within(61, 40, 0.757) == pytest.approx(0.974, abs=0.001)
    assert prob_done_within(61, 40, 0.757, 0.557) == pytest.approx(0.856, abs=0.001)
    low, high = wilson(met, len(each))
    assert low < 0.757 < high < 0.974  # the years rule independent days out


def test_weekly_quantiles_do_not_add_up() -> None:
    """Nine weeks: the sum of their worst fifths is 39 days, the worst fifth of their sums 45."""
    weeks: dict[int, list[float]] = {}
    by_end = {
        date.fromisoformat(row["week_ending"]): float(row["days"]) for row in tables.rows("survey_weeks")
    }
    for year in range(1995, 2025):
        ends = [date(year, 9, 3).toordinal() + 7 * k for k in range(9)]
        near = [min(by_end, key=lambda day, end=end: abs(day.toordinal() - end)) for end in ends]
        if all(abs(day.toordinal() - end) <= 3 for day, end in zip(near, ends, strict=True)):
            weeks[year] = [by_end[day] for day in near]
    each = np.array(list(weeks.values()))
    assert len(each) == 29
    assert np.quantile(each.sum(axis=1), 0.2) == pytest.approx(45.0, abs=TENTH)
    assert np.quantile(each, 0.2, axis=0).sum() == pytest.approx(39.1, abs=TENTH)


@pytest.mark.parametrize(
    ("state", "start", "share"),
    [
        # University of Nebraska figures as printed by the state's farm bureau: 49.5 of 76 days
        ("Nebraska", date(2027, 5, 10), 49.5 / 76),
        # farmdoc FEFO 10-11: "about 50 %" and "over 75 %"; the state comes before its central district
        ("Illinois", date(2027, 4, 20), 0.50),
        ("Illinois", date(2027, 9, 20), 0.75),
        # share of the days of October in the series
        ("North Dakota", date(2027, 10, 5), 0.737),
        # medians of weeks 18 to 21 of eleven states, read off figures to a tenth of a day or two
        ("Arkansas", date(2027, 5, 5), 4.98 / 7),
    ],
)
def test_what_stands_for_a_state(state: str, start: date, share: float) -> None:
    """The figure for the state and the time of the start, to a tenth of a day in a month."""
    found = published_for(state, start, stands=True)
    assert found is not None
    assert found.prob == pytest.approx(share, abs=TENTH / 30)
