"""Shortest ways over corners: from place to place, straight between those that see each other.

The corner next gone on to is the one over which the way could be shortest (P. E. Hart, N. J. Nilsson and B. Raphael,
A formal basis for the heuristic determination of minimum cost paths, IEEE Transactions on Systems Science and
Cybernetics 4, 1968). Whether it is seen from the one before is looked at then, and only then: of the many pairs of
corners few lie on a way that could be short enough.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.region import Region, cell_clear_m
from fieldplan.model.coverage import Array, IntArray

Seen = npt.NDArray[np.int8]

_HAIR_M = 1e-7
"""So far into the next cell the way is followed; edges are marked in all cells that are nearer to them than more."""


@compiled
def over_corners(
    region: Region, corners: Array, known: Seen, start: Array, end: Array
) -> tuple[bool, IntArray]:
    """Whether a way leads between two places inside, (2,), and over which corners, (n, 2), the shortest does.

    Parameters
    ----------
    known
        (n, n) or (0, 0): 1 where two corners see each other, -1 where they do not, 0 as far as that was not looked at,
        which it takes.
    """
    n = len(corners)
    places = np.empty((n + 2, 2))
    places[:n], places[n], places[n + 1] = corners, start, end
    ahead_m, reach_m = np.empty(n + 2), np.full(n + 2, np.inf)
    for k in range(n + 2):
        ahead_m[k] = np.hypot(places[k, 0] - end[0], places[k, 1] - end[1])
    before, is_open = np.full(n + 2, -1), np.ones(n + 2, dtype=np.bool_)
    reached = np.empty(n + 2, dtype=np.int64)
    n_reached, here = 0, n
    reach_m[n], is_open[n] = 0.0, False
    while here != n + 1:
        reached[n_reached] = here
        n_reached += 1
        for k in range(n + 2):
            if not is_open[k] or _hidden(known, here, k):
                continue
            over_m = reach_m[here] + np.hypot(
                places[k, 0] - places[here, 0], places[k, 1] - places[here, 1]
            )
            if over_m < reach_m[k]:
                reach_m[k], before[k] = over_m, here
        here = -1
        while here < 0:
            nearest, least_m = -1, np.inf
            for k in range(n + 2):
                if is_open[k] and reach_m[k] + ahead_m[k] < least_m:
                    nearest, least_m = k, reach_m[k] + ahead_m[k]
            if nearest < 0:
                return False, np.zeros(0, dtype=np.int64)
            if _sees(region, places, known, before[nearest], nearest):
                here, is_open[nearest] = nearest, False
            else:
                _from_another(nearest, places, known, reached[:n_reached], reach_m, before)
    return True, _passed(before, n)


@compiled_leaf
def _hidden(known: Seen, i: int, k: int) -> bool:
    """Whether two places are corners that are known not to see each other."""
    return i < len(known) and k < len(known) and known[i, k] < 0


@compiled_leaf
def _sees(region: Region, places: Array, known: Seen, i: int, k: int) -> bool:
    """Whether two places see each other: that of corners is kept."""
    a, b = min(i, k), max(i, k)
    if b >= len(known):
        return seen_between(region, places[i, 0], places[i, 1], places[k, 0], places[k, 1])
    if known[a, b] == 0:
        seen = seen_between(region, places[a, 0], places[a, 1], places[b, 0], places[b, 1])
        known[a, b] = known[b, a] = 1 if seen else -1
    return bool(known[a, b] > 0)


@compiled_leaf
def _from_another(
    k: int, places: Array, known: Seen, reached: IntArray, reach_m: Array, before: IntArray
) -> None:
    """Write over which of the places reached so far a place is next farther away than over the one it is not seen from."""
    failed_m, failed = reach_m[k], before[k]
    reach_m[k], before[k] = np.inf, -1
    passed = False
    for nth in range(len(reached)):
        i = reached[nth]
        if i == failed:
            passed = True
            continue
        over_m = reach_m[i] + np.hypot(places[k, 0] - places[i, 0], places[k, 1] - places[i, 1])
        later = over_m > failed_m or (over_m == failed_m and passed)
        if later and over_m < reach_m[k] and not _hidden(known, i, k):
            reach_m[k], before[k] = over_m, i


@compiled
def _passed(before: IntArray, n: int) -> IntArray:
    """The corners on the way to the end, the first one first."""
    count, k = 0, before[n + 1]
    while k != n:
        count, k = count + 1, before[k]
    path, k = np.empty(count, dtype=np.int64), before[n + 1]
    while k != n:
        count -= 1
        path[count], k = k, before[k]
    return path


@compiled_leaf
def seen_between(region: Region, x: float, y: float, to_x: float, to_y: float) -> bool:
    """Whether the straight line between two points inside crosses no edge, as `region.sees`: cells through which no edge
    passes are passed over.
    """
    length_m = np.hypot(to_x - x, to_y - y)
    if length_m == 0.0:
        return True
    ahead_x, ahead_y = (to_x - x) / length_m, (to_y - y) / length_m
    at_m, since_m = 0.0, -1.0  # since where on no cell without an edge was passed
    while at_m < length_m:
        at_x, at_y = x + at_m * ahead_x, y + at_m * ahead_y
        clear_m = cell_clear_m(region, at_x, at_y)
        if clear_m < 0.0:
            return False
        if clear_m == 0.0:
            since_m = at_m if since_m < 0.0 else since_m
        elif since_m >= 0.0:
            if _crosses(region, x, y, to_x, to_y, since_m / length_m, at_m / length_m):
                return False
            since_m = -1.0
        across_m = min(
            _to_next_m(at_x - region.left_m, ahead_x, region.cells_per_m),
            _to_next_m(at_y - region.bottom_m, ahead_y, region.cells_per_m),
        )
        at_m += max(clear_m, across_m + _HAIR_M)
    return since_m < 0.0 or not _crosses(region, x, y, to_x, to_y, since_m / length_m, 1.0)


@compiled_leaf
def _to_next_m(at_m: float, ahead: float, cells_per_m: float) -> float:
    """How far it is to the next row or column of cells in a direction that leads ahead so much a meter."""
    if ahead == 0.0:
        return np.inf
    cell = np.floor(at_m * cells_per_m)
    border_m = (cell + (1.0 if ahead > 0.0 else 0.0)) / cells_per_m
    return float(max(0.0, (border_m - at_m) / ahead))


@compiled_leaf
def _crosses(
    region: Region, x: float, y: float, to_x: float, to_y: float, since: float, until: float
) -> bool:
    """Whether the straight line between two points crosses an edge between two shares of its length."""
    ahead_x, ahead_y = to_x - x, to_y - y
    until = min(until, 1.0)
    low = min(y + since * ahead_y, y + until * ahead_y) - _HAIR_M
    high = max(y + since * ahead_y, y + until * ahead_y) + _HAIR_M
    left = min(x + since * ahead_x, x + until * ahead_x) - _HAIR_M
    right = max(x + since * ahead_x, x + until * ahead_x) + _HAIR_M
    n_slabs = len(region.first) - 1
    first = min(n_slabs - 1, max(0, int(np.floor((low - region.bottom_m) * region.per_m))))
    last = min(n_slabs - 1, max(0, int(np.floor((high - region.bottom_m) * region.per_m))))
    for k in range(region.first[first], region.first[last + 1]):
        i = region.listed[k]
        from_x, from_y = region.edges[i, 0], region.edges[i, 1]
        on_x, on_y = region.edges[i, 2], region.edges[i, 3]
        if max(from_x, on_x) < left or min(from_x, on_x) > right:
            continue
        from_side = ahead_x * (from_y - y) - ahead_y * (from_x - x)
        to_side = ahead_x * (on_y - y) - ahead_y * (on_x - x)
        if (from_side > 0) == (to_side > 0):
            continue
        along_x, along_y = on_x - from_x, on_y - from_y
        start_side = along_x * (y - from_y) - along_y * (x - from_x)
        end_side = along_x * (to_y - from_y) - along_y * (to_x - from_x)
        if (start_side > 0) != (end_side > 0):
            return True
    return False
