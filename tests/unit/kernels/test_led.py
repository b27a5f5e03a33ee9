"""Which pass is driven, and whether the nearest open end is where the next one begins."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.led import found_next, nearest_line
from fieldplan.model.coverage import Array

NEAR_M = 0.01
SIDE_BY_SIDE = np.array([[[0.0, 5.0 * n], [100.0, 5.0 * n]] for n in range(4)])
"""Passes along the x axis, 5 m apart."""


def _led(order: list[int], ends: Array, strip: list[int], *, lone: bool = False) -> list[bool]:
    """Passes driven to and fro: the first, third, … from their starts."""
    driven = np.array([ends[nth] if k % 2 == 0 else ends[nth][::-1] for k, nth in enumerate(order)])
    unsown = np.ones(len(ends), dtype=bool)
    found = found_next(np.array(order), driven, ends, np.array(strip), unsown, lone, NEAR_M)
    assert unsown.tolist() == [nth not in order for nth in range(len(ends))]
    return [bool(one) for one in found]


def test_a_strip_of_one_pass_is_found_wherever_it_lies() -> None:
    """Strips in any order: only the next one is looked at."""
    assert _led([0, 2, 1, 3], SIDE_BY_SIDE, [0, 1, 2, 3]) == [True, True, True]


def test_a_pass_that_is_begun_at_its_far_end_is_not_found() -> None:
    """From the end of the first, the near end of the second is where nobody begins."""
    ends = SIDE_BY_SIDE[:2].copy()
    driven = np.array([ends[0], ends[1]])
    unsown = np.ones(2, dtype=bool)
    found = found_next(np.array([0, 1]), driven, ends, np.array([0, 1]), unsown, False, NEAR_M)
    assert found.tolist() == [False]


def test_the_nearer_of_two_parts_of_a_strip_is_taken_first() -> None:
    """The second strip has a near and a far part; a near one that is sown already is passed over."""
    ends = np.array([[[0.0, 0.0], [100.0, 0.0]], [[60.0, 5.0], [100.0, 5.0]], [[0.0, 5.0], [40.0, 5.0]]])
    assert _led([0, 1], ends, [0, 1, 1]) == [True]
    assert _led([0, 2], ends, [0, 1, 1]) == [False]
    unsown = np.array([True, False, True])
    driven = np.array([ends[0], ends[2][::-1]])
    assert found_next(np.array([0, 2]), driven, ends, np.array([0, 1, 1]), unsown, False, NEAR_M).all()


def test_lone_passes_are_told_by_what_is_nearest() -> None:
    """Without strips side by side the nearest open pass is the next one, and no other."""
    assert _led([0, 1, 2, 3], SIDE_BY_SIDE, [0, 2, 4, 6], lone=True) == [True, True, True]
    assert _led([0, 2], SIDE_BY_SIDE, [0, 2, 4, 6], lone=True) == [False]


def test_the_nearest_line_is_that_with_the_nearest_point() -> None:
    """Inside a step, beyond an end, and as near to two: then the first."""
    points = np.array([[0.0, 0.0], [10.0, 0.0], [0.0, 4.0], [4.0, 4.0], [4.0, 8.0]])
    line = np.array([0, 0, 1, 1, 1])
    places = np.array([[5.0, 1.0], [4.5, 7.0], [2.0, 2.0], [13.0, 4.0], [9.0, 4.5]])
    assert nearest_line(places, points, line).tolist() == [0, 1, 0, 0, 0]
    # the step from the end of the one to the start of the other is none of either
    assert nearest_line(np.array([[3.0, 3.2]]), points, line).tolist() == [1]
