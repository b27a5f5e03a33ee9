"""Ground as its edges in slabs, for asking very often whether a point is inside or two points see each other.

Slabs are horizontal and of one height; each lists the edges that reach into it. A point is inside if a ray
from it to +x crosses an odd number of edges, and only those of its slab can be crossed (even-odd rule, as in
E. Haines, Point in polygon strategies, Graphics Gems IV, 1994).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from fieldplan.kernels.compiled import compiled, numbers
from fieldplan.model.coverage import Array, BoolArray, IntArray

_MAX_SLABS = 4096


class Region(NamedTuple):
    """Ground as its edges in slabs.

    Parameters
    ----------
    edges
        (n, 4) x and y of both ends of every edge.
    listed, first
        Edges of all slabs, slab after slab, and where each slab begins, (k + 1,).
    bottom_m, per_m
        Where the lowest slab begins, and slabs a meter.
    """

    edges: Array
    listed: IntArray
    first: IntArray
    bottom_m: float
    per_m: float

    @classmethod
    def of(cls, ground: shapely.Geometry) -> Region:
        """The region of polygons."""
        rings, _ = shapely.get_rings(shapely.get_parts(ground), return_index=True)
        points, ring = shapely.get_coordinates(rings, return_index=True)
        here = np.flatnonzero(ring[1:] == ring[:-1])
        edges = numbers(np.hstack([points[here], points[here + 1]]).reshape(-1, 4))
        n_slabs = min(max(len(edges), 1), _MAX_SLABS)
        bottom_m, top_m = (edges[:, 1::2].min(), edges[:, 1::2].max()) if len(edges) else (0.0, 1.0)
        per_m = float(n_slabs / max(top_m - bottom_m, 1e-9))
        return cls(edges, *_in_slabs(edges, n_slabs, float(bottom_m), per_m), float(bottom_m), per_m)

    def contains(self, points: Array) -> BoolArray:
        """Whether each of points, (..., 2), is inside."""
        flat = numbers(points[..., :2].reshape(-1, 2))
        return np.asarray(_all_inside(self, flat).reshape(points.shape[:-1]))


@compiled
def _in_slabs(edges: Array, n_slabs: int, bottom_m: float, per_m: float) -> tuple[IntArray, IntArray]:
    """The edges that reach into each slab, slab after slab, and where each slab begins, (n_slabs + 1,)."""
    first = np.zeros(n_slabs + 1, dtype=np.int64)
    for i in range(len(edges)):
        since, until = _slabs_of(edges, i, n_slabs, bottom_m, per_m)
        for slab in range(since, until + 1):
            first[slab + 1] += 1
    first = first.cumsum()
    listed, n_listed = np.empty(first[-1], dtype=np.int64), first[:-1].copy()
    for i in range(len(edges)):
        since, until = _slabs_of(edges, i, n_slabs, bottom_m, per_m)
        for slab in range(since, until + 1):
            listed[n_listed[slab]] = i
            n_listed[slab] += 1
    return listed, first


@compiled
def _slabs_of(edges: Array, i: int, n_slabs: int, bottom_m: float, per_m: float) -> tuple[int, int]:
    """The first and the last slab that an edge reaches into."""
    low = int((min(edges[i, 1], edges[i, 3]) - bottom_m) * per_m)
    high = int((max(edges[i, 1], edges[i, 3]) - bottom_m) * per_m)
    return min(low, n_slabs - 1), min(high, n_slabs - 1)


@compiled
def inside(region: Region, x: float, y: float) -> bool:
    """Whether a point is inside."""
    slab = int(np.floor((y - region.bottom_m) * region.per_m))
    odd = False
    if 0 <= slab <= len(region.first) - 1:
        slab = min(slab, len(region.first) - 2)
        for k in range(region.first[slab], region.first[slab + 1]):
            i = region.listed[k]
            from_y, to_y = region.edges[i, 1], region.edges[i, 3]
            if (from_y <= y) != (to_y <= y):
                from_x, to_x = region.edges[i, 0], region.edges[i, 2]
                crossed_x = from_x + (y - from_y) * (to_x - from_x) / (to_y - from_y)
                if crossed_x > x:
                    odd = not odd
    return odd


@compiled
def sees(region: Region, x: float, y: float, to_x: float, to_y: float) -> bool:
    """Whether the straight line between two points inside crosses no edge."""
    n_slabs = len(region.first) - 1
    low, high = min(y, to_y), max(y, to_y)
    since = max(0, int(np.floor((low - region.bottom_m) * region.per_m)))
    until = min(n_slabs - 1, int(np.floor((high - region.bottom_m) * region.per_m)))
    ahead_x, ahead_y = to_x - x, to_y - y
    for k in range(region.first[min(since, n_slabs)], region.first[until + 1]):
        edge = region.edges[region.listed[k]]
        if max(edge[0], edge[2]) < min(x, to_x) or min(edge[0], edge[2]) > max(x, to_x):
            continue
        from_side = ahead_x * (edge[1] - y) - ahead_y * (edge[0] - x)
        to_side = ahead_x * (edge[3] - y) - ahead_y * (edge[2] - x)
        if (from_side > 0) == (to_side > 0):
            continue
        along_x, along_y = edge[2] - edge[0], edge[3] - edge[1]
        start_side = along_x * (y - edge[1]) - along_y * (x - edge[0])
        end_side = along_x * (to_y - edge[1]) - along_y * (to_x - edge[0])
        if (start_side > 0) != (end_side > 0):
            return False
    return True


@compiled
def all_seen(region: Region, x: float, y: float, points: Array) -> BoolArray:
    """Which of points, (n, 2), a point inside sees, (n,)."""
    seen = np.empty(len(points), dtype=np.bool_)
    for i in range(len(points)):
        seen[i] = sees(region, x, y, points[i, 0], points[i, 1])
    return seen


@compiled
def since_inside(region: Region, points: Array, first: IntArray, step_m: float) -> Array:
    """How far along each line it is first inside, (n,); infinite where it never is.

    Parameters
    ----------
    points, first
        (k, 2) vertices, line after line, and where each line begins, (n + 1,).
    step_m
        Lines are looked at in steps of this; where they come inside is found to a thousandth of one.
    """
    since_m = np.full(len(first) - 1, np.inf)
    for i in range(len(first) - 1):
        passed_m = 0.0
        for k in range(first[i], first[i + 1] - 1):
            step_x, step_y = points[k + 1, 0] - points[k, 0], points[k + 1, 1] - points[k, 1]
            share = _share_outside(region, points[k, 0], points[k, 1], step_x, step_y, step_m)
            length_m = np.hypot(step_x, step_y)
            if share <= 1.0:
                since_m[i] = passed_m + share * length_m
                break
            passed_m += length_m
    return since_m


@compiled
def _share_outside(region: Region, x: float, y: float, by_x: float, by_y: float, step_m: float) -> float:
    """The share of a straight line before it is first inside; more than all of it if it never is."""
    n = max(1, int(np.ceil(np.hypot(by_x, by_y) / step_m)))
    for nth in range(n + 1):
        if inside(region, x + by_x * nth / n, y + by_y * nth / n):
            low, high = max(nth - 1, 0) / n, nth / n
            while high - low > 1e-3 / n:
                middle = (low + high) / 2
                if inside(region, x + by_x * middle, y + by_y * middle):
                    high = middle
                else:
                    low = middle
            return high
    return 2.0


@compiled
def _all_inside(region: Region, points: Array) -> BoolArray:
    held = np.empty(len(points), dtype=np.bool_)
    for i in range(len(points)):
        held[i] = inside(region, points[i, 0], points[i, 1])
    return held
