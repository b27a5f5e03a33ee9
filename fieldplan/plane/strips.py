"""Parallel strips over a polygon: where along each strip there is ground, for all strips at once.

The plane is turned so that strips run along x. Strip k is the band ``base + k·w <= y <= base + (k+1)·w``. Along it,
ground is found at x if an edge passes there inside the strip or if a border of the strip runs through ground there;
so the extents of the edges clipped to the strip, joined with the stretches of ground along both borders, are exactly
the stretches over which any part of the band lies on ground. No geometry object is made.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.model.coverage import Array

SLIVER_M = 0.01
"""A last strip with less ground than this across it is not worth a drive."""
_CLOSE_M = 1e-3
"""Vertices this near a border lie on it, and runs this near each other touch."""
IntArray = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Runs:
    """Stretches of ground along strips: ``strip`` (n,), ``start_m`` and ``end_m`` (n,) along x, sorted by strip and start."""

    strip: IntArray
    start_m: Array
    end_m: Array
    base_m: float
    width_m: float
    n_strips: int

    @property
    def length_m(self) -> float:
        """Total length of the stretches."""
        return float(np.sum(self.end_m - self.start_m))

    def joined_over(self, gap_m: float) -> IntArray:
        """Number of the drive each run belongs to, (n,): runs of one strip with at most ``gap_m`` between them share it."""
        if len(self.strip) == 0:
            return np.zeros(0, dtype=np.int64)
        new = (np.diff(self.strip) != 0) | (self.start_m[1:] - self.end_m[:-1] > gap_m)
        return np.concatenate([[0], np.cumsum(new)]).astype(np.int64)


def edges_of(ground: Polygon | MultiPolygon) -> Array:
    """All edges of the ground's rings, (n, 4): x1, y1, x2, y2."""
    coordinates, ring = shapely.get_coordinates(shapely.get_rings(shapely.get_parts(ground)), return_index=True)
    same = ring[1:] == ring[:-1]
    return np.hstack([coordinates[:-1][same], coordinates[1:][same]])


def turned(edges: Array, along: Array) -> Array:
    """The edges in axes where the unit vector ``along`` points to +x."""
    cos, sin = along
    x, y = edges[:, 0::2], edges[:, 1::2]
    result = np.empty_like(edges)
    result[:, 0::2] = x * cos + y * sin
    result[:, 1::2] = y * cos - x * sin
    return result


def strip_runs(edges: Array, width_m: float, *, from_top: bool = False) -> Runs:
    """Runs of ground along strips of a width, laid from the lowest edge up or from the highest edge down.

    Parameters
    ----------
    edges
        (n, 4) edges of closed rings, turned so that strips run along x.
    width_m
        Width of a strip.
    from_top
        Lay the first full strip against the highest edge instead of the lowest.

    Returns
    -------
    Runs
        Every stretch over which some ground lies within the strip.
    """
    y = edges[:, [1, 3]]
    low, high = float(y.min()), float(y.max())
    n = max(0, math.ceil((high - low - SLIVER_M) / width_m))
    base = high - n * width_m if from_top else low
    x1, x2 = edges[:, 0], edges[:, 2]
    t = (y - base) / width_m
    nearest = np.round(t)
    t = np.where(np.abs(t - nearest) * width_m < _CLOSE_M, nearest, t)
    t1, t2 = t[:, 0], t[:, 1]
    lo, hi = np.minimum(t1, t2), np.maximum(t1, t2)
    slope = np.divide(x2 - x1, t2 - t1, out=np.zeros_like(x1), where=t1 != t2)

    def x_at(edge: IntArray, level: Array) -> Array:
        return x1[edge] + (level - t1[edge]) * slope[edge]

    edge, k = _spread(np.floor(lo), np.ceil(hi) - 1)
    xa = x_at(edge, np.maximum(lo[edge], k))
    xb = x_at(edge, np.minimum(hi[edge], k + 1))
    level = lo[edge] == hi[edge]
    xa[level], xb[level] = x1[edge[level]], x2[edge[level]]
    strips, starts, ends = [k], [np.minimum(xa, xb)], [np.maximum(xa, xb)]
    for border, first, last in ((0, np.ceil(lo), np.ceil(hi) - 1), (1, np.floor(lo) + 1, np.floor(hi))):
        edge, line = _spread(first, last)
        x = x_at(edge, line.astype(float))
        order = np.lexsort((x, line))
        line, x = line[order], x[order]
        strips.append(line[0::2] - border)
        starts.append(x[0::2])
        ends.append(x[1::2])
    return _merged(np.concatenate(strips), np.concatenate(starts), np.concatenate(ends), base, width_m, n)


def _spread(first: Array, last: Array) -> tuple[IntArray, IntArray]:
    """For each edge its strips ``first..last``: (edge number, strip number), flat."""
    count = np.maximum(last - first + 1, 0).astype(np.int64)
    edge = np.repeat(np.arange(len(count)), count)
    before = np.cumsum(count) - count
    return edge, np.arange(len(edge)) - before[edge] + first.astype(np.int64)[edge]


def _merged(strip: IntArray, start: Array, end: Array, base: float, width_m: float, n: int) -> Runs:
    """Join touching stretches of each strip."""
    kept = (strip >= 0) & (strip < n)
    strip, start, end = strip[kept], start[kept], end[kept]
    order = np.lexsort((start, strip))
    strip, start, end = strip[order], start[order], end[order]
    if len(strip) == 0:
        return Runs(strip, start, end, base, width_m, n)
    apart = float(end.max() - start.min()) + 1.0
    reach = np.maximum.accumulate(end + strip * apart) - strip * apart
    new = np.concatenate([[True], (strip[1:] != strip[:-1]) | (start[1:] > reach[:-1] + _CLOSE_M)])
    first = np.flatnonzero(new)
    last = np.concatenate([first[1:] - 1, [len(strip) - 1]])
    return Runs(strip[first], start[first], reach[last], base, width_m, n)
