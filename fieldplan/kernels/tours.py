"""The tour of places that each may be entered and left in several ways, by the way between them: exact for few
places, by search for many.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.model.coverage import Array, IntArray

_MIN_GAIN_M = 1e-6
"""Improvements smaller than this are rounding."""
_MOVED = 3
"""At most so many places are moved at once."""
_MOST_LOOKS = 2_000_000
"""Ways between two options that a search looks at before it ends."""


class Options(NamedTuple):
    """Ways to enter and leave places, place after place.

    Parameters
    ----------
    first
        (n + 1,) where the options of each place begin.
    way_m
        (k, k) from where one option leaves to where another enters.
    begin_m, finish_m
        (k,) the way to each option if it is the first, and from it if it is the last.
    """

    first: IntArray
    way_m: Array
    begin_m: Array
    finish_m: Array


@compiled
def exact_tour(options: Options) -> IntArray:
    """The options of the shortest tour, in order, by dynamic programming over the sets of places visited.

    Memory grows as k·2^n: for few places only.
    """
    n, k = len(options.first) - 1, len(options.begin_m)
    place = _places(options)
    least_m = np.full((1 << n, k), np.inf)
    before = np.full((1 << n, k), -1, dtype=np.int64)
    for i in range(k):
        least_m[1 << place[i], i] = options.begin_m[i]
    for visited in range(1, 1 << n):
        for i in range(k):
            if not np.isfinite(least_m[visited, i]):
                continue
            for j in range(k):
                if (visited >> place[j]) & 1:
                    continue
                grown = visited | (1 << place[j])
                way_m = least_m[visited, i] + options.way_m[i, j]
                if way_m < least_m[grown, j] - _MIN_GAIN_M:
                    least_m[grown, j], before[grown, j] = way_m, i
    tour, visited = np.empty(n, dtype=np.int64), (1 << n) - 1
    tour[-1] = np.argmin(least_m[visited] + options.finish_m)
    for nth in range(n - 1, 0, -1):
        tour[nth - 1] = before[visited, tour[nth]]
        visited &= ~(1 << place[tour[nth]])
    return tour


@compiled
def improved_tour(tour: IntArray, options: Options) -> IntArray:
    """A tour with stretches of it reversed or moved as long as that makes it shorter, each with the best options."""
    place = _places(options)
    sequence = place[tour]
    n, looks = len(sequence), 0
    best_m = chosen(sequence, options, tour)
    improved = True
    other = np.empty(n, dtype=np.int64)
    while improved and looks < _MOST_LOOKS:
        improved = False
        for i in range(n):
            for j in range(n):
                for n_moved in range(_MOVED + 1):
                    if not _changed(sequence, i, j, n_moved, other):
                        continue
                    looks += _looks(other, options)
                    other_m = chosen(other, options, tour)
                    if other_m < best_m - _MIN_GAIN_M:
                        sequence[:], best_m, improved = other, other_m, True
                if looks > _MOST_LOOKS:
                    break
            if looks > _MOST_LOOKS:
                break
    chosen(sequence, options, tour)
    return tour


@compiled
def chosen(sequence: IntArray, options: Options, tour: IntArray) -> float:
    """Write the best options of places in a given sequence, (n,), and return how long that tour is."""
    n, k = len(sequence), len(options.begin_m)
    least_m, before = np.full(k, np.inf), np.zeros(k, dtype=np.int64)
    for i in range(options.first[sequence[0]], options.first[sequence[0] + 1]):
        least_m[i] = options.begin_m[i]
    for nth in range(1, n):
        last, now = sequence[nth - 1], sequence[nth]
        for j in range(options.first[now], options.first[now + 1]):
            for i in range(options.first[last], options.first[last + 1]):
                way_m = least_m[i] + options.way_m[i, j]
                if way_m < least_m[j] - _MIN_GAIN_M:
                    least_m[j], before[j] = way_m, i
    best, best_m = -1, np.inf
    for i in range(options.first[sequence[-1]], options.first[sequence[-1] + 1]):
        if least_m[i] + options.finish_m[i] < best_m - _MIN_GAIN_M:
            best, best_m = i, least_m[i] + options.finish_m[i]
    for nth in range(n - 1, -1, -1):
        tour[nth] = best
        best = before[best]
    return best_m


@compiled
def _places(options: Options) -> IntArray:
    """The place of each option, (k,)."""
    place = np.zeros(len(options.begin_m), dtype=np.int64)
    for i in range(len(options.first) - 1):
        place[options.first[i] : options.first[i + 1]] = i
    return place


@compiled_leaf
def _looks(sequence: IntArray, options: Options) -> int:
    looks = 0
    for nth in range(1, len(sequence)):
        last, now = sequence[nth - 1], sequence[nth]
        looks += (options.first[last + 1] - options.first[last]) * (
            options.first[now + 1] - options.first[now]
        )
    return looks


@compiled
def _changed(sequence: IntArray, i: int, j: int, n_moved: int, other: IntArray) -> bool:
    """Write the sequence with its stretch i..j reversed, or with so many places from i on moved to j; whether that
    is another one.
    """
    n = len(sequence)
    other[:] = sequence
    if n_moved == 0:
        if j <= i:
            return False
        other[i : j + 1] = sequence[i : j + 1][::-1]
        return True
    if i == j or i + n_moved > n or j + n_moved > n:
        return False
    moved = sequence[i : i + n_moved]
    if j < i:
        other[j + n_moved : i + n_moved] = sequence[j:i]
    else:
        other[i:j] = sequence[i + n_moved : j + n_moved]
    other[j : j + n_moved] = moved
    return True
