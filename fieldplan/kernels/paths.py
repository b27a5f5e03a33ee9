"""Kernels of `plane.paths`: where arcs and straights lead."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.region import Region, cell_clear_m, inside
from fieldplan.kernels.words import shortest_of
from fieldplan.model.coverage import Array, IntArray


@compiled_leaf
def along_part(
    x: float, y: float, angle: float, turn: float, along_m: float, radius_m: float
) -> tuple[float, float, float]:
    """The pose so far along an arc or straight that begins at a pose."""
    if turn == 0.0:
        return x + np.cos(angle) * along_m, y + np.sin(angle) * along_m, angle
    after = angle + turn * along_m / radius_m
    radius = turn * radius_m
    return x + radius * (np.sin(after) - np.sin(angle)), y - radius * (np.cos(after) - np.cos(angle)), after


@compiled_leaf
def path_inside(
    region: Region, start: Array, turns: Array, parts: Array, radius_m: float, step_m: float
) -> bool:
    """Whether points along one path, at most a step apart near an edge, are inside a region."""
    x, y, angle = start[0], start[1], start[2]
    if not inside(region, x, y):
        return False
    for k in range(len(parts)):
        length_m = parts[k]
        if length_m == 0.0:
            continue
        if np.isfinite(inside_until(region, x, y, angle, turns[k], length_m, radius_m, step_m)):
            return False
        x, y, angle = along_part(x, y, angle, turns[k], length_m, radius_m)
    return True


@compiled_leaf
def inside_until(
    region: Region,
    x: float,
    y: float,
    angle: float,
    turn: float,
    length_m: float,
    radius_m: float,
    step_m: float,
) -> float:
    """How far along an arc or straight points are looked at, at most a step apart near an edge, before one is outside;
    infinite if none is. Its own end is one of them.

    From a point that is far from every edge the next one is as far.
    """
    ahead_x, ahead_y = np.cos(angle), np.sin(angle)
    if turn == 0.0:
        sign = np.sign(length_m)
        return straight_inside_until(region, x, y, sign * ahead_x, sign * ahead_y, abs(length_m), step_m)
    radius = turn * radius_m
    center_x, center_y = x - radius * ahead_y, y + radius * ahead_x
    n = max(1, int(np.ceil(abs(length_m) / step_m)))
    step_m, step = abs(length_m) / n, turn * length_m / radius_m / n
    nth, clear_m, by_x, by_y = 0, cell_clear_m(region, x, y), np.cos(step), np.sin(step)
    while nth < n:
        ahead = max(1, int(clear_m / step_m))
        nth = min(nth + ahead, n)
        if ahead == 1:
            ahead_x, ahead_y = ahead_x * by_x - ahead_y * by_y, ahead_x * by_y + ahead_y * by_x
        else:
            ahead_x, ahead_y = np.cos(angle + nth * step), np.sin(angle + nth * step)
        at_x, at_y = center_x + radius * ahead_y, center_y - radius * ahead_x
        clear_m = cell_clear_m(region, at_x, at_y)
        if clear_m < 0.0 or (clear_m == 0.0 and not inside(region, at_x, at_y)):
            return nth * step_m
    return np.inf


@compiled_leaf
def straight_inside_until(
    region: Region, x: float, y: float, ahead_x: float, ahead_y: float, length_m: float, step_m: float
) -> float:
    """`inside_until` along a straight that leads ahead by a unit vector."""
    n = max(1, int(np.ceil(length_m / step_m)))
    nth, clear_m, step_m = 0, cell_clear_m(region, x, y), length_m / n
    while nth < n:
        nth = min(nth + max(1, int(clear_m / step_m)), n)
        at_x, at_y = x + nth * step_m * ahead_x, y + nth * step_m * ahead_y
        clear_m = cell_clear_m(region, at_x, at_y)
        if clear_m < 0.0 or (clear_m == 0.0 and not inside(region, at_x, at_y)):
            return nth * step_m
    return np.inf


@compiled_leaf
def swings_inside(
    region: Region,
    start: Array,
    turns: Array,
    parts: Array,
    radius_m: float,
    step_m: float,
    beyond_m: float,
    from_rad: float,
) -> bool:
    """Whether all points beyond the arcs of one path are inside a region."""
    x, y, angle = start[0], start[1], start[2]
    for k in range(len(parts)):
        n, since_m, apart_m = swings(turns, parts, k, radius_m, step_m, from_rad)
        nth, clear_m = 0, apart_m * (1 + beyond_m / radius_m)
        while nth < n:
            at_m = since_m + nth * apart_m
            at_x, at_y = swung_point(x, y, angle, turns[k], at_m, radius_m, beyond_m)
            at_clear_m = cell_clear_m(region, at_x, at_y)
            if at_clear_m < 0.0 or (at_clear_m == 0.0 and not inside(region, at_x, at_y)):
                return False
            nth += max(1, int(at_clear_m / clear_m))
        x, y, angle = along_part(x, y, angle, turns[k], parts[k], radius_m)
    return True


@compiled_leaf
def swings(
    turns: Array, parts: Array, k: int, radius_m: float, step_m: float, from_rad: float
) -> tuple[int, float, float]:
    """Beyond how many points of a part something swings out, where on it the first one lies, and how far apart they
    are: none of a straight, nor near the ends of an arc.

    Of two arcs that are one turn, with a short straight between, each takes off what the other leaves.
    """
    from_m = from_rad * radius_m
    if turns[k] == 0.0:
        return 0, 0.0, 0.0
    begin_m, end_m = from_m, from_m
    for before in range(k % 2, k, 2):
        one = _one_turn(turns, parts, before + 1, radius_m)
        begin_m = max(begin_m - abs(parts[before]), 0.0) if one else from_m
    if k + 2 < len(parts) and _one_turn(turns, parts, k + 1, radius_m):
        end_m = max(from_m - abs(parts[k + 2]), 0.0)
    left_m = abs(parts[k]) - begin_m - end_m
    if not left_m > 0.0:
        return 0, 0.0, 0.0
    n = max(2, int(np.ceil(left_m / step_m)) + 1)
    return n, begin_m, left_m / (n - 1)


@compiled_leaf
def _one_turn(turns: Array, parts: Array, k: int, radius_m: float) -> bool:
    """Whether the parts before and after a straight are arcs to the same side, and it is short."""
    return bool(turns[k] == 0.0 and turns[k - 1] == turns[k + 1] != 0.0 and 0.0 <= parts[k] < radius_m)


@compiled_leaf
def swung_point(
    x: float, y: float, angle: float, turn: float, at_m: float, radius_m: float, beyond_m: float
) -> tuple[float, float]:
    """The point so far beyond an arc from a pose, on its outside."""
    at_x, at_y, after = along_part(x, y, angle, turn, at_m, radius_m)
    return at_x + turn * beyond_m * np.sin(after), at_y - turn * beyond_m * np.cos(after)


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
