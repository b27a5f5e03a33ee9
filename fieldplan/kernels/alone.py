"""The area of one polygon that none of others covers, without cutting any of them.

Between the heights of all ends of edges, and of all places where edges cross, edges lie side by side in one order:
what lies between two of them is a trapezoid, covered by the same polygons throughout. It is the sweep of
J. L. Bentley and T. A. Ottmann, Algorithms for reporting and counting geometric intersections, IEEE Transactions on
Computers C-28, 1979, with all edges looked at in each band: few of them are near.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from fieldplan.kernels.compiled import compiled, numbers
from fieldplan.model.coverage import Array, BoolArray, IntArray, Lines


class Edges(NamedTuple):
    """The edges of polygons: ``ends`` (k, 4), x and y of both ends; ``of`` (k,), whose they are; and ``bounds`` (n, 4)
    of each polygon.
    """

    ends: Array
    of: IntArray
    bounds: Array

    @classmethod
    def of_polygons(cls, polygons: Lines) -> Edges:
        """Those of (n,) polygons or multipolygons."""
        parts, polygon = shapely.get_parts(polygons, return_index=True)
        rings, part = shapely.get_rings(parts, return_index=True)
        points, ring = shapely.get_coordinates(rings, return_index=True)
        here = np.flatnonzero(ring[1:] == ring[:-1])
        ends = numbers(np.hstack([points[here], points[here + 1]]).reshape(-1, 4))
        return cls(ends, polygon[part[ring[here]]].astype(np.int64), numbers(shapely.bounds(polygons)))


@compiled
def alone_m2(edges: Edges, one: int, without: BoolArray, within: int) -> float:
    """The area of one polygon inside another, less what some others cover of it.

    Parameters
    ----------
    one, within
        Numbers of these two polygons.
    without
        (n,) which others are taken away.
    """
    near, beside = _near(edges, one, without, within)
    y = _heights(edges.ends, near, beside, edges.bounds[one, 1], edges.bounds[one, 3])
    area_m2, odd = 0.0, np.zeros(len(edges.bounds), dtype=np.bool_)
    order, x = np.empty(len(near), dtype=np.int64), np.empty(len(near))
    for k in range(len(y) - 1):
        middle, n_covering, n = (y[k] + y[k + 1]) / 2, 0, 0
        odd[:] = False
        for edge in beside:
            if _reaches(edges.ends, edge, middle):
                n_covering += _passed(odd, edges.of[edge], without)
        for edge in near:
            if _reaches(edges.ends, edge, middle):
                at, place = _x_at(edges.ends, edge, middle), n
                while place > 0 and x[place - 1] > at:
                    x[place], order[place] = x[place - 1], order[place - 1]
                    place -= 1
                x[place], order[place] = at, edge
                n += 1
        for place in range(n - 1):
            n_covering += _passed(odd, edges.of[order[place]], without)
            if odd[one] and odd[within] and n_covering == 0:
                area_m2 += (x[place + 1] - x[place]) * (y[k + 1] - y[k])
    return area_m2


@compiled
def _near(edges: Edges, one: int, without: BoolArray, within: int) -> tuple[IntArray, IntArray]:
    """The edges that count near one polygon, and those level with it but left of it."""
    left, low = edges.bounds[one, 0], edges.bounds[one, 1]
    right, high = edges.bounds[one, 2], edges.bounds[one, 3]
    near, beside = np.empty(len(edges.of), dtype=np.int64), np.empty(len(edges.of), dtype=np.int64)
    n_near, n_beside = 0, 0
    for edge in range(len(edges.of)):
        which = edges.of[edge]
        if which != one and which != within and not without[which]:
            continue
        x0, x1 = edges.ends[edge, 0], edges.ends[edge, 2]
        y0, y1 = edges.ends[edge, 1], edges.ends[edge, 3]
        if y0 == y1 or min(x0, x1) > right or min(y0, y1) >= high or max(y0, y1) <= low:
            continue
        if max(x0, x1) < left:
            beside[n_beside] = edge
            n_beside += 1
        else:
            near[n_near] = edge
            n_near += 1
    return near[:n_near].copy(), beside[:n_beside].copy()


@compiled
def _heights(ends: Array, near: IntArray, beside: IntArray, low: float, high: float) -> Array:
    """The heights between which no edge ends or crosses another, in rising order."""
    n_crossings = 0
    for i in range(len(near)):
        for j in range(i):
            n_crossings += np.isfinite(_crossing_y(ends, near[i], near[j]))
    y = np.empty(2 + 2 * (len(near) + len(beside)) + n_crossings)
    y[0], y[1], n = low, high, 2
    for some in (near, beside):
        for edge in some:
            y[n], y[n + 1] = ends[edge, 1], ends[edge, 3]
            n += 2
    for i in range(len(near)):
        for j in range(i):
            at = _crossing_y(ends, near[i], near[j])
            if np.isfinite(at):
                y[n] = at
                n += 1
    return np.unique(np.minimum(np.maximum(y, low), high))


@compiled
def _crossing_y(ends: Array, one: int, other: int) -> float:
    """How high two edges cross; not a number where they do not."""
    x, y, dx, dy = ends[one, 0], ends[one, 1], ends[one, 2] - ends[one, 0], ends[one, 3] - ends[one, 1]
    to_x, to_y = ends[other, 0] - x, ends[other, 1] - y
    other_dx, other_dy = ends[other, 2] - ends[other, 0], ends[other, 3] - ends[other, 1]
    sine = dx * other_dy - dy * other_dx
    if sine == 0.0:
        return np.nan
    along, other_along = (to_x * other_dy - to_y * other_dx) / sine, (to_x * dy - to_y * dx) / sine
    if 0.0 < along < 1.0 and 0.0 < other_along < 1.0:
        return float(y + along * dy)
    return np.nan


@compiled
def _reaches(ends: Array, edge: int, y: float) -> bool:
    """Whether an edge passes a height."""
    return bool((ends[edge, 1] > y) != (ends[edge, 3] > y))


@compiled
def _x_at(ends: Array, edge: int, y: float) -> float:
    """Where it passes it."""
    frac = (y - ends[edge, 1]) / (ends[edge, 3] - ends[edge, 1])
    return float(ends[edge, 0] + frac * (ends[edge, 2] - ends[edge, 0]))


@compiled
def _passed(odd: BoolArray, which: int, without: BoolArray) -> int:
    """An edge of a polygon is passed: how many more polygons that are taken away cover what follows."""
    odd[which] = not odd[which]
    if not without[which]:
        return 0
    return 1 if odd[which] else -1
