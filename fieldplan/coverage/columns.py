"""Runs of ground grouped into columns: neighbors in a column lie side by side on adjacent strips."""

from __future__ import annotations

import numpy as np

from fieldplan.model.coverage import Array, IntArray
from fieldplan.plane.ragged import members


def column_of(strip: IntArray, start: Array, end: Array) -> IntArray:
    """The column of each run.

    A column ends where a run splits in two, where two join, or where the next strip has no run beside it.

    Parameters
    ----------
    strip, start, end
        (n,) the strip of each run, and where it starts and ends along the strip; sorted by strip, then by
        start.

    Returns
    -------
    IntArray
        (n,) numbers of columns, counted from 0.

    Examples
    --------
    >>> strip, start, end = np.array([0, 1, 1, 2]), np.array([0, 0, 60, 60]), np.array([90, 40, 90, 90])
    >>> column_of(strip, start, end).tolist()  # one run splits in two, and one of the two goes on
    [0, 1, 2, 2]
    """
    n = len(strip)
    lower, upper = _beside(strip, start, end)
    n_above, n_below = np.bincount(lower, minlength=n), np.bincount(upper, minlength=n)
    under = np.full(n, -1)
    kept = (n_below[upper] == 1) & (n_above[lower] == 1)
    under[upper[kept]] = lower[kept]
    column = np.empty(n, dtype=np.int64)
    n_columns = 0
    for i, below in enumerate(under.tolist()):
        if below >= 0:
            column[i] = column[below]
        else:
            column[i] = n_columns
            n_columns += 1
    return column


def _beside(strip: IntArray, start: Array, end: Array) -> tuple[IntArray, IntArray]:
    """Pairs of runs on adjacent strips that overlap: the index on the lower strip, that on the upper one."""
    first = strip.searchsorted(strip + 1, side="left")
    last = strip.searchsorted(strip + 1, side="right")
    lower, nth = members(last - first)
    upper = first[lower] + nth
    meet = (start[lower] < end[upper]) & (start[upper] < end[lower])
    return lower[meet], upper[meet]
