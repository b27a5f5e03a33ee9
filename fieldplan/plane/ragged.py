"""Rows of unequal length in one flat array, row after row.

They are given by the number of members of each row, ``count`` (k,), or by the row of each member, ``row``
(n,). Vertices of rings, runs of strips, and passes of swath layouts and columns are stored in this form.
"""

from __future__ import annotations

import numpy as np

from fieldplan.model.coverage import BoolArray, IntArray


def firsts(count: IntArray) -> IntArray:
    """Index of the first member of each row, (k,).

    Examples
    --------
    >>> firsts(np.array([2, 0, 3])).tolist()
    [0, 2, 2]
    """
    return np.asarray(count.cumsum() - count)


def lasts(count: IntArray) -> IntArray:
    """Index of the last member of each row, (k,); for an empty row, one less than `firsts`.

    Examples
    --------
    >>> lasts(np.array([2, 0, 3])).tolist()
    [1, 1, 4]
    """
    return np.asarray(count.cumsum() - 1)


def members(count: IntArray) -> tuple[IntArray, IntArray]:
    """The row of each member, (n,), and its position in that row, counted from 0, (n,).

    Examples
    --------
    >>> [part.tolist() for part in members(np.array([2, 0, 3]))]
    [[0, 0, 2, 2, 2], [0, 1, 0, 1, 2]]
    """
    row = np.arange(len(count)).repeat(count)
    return row, np.arange(len(row)) - firsts(count)[row]


def begins(row: IntArray) -> BoolArray:
    """Whether each member is the first of its row, (n,).

    Examples
    --------
    >>> begins(np.array([5, 5, 7])).tolist()
    [True, False, True]
    """
    first = np.ones(len(row), dtype=bool)
    np.not_equal(row[1:], row[:-1], out=first[1:])
    return first


def ends(row: IntArray) -> BoolArray:
    """Whether each member is the last of its row, (n,).

    Examples
    --------
    >>> ends(np.array([5, 5, 7])).tolist()
    [False, True, True]
    """
    last = np.ones(len(row), dtype=bool)
    np.not_equal(row[1:], row[:-1], out=last[:-1])
    return last
