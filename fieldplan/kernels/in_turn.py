"""What is driven next: the nearest headland round, the nearest column of passes; and which passes are a column."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled
from fieldplan.model.coverage import Array, BoolArray, IntArray


@compiled
def rounds_in_turn(
    enter: Array, leave: Array, count: IntArray, number: IntArray, here: Array
) -> tuple[IntArray, IntArray]:
    """The segments of headland rounds in driving order, (n,), and the rounds, (k,): the nearest round next, begun at
    its nearest segment.

    Parameters
    ----------
    enter, leave
        (n, 3) poses at which segments are entered and left, round after round.
    count, number
        (k,) how many segments each round has, and its number: of rounds as near to the millimeter, the lowest is next.
    here
        (2,) where the drill comes from; not numbers if that is open.
    """
    since, ahead = count.cumsum() - count, np.ones(len(count), dtype=np.bool_)
    order, rounds = np.empty(len(enter), dtype=np.int64), np.empty(len(count), dtype=np.int64)
    x, y, n_driven = here[0], here[1], 0
    for nth in range(len(count)):
        best, best_m, begun = -1, np.inf, 0
        for i in range(len(count)):
            if not ahead[i]:
                continue
            nearest, least_m = since[i], np.inf
            for k in range(since[i], since[i] + count[i]):
                away_m = np.hypot(enter[k, 0] - x, enter[k, 1] - y)
                if away_m < least_m:
                    nearest, least_m = k, away_m
            least_m = np.rint(least_m * 1000.0) / 1000.0
            if best < 0 or least_m < best_m or (least_m == best_m and number[i] < number[best]):
                best, best_m, begun = i, least_m, nearest
        ahead[best], rounds[nth] = False, best
        for k in range(count[best]):
            order[n_driven + k] = since[best] + (begun - since[best] + k) % count[best]
        n_driven += count[best]
        x, y = leave[order[n_driven - 1], 0], leave[order[n_driven - 1], 1]
    return order, rounds


@compiled
def columns_in_turn(
    ends: Array, members: IntArray, count: IntArray, level: IntArray, here: Array
) -> tuple[IntArray, BoolArray]:
    """Passes in driving order, (n,), and which are driven backward, (n,): the nearest column next, begun at its nearest
    corner.

    Parameters
    ----------
    ends
        (n, 2, 2) start and end of each pass.
    members, count
        (n,) the passes of each column, column after column, and how many each has, (k,).
    level
        (n,) the order in which those of each are driven, counted from 0 in each.
    here
        (2,) where the drill comes from; not numbers if that is open.
    """
    since, ahead = count.cumsum() - count, np.ones(len(count), dtype=np.bool_)
    order, backward = np.empty(len(members), dtype=np.int64), np.empty(len(members), dtype=np.bool_)
    x, y, n_driven = here[0], here[1], 0
    for _ in range(len(count)):
        best, best_m, corner = -1, np.inf, 0
        for i in range(len(count)):
            if not ahead[i]:
                continue
            if best < 0:
                best = i
            for k in range(4):
                one = members[since[i] + (count[i] - 1 if k >= 2 else 0)]
                away_m = np.hypot(ends[one, k % 2, 0] - x, ends[one, k % 2, 1] - y)
                if away_m < best_m:
                    best, best_m, corner = i, away_m, k
        ahead[best] = False
        for nth in range(count[best]):
            at = level[since[best] + nth]
            order[n_driven + nth] = members[since[best] + (count[best] - 1 - at if corner >= 2 else at)]
            backward[n_driven + nth] = (nth % 2 == 0) == (corner % 2 == 1)
        n_driven += count[best]
        last, end = order[n_driven - 1], 0 if backward[n_driven - 1] else 1
        x, y = ends[last, end, 0], ends[last, end, 1]
    return order, backward


@compiled
def columns_of(strip: IntArray, start: Array, end: Array) -> IntArray:
    """The column of each run, (n,), as `coverage.columns.column_of` takes and returns it."""
    n, first = len(strip), 0
    n_above, n_below = np.zeros(n, dtype=np.int64), np.zeros(n, dtype=np.int64)
    below, column = np.empty(n, dtype=np.int64), np.empty(n, dtype=np.int64)
    for i in range(n):
        while first < n and strip[first] <= strip[i]:
            first += 1
        k = first
        while k < n and strip[k] == strip[i] + 1:
            if start[i] < end[k] and start[k] < end[i]:
                n_above[i] += 1
                n_below[k] += 1
                below[k] = i
            k += 1
    n_columns = 0
    for i in range(n):
        if n_below[i] == 1 and n_above[below[i]] == 1:
            column[i] = column[below[i]]
        else:
            column[i] = n_columns
            n_columns += 1
    return column
