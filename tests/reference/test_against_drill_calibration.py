"""Calibration against printed worked examples."""

from __future__ import annotations

import pytest

from fieldplan.seed.calibration import catch_kg, caught_rate_kg_per_m2, ground_of_turns_m, slip_of
from fieldplan.units import ACRE_M2, FOOT_M, HECTARE_M2, INCH_M, POUND_KG

LB_PER_AC = POUND_KG / ACRE_M2


@pytest.mark.parametrize(("spacing_in", "printed"), [(6, 0.78), (7, 0.91), (7.5, 0.98), (8, 1.04)])
def test_grams_a_tube_over_150_feet(spacing_in: float, printed: float) -> None:
    """University of Kentucky in farm press: grams = lb/ac × 0.78, 0.91, 0.98, 1.04 at 6, 7, 7.5, 8 in."""
    assert catch_kg(LB_PER_AC, spacing_in * INCH_M, 150 * FOOT_M) * 1000 == pytest.approx(
        printed, abs=0.005
    )


@pytest.mark.parametrize(
    ("spacing_in", "factor"),
    [(6, 0.5207), (6.75, 0.5857), (7, 0.6074), (7.5, 0.6508), (8, 0.6942), (10, 0.8678), (12, 1.0413)],
)
def test_grams_per_100_feet_of_row(spacing_in: float, factor: float) -> None:
    """The identity grams = lb/ac × 453.59237 × (spacing × 100 ft) / 43,560 ft², computed."""
    assert catch_kg(LB_PER_AC, spacing_in * INCH_M, 100 * FOOT_M) * 1000 == pytest.approx(
        factor, abs=0.00005
    )


def test_twenty_turns_of_an_eight_foot_wheel() -> None:
    """University-hosted farmer series: 8 ft × 20 turns × 7.5 in are 100 ft² a row; 25 lb/ac is 26.06 g with
    454 g to the pound.

    With 453.59 g it is 26.03.
    """
    way_m = ground_of_turns_m(20, 8 * FOOT_M)
    assert way_m * 7.5 * INCH_M / FOOT_M**2 == pytest.approx(100)
    got_g = catch_kg(25 * LB_PER_AC, 7.5 * INCH_M, way_m) * 1000
    assert got_g == pytest.approx(26.03, abs=0.005)
    assert got_g * 454 / 453.59237 == pytest.approx(26.06, abs=0.005)


def test_a_twentieth_of_an_acre() -> None:
    """Extension field day in farm press: 24 openers at 7.5 in are 15.0 ft, a twentieth of an acre is 145.2
    ft of way, 6 of 24 tubes caught and multiplied by 4 and by 20 are pounds an acre; 19 turns in the ground
    make 7.642 ft a turn.
    """
    width_m = 24 * 7.5 * INCH_M
    assert width_m / FOOT_M == pytest.approx(15.0)
    way_m = ACRE_M2 / 20 / width_m
    assert way_m / FOOT_M == pytest.approx(145.2, abs=0.05)
    assert way_m / FOOT_M / 19 == pytest.approx(7.642, abs=0.0005)
    caught_lb = 1.3
    rate = caught_rate_kg_per_m2(caught_lb * POUND_KG, 7.5 * INCH_M, way_m, rows=6)
    assert rate / LB_PER_AC == pytest.approx(caught_lb * 4 * 20)


def test_ten_turns_of_a_sixty_inch_wheel() -> None:
    """University of Kentucky: a wheel 60 in round turns 10 times in 50 ft."""
    assert ground_of_turns_m(10, 60 * INCH_M) / FOOT_M == pytest.approx(50)


def test_grams_over_ten_metres() -> None:
    """Grain South Africa: grams over 10 m / row spacing in m are kg/ha: 15 g at 0.20 m are 75."""
    assert caught_rate_kg_per_m2(0.015, 0.20, 10) * HECTARE_M2 == pytest.approx(75)


def test_slip_lowers_the_rate() -> None:
    """Derived: 30 turns expected and 28 counted are 6.67 % slip; a bench rate of 100 lb/ac delivers
    93.3.
    """
    slip = slip_of(28, 30)
    assert slip * 100 == pytest.approx(6.67, abs=0.005)
    circumference_m, spacing_m = 2.0, 0.2
    on_bench = catch_kg(100 * LB_PER_AC, spacing_m, ground_of_turns_m(28, circumference_m))
    in_field = caught_rate_kg_per_m2(on_bench, spacing_m, ground_of_turns_m(28, circumference_m, slip))
    assert in_field / LB_PER_AC == pytest.approx(93.3, abs=0.05)
