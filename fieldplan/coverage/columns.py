"""Runs of ground grouped into columns: neighbors in a column lie side by side on adjacent strips."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.in_turn import columns_of
from fieldplan.model.coverage import Array, IntArray


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
    return columns_of(np.ascontiguousarray(strip, dtype=np.int64), numbers(start), numbers(end))
