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

from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.strips import Least, runs_along
from fieldplan.model.coverage import Array, BoolArray, IntArray

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
        kept = slice(*self.layout_of.searchsorted((index, index + 1)))
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
    if isinstance(ground, Polygon) and not ground.interiors:
        points = shapely.get_coordinates(ground)
        return np.concatenate([points[:-1], points[1:]], axis=1)
    polygons = ground if isinstance(ground, Polygon) else shapely.get_parts(ground)
    coordinates, ring = shapely.get_coordinates(shapely.get_rings(polygons), return_index=True)
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


def lay_strips(edges: Array, along: Array, width_m: float, from_top: BoolArray) -> SwathLayouts:
    """Runs of ground along strips of one width, for several swath layouts at once.

    Parameters
    ----------
    edges
        (n, 4) edges of closed rings.
    along
        (k, 2) the heading of each layout as a unit vector: in axes turned so that it points to +x, its strips run along x.
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
    >>> edges = edges_of(shapely.box(0, 0, 100, 7))
    >>> runs = lay_strips(edges, np.array([[1.0, 0.0]]), 3.0, np.array([False])).only(0)
    >>> runs.strip.tolist(), runs.start_m.tolist(), runs.end_m.tolist()
    ([0, 1, 2], [0.0, 0.0, 0.0], [100.0, 100.0, 100.0])
    """
    least = Least(SLIVER_M, SHORT_M, _CLOSE_M)
    return SwathLayouts(*runs_along(numbers(edges), numbers(along), width_m, from_top, least))
