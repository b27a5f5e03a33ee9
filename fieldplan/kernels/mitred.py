"""Bands about lines that bend so little that no part of a band can meet another."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.segments import Chains, turn_rad
from fieldplan.model.coverage import Array, BoolArray

_ALONG_RAD = np.pi / 2 - 1e-3
"""The steps of such a line run in directions that lie within a quarter circle."""
_BENT_RAD, _SHALLOW = 2e-3, 0.0101
"""The library drops bends of less than a third of the one, and those nearer to the chord between their neighbors than a
hundredth of the offset."""
_LONGER, _MIN_STEP_M = 1.001, 1e-6


@compiled
def mitred(lines: Chains, half_m: float) -> tuple[BoolArray, Chains]:
    """Whether the band that reaches so far to both sides of each line is mitered at its bends and nothing else, (n,);
    and the closed outlines of those that are.

    Between two bends such a band is what lies between two parallels; their corners lie h·tan(θ/2) before and after a
    bend by θ.
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
        x, y = points[k + 1, 0] - points[k, 0], points[k + 1, 1] - points[k, 1]
        step_m, bend_m = np.hypot(x, y), 0.0
        if k + 2 < n:
            next_x, next_y = points[k + 2, 0] - points[k + 1, 0], points[k + 2, 1] - points[k + 1, 1]
            turn = turn_rad(x, y, next_x, next_y)
            from_chord_m = abs(x * next_y - y * next_x) / np.hypot(x + next_x, y + next_y)
            if abs(turn) < _BENT_RAD or not from_chord_m > _SHALLOW * half_m:
                return False
            heading += turn
            low, high = min(low, heading), max(high, heading)
            bend_m = half_m * np.tan(abs(turn) / 2)
        if not step_m > _LONGER * (taken_m + bend_m) + _MIN_STEP_M or high - low > _ALONG_RAD:
            return False
        taken_m = bend_m
    return True


@compiled_leaf
def _write_band(band: Array, points: Array, half_m: float) -> None:
    """Write the outline of a band, clockwise from its left side; of a straight one, counter-clockwise from its start."""
    n = len(points)
    for k in range(n):
        before, after = max(k - 1, 0), min(k + 1, n - 1)
        x, y = points[before + 1, 0] - points[before, 0], points[before + 1, 1] - points[before, 1]
        next_x, next_y = points[after, 0] - points[after - 1, 0], points[after, 1] - points[after - 1, 1]
        step_m, next_m = np.hypot(x, y), np.hypot(next_x, next_y)
        x, y, next_x, next_y = x / step_m, y / step_m, next_x / next_m, next_y / next_m
        by = half_m / (1 + x * next_x + y * next_y)
        left_x, left_y = -(y + next_y) * by, (x + next_x) * by
        left, right = (k + 2 * n - 1) % (2 * n), 2 * n - 2 - k
        if n == 2:
            left, right = 3 - k, k
        band[left, 0], band[left, 1] = points[k, 0] + left_x, points[k, 1] + left_y
        band[right, 0], band[right, 1] = points[k, 0] - left_x, points[k, 1] - left_y
    band[2 * n, 0], band[2 * n, 1] = band[0, 0], band[0, 1]
