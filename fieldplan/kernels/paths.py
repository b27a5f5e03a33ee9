"""Kernels of `plane.paths`: where arcs and straights lead."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled
from fieldplan.kernels.region import Region, inside
from fieldplan.kernels.words import shortest_of
from fieldplan.model.coverage import Array, IntArray


@compiled
def along_part(
    x: float, y: float, angle: float, turn: float, along_m: float, radius_m: float
) -> tuple[float, float, float]:
    """The pose so far along an arc or straight that begins at a pose."""
    if turn == 0.0:
        return x + np.cos(angle) * along_m, y + np.sin(angle) * along_m, angle
    after = angle + turn * along_m / radius_m
    radius = turn * radius_m
    return x + radius * (np.sin(after) - np.sin(angle)), y - radius * (np.cos(after) - np.cos(angle)), after


@compiled
def path_inside(
    region: Region, start: Array, turns: Array, parts: Array, radius_m: float, step_m: float
) -> bool:
    """Whether points along one path, at most a step apart, are inside a region."""
    x, y, angle = start[0], start[1], start[2]
    if not inside(region, x, y):
        return False
    for k in range(len(parts)):
        length_m = parts[k]
        if length_m == 0.0:
            continue
        n = int(np.ceil(abs(length_m) / step_m))
        if not _part_inside(region, x, y, angle, turns[k], length_m, n, radius_m):
            return False
        x, y, angle = along_part(x, y, angle, turns[k], length_m, radius_m)
    return True


@compiled
def _part_inside(
    region: Region, x: float, y: float, angle: float, turn: float, length_m: float, n: int, radius_m: float
) -> bool:
    """Whether the ends of n equal steps along an arc or straight are inside a region.

    Each step is the one before, turned: sines are dear.
    """
    bend = turn * length_m / n / radius_m
    chord_m = length_m / n if turn == 0.0 else 2 * radius_m * np.sin(length_m / n / radius_m / 2)
    step_x, step_y = chord_m * np.cos(angle + bend / 2), chord_m * np.sin(angle + bend / 2)
    cos, sin = np.cos(bend), np.sin(bend)
    for _ in range(n):
        x, y = x + step_x, y + step_y
        if not inside(region, x, y):
            return False
        step_x, step_y = step_x * cos - step_y * sin, step_x * sin + step_y * cos
    return True


@compiled
def swung_out(
    start: Array,
    turns: Array,
    parts: Array,
    radius_m: float,
    step_m: float,
    beyond_m: float,
    from_rad: float,
) -> Array:
    """Points beyond the arcs of one path, (m, 2): see `Paths.swings`."""
    n_parts = len(parts)
    begin, end = np.full(n_parts, from_rad * radius_m), np.full(n_parts, from_rad * radius_m)
    for k in range(1, n_parts - 1):  # of two arcs that are one turn, what the other takes off
        between = parts[k]
        if turns[k] == 0.0 and turns[k - 1] == turns[k + 1] != 0.0 and 0.0 <= between < radius_m:
            begin[k + 1] = max(begin[k - 1] - abs(parts[k - 1]), 0.0)
            end[k - 1] = max(end[k + 1] - abs(parts[k + 1]), 0.0)
    most = 0
    for k in range(n_parts):
        most += int(np.ceil(abs(parts[k]) / step_m)) + 2
    points = np.empty((most, 2))
    m = 0
    x, y, angle = start[0], start[1], start[2]
    for k in range(n_parts):
        left_m = abs(parts[k]) - begin[k] - end[k]
        if turns[k] != 0.0 and left_m > 0.0:
            count = max(2, int(np.ceil(left_m / step_m)) + 1)
            for i in range(count):
                at_x, at_y, after = along_part(
                    x, y, angle, turns[k], begin[k] + left_m * i / (count - 1), radius_m
                )
                points[m, 0] = at_x + turns[k] * beyond_m * np.sin(after)
                points[m, 1] = at_y - turns[k] * beyond_m * np.cos(after)
                m += 1
        if parts[k] != 0.0:
            x, y, angle = along_part(x, y, angle, turns[k], parts[k], radius_m)
    return points[:m]


@compiled
def path_points(
    start: Array, turns: Array, parts: Array, radius_m: float, step_m: float
) -> tuple[Array, IntArray]:
    """Points along every path, at most a step apart, and the path of each: (m, 2) and (m,)."""
    n, n_parts = parts.shape
    total = 0
    for i in range(n):
        total += 1
        for k in range(n_parts):
            if np.isfinite(parts[i, k]):
                total += int(np.ceil(abs(parts[i, k]) / step_m))
    points, of = np.empty((total, 2)), np.empty(total, dtype=np.int64)
    m = 0
    for i in range(n):
        x, y, angle = start[i, 0], start[i, 1], start[i, 2]
        points[m, 0], points[m, 1], of[m] = x, y, i
        m += 1
        for k in range(n_parts):
            length_m, turn = parts[i, k], turns[i, k]
            if not np.isfinite(length_m) or length_m == 0.0:
                continue
            count = int(np.ceil(abs(length_m) / step_m))
            for nth in range(1, count + 1):
                at_x, at_y, _ = along_part(x, y, angle, turn, length_m * nth / count, radius_m)
                points[m, 0], points[m, 1], of[m] = at_x, at_y, i
                m += 1
            x, y, angle = along_part(x, y, angle, turn, length_m, radius_m)
    return points, of


@compiled
def shortest_each(start: Array, end: Array, radius_m: float) -> tuple[IntArray, Array]:
    """The word of the shortest forward path of each pair of poses, (n,), and its parts, (n, 3)."""
    word, parts = np.empty(len(start), dtype=np.int64), np.empty((len(start), 3))
    every = np.empty((8, 3))
    for i in range(len(start)):
        word[i] = shortest_of(start[i], end[i], radius_m, every)
        for part in range(3):
            parts[i, part] = every[word[i], part]
    return word, parts
