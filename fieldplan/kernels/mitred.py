"""Bands about lines with mitered corners, where no part of a band can meet another.

A parallel at a distance d of two steps that meet at a turn of θ has its corner d·tan(θ/2) from where they do, measured
along them: before it on the inside of the bend, beyond it on the outside.
"""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.segments import Chains, turn_rad
from fieldplan.model.coverage import Array, BoolArray

_ALONG_RAD = np.pi / 2 - 1e-3
"""A band does not meet itself where the steps of its line run in directions within a quarter circle."""
_LEAST_RAD = 1e-9
"""Points on a straight line may be dropped."""
_SHORT, _ALIKE = 0.0101, 1e-3
"""The library may drop steps of a hundredth of the distance. On the outside of a bend by less than the other, in
radians, it takes the end of one step's parallel as its corner."""
_LONGER, _MIN_STEP_M = 1.001, 1e-6


@compiled
def mitred(lines: Chains, half_m: float) -> tuple[BoolArray, Chains]:
    """Whether the band that reaches so far to both sides of each line is mitered at its bends and nothing else, (n,);
    and the closed outlines of those that are.
    """
    n = len(lines.first) - 1
    plain, n_points = np.empty(n, dtype=np.bool_), 0
    for line in range(n):
        plain[line] = _bends_little(lines.points[lines.first[line] : lines.first[line + 1]], half_m)
        if plain[line]:
            n_points += 2 * (lines.first[line + 1] - lines.first[line]) + 1
    points, first, m = np.empty((n_points, 2)), np.zeros(plain.sum() + 1, dtype=np.int64), 0
    for line in range(n):
        if plain[line]:
            own = lines.points[lines.first[line] : lines.first[line + 1]]
            first[m + 1] = first[m] + 2 * len(own) + 1
            _write_band(points[first[m] : first[m + 1]], own, half_m)
            m += 1
    return plain, Chains(points, first)


@compiled_leaf
def _bends_little(points: Array, half_m: float) -> bool:
    """Whether steps are long enough for the bends between them, and run in directions within a quarter circle."""
    n = len(points)
    if n < 2:
        return False
    taken_m, heading, low, high = 0.0, 0.0, 0.0, 0.0
    for k in range(n - 1):
        step_m, bend_m = _apart_m(points[k], points[k + 1]), 0.0
        if k + 2 < n:
            turn = _turn(points[k], points[k + 1], points[k + 2])
            if not abs(turn) > _LEAST_RAD or not step_m > _SHORT * half_m:
                return False
            heading += turn
            low, high = min(low, heading), max(high, heading)
            bend_m = half_m * np.tan(abs(turn) / 2)
        if not step_m > _LONGER * (taken_m + bend_m) + _MIN_STEP_M or high - low > _ALONG_RAD:
            return False
        taken_m = bend_m
    return n == 2 or _apart_m(points[n - 2], points[n - 1]) > _SHORT * half_m


@compiled_leaf
def _write_band(band: Array, points: Array, half_m: float) -> None:
    """Write the outline of a band, clockwise from its left side; of a straight one, counter-clockwise from its start."""
    n = len(points)
    for k in range(n):
        at, step, next_step = points[k], max(k - 1, 0), min(k, n - 2)
        left, right = (k + 2 * n - 1) % (2 * n), 2 * n - 2 - k
        if n == 2:
            left, right = 3 - k, k
        before, after = points[step : step + 2], points[next_step : next_step + 2]
        _write_corner(band[left], at, before, after, half_m)
        _write_corner(band[right], at, after, before, -half_m)
    band[2 * n, 0], band[2 * n, 1] = band[0, 0], band[0, 1]


@compiled_leaf
def _write_corner(corner: Array, at: Array, one: Array, other: Array, left_m: float) -> None:
    """Write where parallels meet so far to the left of two steps at a point, (2, 2) each."""
    x, y = one[1, 0] - one[0, 0], one[1, 1] - one[0, 1]
    other_x, other_y = other[1, 0] - other[0, 0], other[1, 1] - other[0, 1]
    step_m, other_m = np.sqrt(x * x + y * y), np.sqrt(other_x * other_x + other_y * other_y)
    x, y, other_x, other_y = x / step_m, y / step_m, other_x / other_m, other_y / other_m
    # the turn to the left, whichever of the two comes first
    turned = (x * other_y - y * other_x) * (1.0 if other[0, 0] == at[0] and other[0, 1] == at[1] else -1.0)
    if turned * left_m < 0.0 and np.hypot(x - other_x, y - other_y) < _ALIKE:
        corner[0], corner[1] = at[0] - left_m * y, at[1] + left_m * x
        return
    by_m = left_m / (1 + x * other_x + y * other_y)
    corner[0], corner[1] = at[0] - by_m * (y + other_y), at[1] + by_m * (x + other_x)


@compiled_leaf
def _turn(before: Array, at: Array, after: Array) -> float:
    """The turn at a point, left positive."""
    return turn_rad(at[0] - before[0], at[1] - before[1], after[0] - at[0], after[1] - at[1])


@compiled_leaf
def _apart_m(one: Array, other: Array) -> float:
    """How far apart two points are."""
    return float(np.hypot(other[0] - one[0], other[1] - one[1]))
