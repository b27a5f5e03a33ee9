"""Runs that lie side by side."""

from __future__ import annotations

import numpy as np

from fieldplan.coverage.columns import column_of


def _columns(*runs: tuple[int, float, float]) -> list[int]:
    strip, start, end = zip(*runs, strict=True)
    return column_of(np.array(strip), np.array(start, dtype=float), np.array(end, dtype=float)).tolist()


def test_runs_side_by_side_are_one_column() -> None:
    """Three strips, each beside the one before."""
    assert _columns((0, 0, 100), (1, 10, 90), (2, 20, 120)) == [0, 0, 0]


def test_a_run_that_splits_ends_its_column() -> None:
    """One below two: three columns; and two that become one again."""
    assert _columns((0, 0, 100), (1, 0, 40), (1, 60, 100)) == [0, 1, 2]
    assert _columns((0, 0, 40), (0, 60, 100), (1, 0, 100)) == [0, 1, 2]


def test_arms_that_go_on_apart_stay_columns() -> None:
    """Two arms of two strips each."""
    assert _columns((0, 0, 40), (0, 60, 100), (1, 0, 40), (1, 60, 100)) == [0, 1, 0, 1]


def test_a_strip_left_out_or_runs_that_only_touch_part_columns() -> None:
    """Nothing lies beside them."""
    assert _columns((0, 0, 100), (2, 0, 100)) == [0, 1]
    assert _columns((0, 0, 50), (1, 50, 100)) == [0, 1]
    assert _columns((0, 50, 100), (1, 0, 50)) == [0, 1]
