"""Rows of unequal length in one flat array: by how many members each row has, ``count`` (k,), or by the row
of each member, (n,).

Rings of vertices, strips of runs, layings of passes and columns of passes all lie so, row after row.
"""

from __future__ import annotations

import numpy as np

from fieldplan.model.coverage import BoolArray, IntArray


def firsts(count: IntArray) -> IntArray:
    """Where each row begins, (k,).

    Examples
    --------
    >>> firsts(np.array([2, 0, 3])).tolist()
    [0, 2, 2]
    """
    return np.asarray(count.cumsum() - count)


def lasts(count: IntArray) -> IntArray:
    """Where each row ends, (k,); one before its begin for a row without members."""
    return np.asarray(count.cumsum() - 1)


def members(count: IntArray) -> tuple[IntArray, IntArray]:
    """The row of each member, (n,), and which one of its row it is, counted from 0, (n,).

    Examples
    --------
    >>> [part.tolist() for part in members(np.array([2, 0, 3]))]
    [[0, 0, 2, 2, 2], [0, 1, 0, 1, 2]]
    """
    row = np.arange(len(count)).repeat(count)
    return row, np.arange(len(row)) - firsts(count)[row]


def begins(row: IntArray) -> BoolArray:
    """Whether each member is the first of its row, (n,)."""
    first = np.ones(len(row), dtype=bool)
    np.not_equal(row[1:], row[:-1], out=first[1:])
    return first


def ends(row: IntArray) -> BoolArray:
    """Whether each member is the last of its row, (n,)."""
    last = np.ones(len(row), dtype=bool)
    np.not_equal(row[1:], row[:-1], out=last[:-1])
    return last
