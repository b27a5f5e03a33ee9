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
"""A last strip with less ground than this across it is left out."""
SHORT_M = 0.1
"""A run no longer than this is left out."""
_CLOSE_M = 1e-3
"""Vertices this near a border lie on it, and runs this near each other touch."""


@dataclass(frozen=True, slots=True)
class Runs:
    """Stretches of ground along strips, sorted by strip and start.

    Parameters
    ----------
    strip
        (n,) the strip of each run.
    start_m, end_m
        (n,) where each run starts and ends along x.
    base_m
        y of the lower border of strip 0.
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
        """The pass that each run belongs to, (n,), as in `passes_of`."""
        return passes_of(self.strip, self.start_m, self.end_m, gap_m)


@dataclass(frozen=True, slots=True)
class SwathLayouts:
    """Runs of several swath layouts at once, sorted by layout, strip and start.

    Strips are counted on from layout to layout, and no two layouts have adjacent strips.

    Parameters
    ----------
    layout_of
        (n,) the swath layout of each run.
    strip, start_m, end_m
        (n,) as in `Runs`.
    base_m, first_strip
        (k,) y of the lower border of the first strip of each layout, and the number of that strip.
    """

    layout_of: IntArray
    strip: IntArray
    start_m: Array
    end_m: Array
    base_m: Array
    first_strip: IntArray

    def only(self, index: int) -> Runs:
        """The runs of one swath layout, with its strips counted from 0."""
        kept = self.layout_of == index
        strip = self.strip[kept] - self.first_strip[index]
        return Runs(strip, self.start_m[kept], self.end_m[kept], float(self.base_m[index]))


def passes_of(strip: IntArray, start_m: Array, end_m: Array, gap_m: float) -> IntArray:
    """The pass that each run belongs to: runs of one strip with at most ``gap_m`` between them share one.

    Parameters
    ----------
    strip, start_m, end_m
        (n,) runs as in `Runs`.

    Returns
    -------
    IntArray
        (n,) numbers of passes, counted from 0.

    Examples
    --------
    >>> strip, start_m, end_m = np.array([0, 0, 0, 1]), np.array([0, 12, 50, 0]), np.array([10, 40, 60, 60])
    >>> passes_of(strip, start_m, end_m, 5.0).tolist()
    [0, 0, 1, 2]
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
    """Edges in axes turned so that a heading points to +x.

    Parameters
    ----------
    edges
        (n, 4) x1, y1, x2, y2.
    along
        (k, 2) headings as unit vectors.

    Returns
    -------
    Array
        (k, n, 4) the edges for each heading.

    Examples
    --------
    >>> turned(np.array([[0.0, 0.0, 0.0, 5.0]]), np.array([[0.0, 1.0]])).tolist()
    [[[0.0, 0.0, 5.0, 0.0]]]
    """
    cos, sin = along[:, 0, None, None], along[:, 1, None, None]
    x, y = edges[None, :, 0::2], edges[None, :, 1::2]
    result = np.empty((len(along), *edges.shape))
    result[:, :, 0::2] = x * cos + y * sin
    result[:, :, 1::2] = y * cos - x * sin
    return result


def lay_strips(edges: Array, width_m: float, from_top: BoolArray) -> SwathLayouts:
    """Runs of ground along strips of one width, for several swath layouts at once.

    Parameters
    ----------
    edges
        (k, n, 4) edges of closed rings, turned so that the strips of each layout run along x.
    width_m
        Width of a strip.
    from_top
        (k,) whether the strips start at the highest point of the ground instead of the lowest.

    Returns
    -------
    SwathLayouts
        Every stretch over which some ground lies within a strip.

    Examples
    --------
    >>> edges = edges_of(shapely.box(0, 0, 100, 7))[None]
    >>> runs = lay_strips(edges, 3.0, np.array([False])).only(0)
    >>> runs.strip.tolist(), runs.start_m.tolist(), runs.end_m.tolist()
    ([0, 1, 2], [0.0, 0.0, 0.0], [100.0, 100.0, 100.0])
    """
    y = edges[:, :, [1, 3]]
    low, high = y.min(axis=(1, 2)), y.max(axis=(1, 2))
    n = np.maximum(0, np.ceil((high - low - SLIVER_M) / width_m)).astype(np.int64)
    base = np.where(from_top, high - n * width_m, low)
    # an unused strip below and two above each layout keep ground of one out of the strips of the next
    first_strip = firsts(n + 3) + 1
    # t: y in strips, so that borders are whole numbers, and vertices close to a border lie on it
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
    # the extent of each edge in each strip that it passes through
    edge, k = _each_strip(floor_lo, ceil_hi - 1)
    xa = x_at(edge, np.maximum(lo[edge], k))
    xb = x_at(edge, np.minimum(hi[edge], k + 1))
    level = lo[edge] == hi[edge]
    xa[level], xb[level] = x1[edge[level]], x2[edge[level]]
    # the crossings of edges with borders, each border taken twice: as the lower one of the strip above it
    # and as the upper one of the strip below it, seen from just inside that strip
    crossing, line = _each_strip(
        np.concatenate([ceil_lo, floor_lo + 1]), np.concatenate([ceil_hi - 1, floor_hi])
    )
    upper = crossing >= len(lo)
    x = x_at(crossing - upper * len(lo), line.astype(float))
    border = 2 * line - upper
    order = _order(border, x)
    border, x = border[order], x[order]
    # along a border, ground lies between the first and the second crossing, the third and the fourth, …
    strips = [k, border[0::2] // 2]
    starts, ends = [np.minimum(xa, xb), x[0::2]], [np.maximum(xa, xb), x[1::2]]
    strip, start, end = np.concatenate(strips), np.concatenate(starts), np.concatenate(ends)
    layout_of, nth = members(n + 3)
    kept = ((nth >= 1) & (nth <= n[layout_of]))[strip]
    strip, start, end = _merged(strip[kept], start[kept], end[kept])
    long = end - start > SHORT_M
    strip, start, end = strip[long], start[long], end[long]
    return SwathLayouts(layout_of[strip], strip, start, end, base, first_strip)


def _each_strip(first: Array, last: Array) -> tuple[IntArray, IntArray]:
    """Every strip from ``first`` to ``last`` of each edge, (n,): the edge and the strip, (m,) each."""
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
    # strips moved so far apart that the farthest end before a run is one of its own strip
    before = strip * apart
    reach = np.maximum.accumulate(end + before) - before
    new = np.concatenate([[True], (strip[1:] != strip[:-1]) | (start[1:] > reach[:-1] + _CLOSE_M)])
    first = new.nonzero()[0]
    last = np.concatenate([first[1:] - 1, [len(strip) - 1]])
    return strip[first], start[first], reach[last]


def _order(group: IntArray, x: Array) -> IntArray:
    """The order by group, then by x.

    One combined key sorts many times faster than two; it is exact to a micrometer on fields of many hundred
    strips.
    """
    if len(x) == 0:
        return np.zeros(0, dtype=np.int64)
    return (group * (float(x.max() - x.min()) + 1.0) + x).argsort()
