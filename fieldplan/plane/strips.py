"""Parallel strips over a polygon: where along each strip there is ground, for all strips at once.

The plane is turned so that strips run along x. Strip k is the band ``base + k·w <= y <= base + (k+1)·w``.
Along it, ground is found at x if an edge passes there inside the strip or if a border of the strip runs
through ground there; so the extents of the edges clipped to the strip, joined with the stretches of ground
along both borders, are exactly the stretches over which any part of the band lies on ground. No geometry
object is made.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.model.coverage import Array, BoolArray, IntArray
from fieldplan.plane.ragged import firsts, members

SLIVER_M = 0.01
"""A last strip with less ground than this across it is not worth a drive."""
SHORT_M = 0.1
"""Nor is a run as short as this."""
_CLOSE_M = 1e-3
"""Vertices this near a border lie on it, and runs this near each other touch."""


@dataclass(frozen=True, slots=True)
class Runs:
    """Stretches of ground along strips: ``strip`` (n,), ``start_m`` and ``end_m`` (n,) along x, sorted by
    strip and start.
    """

    strip: IntArray
    start_m: Array
    end_m: Array
    base_m: float

    @property
    def length_m(self) -> float:
        """Length of all runs together."""
        return float((self.end_m - self.start_m).sum())

    def joined_over(self, gap_m: float) -> IntArray:
        """Number of the drive each run belongs to, (n,): runs of one strip with at most ``gap_m`` between
        them share it.
        """
        return routes_of(self.strip, self.start_m, self.end_m, gap_m)


@dataclass(frozen=True, slots=True)
class SwathLayouts:
    """Runs of several layings of strips at once: ``swath_layout`` (n,) says whose run it is, the rest is as in
    `Runs`.

    Strips count on from laying to laying, so that no two of them have neighbouring strips.
    """

    swath_layout: IntArray
    strip: IntArray
    start_m: Array
    end_m: Array
    base_m: Array
    first_strip: IntArray

    def only(self, swath_layout: int) -> Runs:
        """The runs of one laying, its strips counted from 0."""
        own = self.swath_layout == swath_layout
        strip = self.strip[own] - self.first_strip[swath_layout]
        return Runs(strip, self.start_m[own], self.end_m[own], float(self.base_m[swath_layout]))


def routes_of(strip: IntArray, start_m: Array, end_m: Array, gap_m: float) -> IntArray:
    """Number of the drive each run belongs to, (n,): runs of one strip with at most ``gap_m`` between them
    share it.
    """
    if len(strip) == 0:
        return np.zeros(0, dtype=np.int64)
    new = (strip[1:] != strip[:-1]) | (start_m[1:] - end_m[:-1] > gap_m)
    return np.concatenate([[0], new.cumsum()]).astype(np.int64)


def edges_of(ground: Polygon | MultiPolygon) -> Array:
    """All edges of the ground's rings, (n, 4): x1, y1, x2, y2."""
    coordinates, ring = shapely.get_coordinates(
        shapely.get_rings(shapely.get_parts(ground)), return_index=True
    )
    same = ring[1:] == ring[:-1]
    return np.concatenate([coordinates[:-1][same], coordinates[1:][same]], axis=1)


def turned(edges: Array, along: Array) -> Array:
    """The edges, (k, n, 4), in axes where each unit vector ``along``, (k, 2), points to +x."""
    cos, sin = along[:, 0, None, None], along[:, 1, None, None]
    x, y = edges[None, :, 0::2], edges[None, :, 1::2]
    result = np.empty((len(along), *edges.shape))
    result[:, :, 0::2] = x * cos + y * sin
    result[:, :, 1::2] = y * cos - x * sin
    return result


