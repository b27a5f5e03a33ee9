"""Runs of ground grouped into columns: neighbours in a column lie side by side on strips next to each
other.
"""

from __future__ import annotations

import numpy as np

from fieldplan.model.coverage import Array, IntArray
from fieldplan.plane.ragged import members


def column_of(strip: IntArray, start: Array, end: Array) -> IntArray:
    """The column of each run, (n,), for runs sorted by strip and start.

    A column ends where a run splits in two, where two become one, or where the next strip has no run beside
    it.
    """
    n = len(strip)
    lower, upper = _beside(strip, start, end)
    n_above, n_below = np.bincount(lower, minlength=n), np.bincount(upper, minlength=n)
    under = np.full(n, -1)
    kept = (n_below[upper] == 1) & (n_above[lower] == 1)
    under[upper[kept]] = lower[kept]
    column = np.empty(n, dtype=np.int64)
    columns = 0
    for i, below in enumerate(under.tolist()):
        if below >= 0:
            column[i] = column[below]
        else:
            column[i] = columns
            columns += 1
    return column


def _beside(strip: IntArray, start: Array, end: Array) -> tuple[IntArray, IntArray]:
    """Pairs of runs on neighbouring strips that overlap along them: the one on the lower strip, the one
    above it.
    """
    first = strip.searchsorted(strip + 1, side="left")
    last = strip.searchsorted(strip + 1, side="right")
    lower, nth = members(last - first)
    upper = first[lower] + nth
    meet = (start[lower] < end[upper]) & (start[upper] < end[lower])
    return lower[meet], upper[meet]
