"""How often stated odds came true, worked out by hand."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from fieldplan.weather.calibration import reliability_of
from fieldplan.weather.rules import rain_rules
from fieldplan.weather.years import Sky

FIRST = date(2001, 1, 1)
N_DAYS = (date(2005, 1, 1) - FIRST).days
RULE = rain_rules()["rain"]


def _sky(n_fit: int) -> Sky:
    fit = np.arange(N_DAYS) < n_fit
    return Sky(first=FIRST, fit=fit, known=np.ones(N_DAYS, dtype=bool))


def test_each_year_is_stated_by_the_others() -> None:
    """Three years of fieldwork days and one without: each of the three is stated as two thirds, the last as
    sure. The mean square is (3 · 1/9 + 1) / 4; odds are off by 1 of 3 cases in one class, 1 of 1 in the other.
    """
    found = reliability_of(_sky(3 * 365), RULE)
    assert found is not None
    assert found.n_cases == 4 * 9 * 3 * 6
    assert found.brier == pytest.approx(1 / 3)
    assert found.off_prob == pytest.approx(0.5)
    assert (found.stated_prob, found.true_frac) == (0.0, 0.0)  # none was stated at 70 to 90 %


def test_years_that_are_alike_are_stated_without_fault() -> None:
    """Fieldwork on every day of every year."""
    found = reliability_of(_sky(N_DAYS), RULE)
    assert found is not None
    assert (found.brier, found.off_prob) == (0.0, 0.0)


def test_two_years_say_nothing() -> None:
    """With one other year there are no odds."""
    assert reliability_of(_sky(N_DAYS), RULE, years=(2001, 2002)) is None