def lay_strips(edges: Array, width_m: float, from_top: BoolArray) -> SwathLayouts:
    """Runs of ground along strips of a width, for several layings at once.

    Parameters
    ----------
    edges
        (k, n, 4) edges of closed rings, turned so that the strips of each laying run along x.
    width_m
        Width of a strip.
    from_top
        (k,) whether the first full strip lies against the highest edge instead of the lowest.

    Returns
    -------
    Layings
        Every stretch over which some ground lies within a strip.
    """
    y = edges[:, :, [1, 3]]
    low, high = y.min(axis=(1, 2)), y.max(axis=(1, 2))
    n = np.maximum(0, np.ceil((high - low - SLIVER_M) / width_m)).astype(np.int64)
    base = np.where(from_top, high - n * width_m, low)
    first_strip = firsts(n + 3) + 1
    t = (y - base[:, None, None]) / width_m
    nearest = np.round(t)
    t = np.where(np.abs(t - nearest) * width_m < _CLOSE_M, nearest, t) + first_strip[:, None, None]
    t1, t2 = t.reshape(-1, 2).T
    x1, x2 = edges[:, :, 0].ravel(), edges[:, :, 2].ravel()
    lo, hi = np.minimum(t1, t2), np.maximum(t1, t2)
    slope = np.divide(x2 - x1, t2 - t1, out=np.zeros_like(x1), where=t1 != t2)

    def x_at(edge: IntArray, level: Array) -> Array:
        return np.asarray(x1[edge] + (level - t1[edge]) * slope[edge])

    floor_lo, ceil_lo, floor_hi, ceil_hi = np.floor(lo), np.ceil(lo), np.floor(hi), np.ceil(hi)
    edge, k = _spread(floor_lo, ceil_hi - 1)
    xa = x_at(edge, np.maximum(lo[edge], k))
    xb = x_at(edge, np.minimum(hi[edge], k + 1))
    level = lo[edge] == hi[edge]
    xa[level], xb[level] = x1[edge[level]], x2[edge[level]]
    crossing, line = _spread(
        np.concatenate([ceil_lo, floor_lo + 1]), np.concatenate([ceil_hi - 1, floor_hi])
    )
    upper = crossing >= len(lo)
    x = x_at(crossing - upper * len(lo), line.astype(float))
    border = 2 * line - upper
    order = _order(border, x)
    border, x = border[order], x[order]
    strips = [k, border[0::2] // 2]
    starts, ends = [np.minimum(xa, xb), x[0::2]], [np.maximum(xa, xb), x[1::2]]
    strip, start, end = np.concatenate(strips), np.concatenate(starts), np.concatenate(ends)
    swath_layout, nth = members(n + 3)
    kept = ((nth >= 1) & (nth <= n[swath_layout]))[strip]
    strip, start, end = _merged(strip[kept], start[kept], end[kept])
    long = end - start > SHORT_M
    strip, start, end = strip[long], start[long], end[long]
    return SwathLayouts(swath_layout[strip], strip, start, end, base, first_strip)


def _spread(first: Array, last: Array) -> tuple[IntArray, IntArray]:
    """For each edge its strips ``first..last``: (edge number, strip number), flat."""
    count = np.maximum(last - first + 1, 0).astype(np.int64)
    edge, nth = members(count)
    return edge, nth + first.astype(np.int64)[edge]


def _merged(strip: IntArray, start: Array, end: Array) -> tuple[IntArray, Array, Array]:
    """Touching stretches of each strip joined, sorted by strip and start."""
    if len(strip) == 0:
        return strip, start, end
    apart = float(end.max() - start.min()) + 1.0
    order = _order(strip, start)
    strip, start, end = strip[order], start[order], end[order]
    before = strip * apart
    reach = np.maximum.accumulate(end + before) - before
    new = np.concatenate([[True], (strip[1:] != strip[:-1]) | (start[1:] > reach[:-1] + _CLOSE_M)])
    first = new.nonzero()[0]
    last = np.concatenate([first[1:] - 1, [len(strip) - 1]])
    return strip[first], start[first], reach[last]


def _order(group: IntArray, x: Array) -> IntArray:
    """The order by group, then by x: one key is sorted many times faster than two. Exact to a micrometre on
    fields of many hundred strips.
    """
    if len(x) == 0:
        return np.zeros(0, dtype=np.int64)
    return (group * (float(x.max() - x.min()) + 1.0) + x).argsort()
