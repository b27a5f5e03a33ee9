"""Rules for fieldwork days, evaporation and ranges of odds, against what is printed or worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from weather_records import record

from fieldplan.model.weather import Drainage
from fieldplan.weather.evaporation import hargreaves_mm, radiation_mj_per_m2
from fieldplan.weather.rules import drainages, fit_days, own_rule, rain_rules
from fieldplan.weather.water_balance import excess_water_cm, workable
from fieldplan.weather.years import wilson

RAIN_MM = [0, 12, 0, 3, 6, 3, 0, 30, 0, 0, 0, 0]
THIRD_CLASS = Drainage(name="third", a_per_day=0.20, b_cm_per_day=0.05, limit_cm=0.0)
"""A third set of coefficients for the arithmetic alone: it was not seen in print, and no user is offered it."""


@pytest.mark.parametrize(
    ("rule", "fit"),
    [
        # a French rule for sowing: at most 5 mm on the day and 8 mm in two days
        (rain_rules()["rain"], "1 0 0 1 0 0 1 0 0 1 1 1"),
        (
            own_rule("none on a day with over 2.5 mm, nor for 1 day after 12.7 mm"),
            "1 0 1 0 0 0 1 0 0 1 1 1",
        ),
        (
            own_rule(
                "none on a day with over 2.5 mm, nor for 1 day after 6.35 mm, nor for 2 days after 25.4 mm"
            ),
            "1 0 0 0 0 0 1 0 0 0 1 1",
        ),
    ],
    ids=["sowing", "one day after half an inch", "two waits"],
)
def test_rain_rules_day_by_day(rule: object, fit: str) -> None:
    """Twelve days of rain, dry before: fieldwork days worked out by hand."""
    found = fit_days(record(RAIN_MM), rule)  # type: ignore[arg-type]
    assert [int(day) for day in found] == [int(day) for day in fit.split()]


@pytest.mark.parametrize(
    ("drainage", "excess", "fit"),
    [
        (
            drainages()["coarse"],
            [-0.2, 0, -0.2, -0.2, 0, 0, -0.2, 0.18, -0.12, -0.2667, -0.3889, -0.4907],
            "1 1 1 1 1 1 1 0 1 1 1 1",
        ),
        (
            drainages()["medium"],
            [-0.2, 0.59, 0.221, 0.1589, 0.373, 0.2957, -0.0043, 2.3861, 1.8375, 1.3438, 0.8994, 0.4995],
            "1 0 0 0 0 0 1 0 0 0 0 0",
        ),
        (
            THIRD_CLASS,
            [-0.2, 0.51, 0.118, 0.0444, 0.2255, 0.1304, -0.1478, 1.9917, 1.3034, 0.7527, 0.3122, 0],
            "1 0 0 0 0 0 1 0 0 0 0 1",
        ),
    ],
    ids=["coarse", "medium", "third"],
)
def test_workability_day_by_day(drainage: Drainage, excess: list[float], fit: str) -> None:
    """The WOFOST and CGMS bucket, 0.3 cm of evaporation a day, no excess before: each day by hand."""
    found = excess_water_cm(np.array(RAIN_MM) / 10, np.full(12, 0.3), drainage, 0.0)
    assert found == pytest.approx(excess, abs=0.00006)
    assert [int(day) for day in workable(found, drainage)] == [int(day) for day in fit.split()]


def test_workability_from_wet_without_rain() -> None:
    """From 2 cm of excess on medium soil the fifth day can be worked."""
    expected = [
        1.49,
        1.031,
        0.6179,
        0.2461,
        -0.0539,
        -0.2269,
        -0.3558,
        -0.4632,
        -0.5579,
        -0.6447,
        -0.7243,
        -0.7973,
    ]
    found = excess_water_cm(np.zeros(12), np.full(12, 0.3), drainages()["medium"], 2.0)
    assert found == pytest.approx(expected, abs=0.00006)
    assert list(workable(found, drainages()["medium"])).index(True) == 4


def test_hargreaves_at_45_north() -> None:
    """30 and 17 °C on day 197: Ra 40.49 MJ/m² and 5.66 mm, as the test suite of a public package of
    evaporation formulas prints them.
    """
    day = np.array([197.0])
    assert radiation_mj_per_m2(day, 45.0)[0] == pytest.approx(40.49, abs=0.005)
    assert hargreaves_mm(np.array([30.0]), np.array([17.0]), day, 45.0)[0] == pytest.approx(5.66, abs=0.005)


@pytest.mark.parametrize(
    ("n_met", "n", "low", "high"),
    [
        (15, 30, 0.332, 0.668),
        (24, 30, 0.627, 0.905),
        (27, 30, 0.744, 0.965),
        (30, 30, 0.886, 1.0),
        (16, 20, 0.584, 0.919),
        (32, 40, 0.652, 0.895),
        (48, 60, 0.682, 0.882),
    ],
)
def test_ranges_of_shares(n_met: int, n: int, low: float, high: float) -> None:
    """The score interval of Wilson (1927) at 95 %."""
    assert wilson(n_met, n) == pytest.approx((low, high), abs=0.0005)


@pytest.mark.parametrize("n_met", [0, 7, 24, 30])
def test_ranges_agree_with_a_library(n_met: int) -> None:
    """scipy.stats.binomtest, method "wilson"."""
    stats = pytest.importorskip("scipy.stats")
    expected = stats.binomtest(n_met, 30).proportion_ci(method="wilson")
    assert wilson(n_met, 30) == pytest.approx((expected.low, expected.high), abs=1e-6)


def test_a_wet_top_loses_all_that_evaporates() -> None:
    """From half a centimeter of excess on evaporation is not held back: 0.8 of 2.0 cm, then a tenth and 0.04
    cm drain; below, dry soil lets no more go than 0.5 cm.
    """
    found = excess_water_cm(np.zeros(3), np.full(3, 0.8), drainages()["medium"], 2.0)
    # 2.0 − 0.8 = 1.2, less 0.16; 1.04 − 0.8 = 0.24, less 0.064; at 0.176 the curve gives 0.2 + 0.176 · 0.6
    assert found == pytest.approx([1.04, 0.176, 0.176 - 0.3056], abs=1e-9)
