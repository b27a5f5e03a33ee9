"""What repeats in a row of numbers."""

from __future__ import annotations

import numpy as np
import pytest

from fieldplan.kernels.repeated import most_repeated


@pytest.mark.parametrize(
    ("values", "start", "period", "times"),
    [
        ([4, 4, 4], 0, 1, 3),
        ([4, 4, -5, 4, -5, 4], 1, 2, 2),
        ([1, 2, 3, 4], 0, 0, 0),
        ([], 0, 0, 0),
        # both save two: the shorter period, and of that the first
        ([7, 7, 7, 1, 2, 1, 2, 8, 8, 8], 0, 1, 3),
        # a part of a fourth time is left over
        ([9, 1, 2, 3, 1, 2, 3, 1, 2, 3, 1], 1, 3, 3),
    ],
)
def test_what_saves_most_is_found(values: list[int], start: int, period: int, times: int) -> None:
    """Numbers said once in place of every time: the period for each time but the first."""
    assert most_repeated(np.array(values, dtype=np.int64)) == (start, period, times)
