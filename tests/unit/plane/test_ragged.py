"""Rows of unequal length in one array."""

from __future__ import annotations

import numpy as np
import pytest

from fieldplan.plane.ragged import begins, ends, firsts, lasts, members


def test_rows_begin_where_those_before_them_end() -> None:
    """Two, none and three members: the second row begins and ends where the third begins."""
    count = np.array([2, 0, 3])
    assert firsts(count).tolist() == [0, 2, 2]
    assert lasts(count).tolist() == [1, 1, 4]


def test_members_know_their_row_and_their_place_in_it() -> None:
    """A row without members has none."""
    row, nth = members(np.array([2, 0, 3]))
    assert row.tolist() == [0, 0, 2, 2, 2]
    assert nth.tolist() == [0, 1, 0, 1, 2]


@pytest.mark.parametrize("count", [[], [0], [0, 0]])
def test_no_members_are_no_members(count: list[int]) -> None:
    """Neither of no rows nor of empty ones."""
    row, nth = members(np.array(count, dtype=np.int64))
    assert len(row) == len(nth) == 0


def test_first_and_last_of_rows_that_follow_each_other() -> None:
    """A row of one is both."""
    row = np.array([5, 5, 7, 2, 2, 2])
    assert begins(row).tolist() == [True, False, True, True, False, False]
    assert ends(row).tolist() == [False, True, True, False, False, True]
