"""Capacity by the formulas, in SI and in the units of the trade."""

from __future__ import annotations

import pytest

from fieldplan.work.capacity import (
    capacity_with_turns_and_stops_m2_per_s,
    effective_capacity_m2_per_s,
    handbook_s,
    theoretical_capacity_m2_per_s,
)

FOOT_M, MPH, ACRE_M2 = 0.3048, 0.44704, 4046.8564224


def test_theoretical_capacity_is_width_times_speed() -> None:
    """Feet × mph / 8.25 acres an hour (Iowa State University Extension A3-24): 10 ft at 5 mph are 6.06."""
    assert theoretical_capacity_m2_per_s(10 * FOOT_M, 5 * MPH) * 3600 / ACRE_M2 == pytest.approx(
        10 * 5 / 8.25, rel=1e-4
    )
    assert effective_capacity_m2_per_s(3.0, 2.0, 0.7) == pytest.approx(4.2)


def test_the_better_efficiency_takes_the_min_time() -> None:
    """4,200 m² by 3 m at 2 m/s: 1,000 s at 70 %, 1,400 s at 50 %."""
    assert handbook_s(4200.0, 3.0, 2.0, (0.5, 0.7)) == pytest.approx((1000, 1400))


@pytest.mark.parametrize(
    ("used", "stops_s_per_m2", "turn_s", "capacity"),
    [
        (1.0, 0.0, 0.0, 6.0),
        (0.5, 0.0, 0.0, 3.0),
        (1.0, 1 / 6, 0.0, 3.0),
        (1.0, 0.0, 50.0, 3.0),
        (0.5, 1 / 6, 50.0, 1 / (1 / 3 + 1 / 3 + 1 / 6)),
    ],
)
def test_turns_and_stops_add_to_the_time_of_a_square_metre(
    used: float, stops_s_per_m2: float, turn_s: float, capacity: float
) -> None:
    """3 m at 2 m/s, runs of 100 m: 1/6 s a square metre, as much again for 50 s a turn, and twice as much
    on half the swath.
    """
    assert capacity_with_turns_and_stops_m2_per_s(
        3.0, 2.0, 100.0, used, stops_s_per_m2, turn_s
    ) == pytest.approx(capacity)
