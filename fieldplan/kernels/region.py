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
        low, high = np.minimum(edges[:, 1], edges[:, 3]), np.maximum(edges[:, 1], edges[:, 3])
        bottom_m, top_m = (float(low.min()), float(high.max())) if len(edges) else (0.0, 1.0)
        per_m = n_slabs / max(top_m - bottom_m, 1e-9)
        since, until = (
            np.clip(((y - bottom_m) * per_m).astype(np.int64), 0, n_slabs - 1) for y in (low, high)
        )
        reached = until - since + 1
        edge = np.repeat(np.arange(len(edges)), reached)
        slab = np.arange(len(edge)) - np.repeat(reached.cumsum() - reached - since, reached)
        order = slab.argsort(kind="stable")
        first = np.concatenate([[0], np.bincount(slab, minlength=n_slabs).cumsum()])
        return cls(edges, edge[order], first.astype(np.int64), bottom_m, per_m)

    def contains(self, points: Array) -> BoolArray:
        """Whether each of points, (..., 2), is inside."""
        flat = numbers(points[..., :2].reshape(-1, 2))
        return np.asarray(_all_inside(self, flat).reshape(points.shape[:-1]))


@compiled
def inside(region: Region, x: float, y: float) -> bool:
    """Whether a point is inside."""
    slab = int(np.floor((y - region.bottom_m) * region.per_m))
    odd = False
    if 0 <= slab <= len(region.first) - 1:
        slab = min(slab, len(region.first) - 2)
        for k in range(region.first[slab], region.first[slab + 1]):
            edge = region.edges[region.listed[k]]
            if (edge[1] <= y) != (edge[3] <= y):
                crossed_x = edge[0] + (y - edge[1]) * (edge[2] - edge[0]) / (edge[3] - edge[1])
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
def _all_inside(region: Region, points: Array) -> BoolArray:
    held = np.empty(len(points), dtype=np.bool_)
    for i in range(len(points)):
        held[i] = inside(region, points[i, 0], points[i, 1])
    return held
