"""Edges of drawn shapes, valid or not: long ones given vertices between, and whether they meet too often to
be mended.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

_AT_ONCE, _SAMPLE = 2, 400
_BESIDE = 12
"""An edge meets itself, the one before and the one after, each again where a ring is traced more than once."""
Points = npt.NDArray[np.float64]


def densified(geometry: BaseGeometry, longest: float) -> BaseGeometry:
    """The same shape with vertices added so that no edge is longer than ``longest``; flat, and no ring or
    part is touched otherwise.

    GEOS has this too (``segmentize``), but lays a zero-width buffer round an invalid polygon on the way,
    which drops half of a bow-tie and fills holes drawn as parts.
    """
    if isinstance(geometry, Polygon):
        if geometry.is_empty:
            return geometry
        rings = [
            _with_more(shapely.get_coordinates(ring), longest)
            for ring in (geometry.exterior, *geometry.interiors)
        ]
        return Polygon(rings[0], rings[1:])
    if isinstance(geometry, LineString):
        return (
            geometry
            if geometry.is_empty
            else type(geometry)(_with_more(shapely.get_coordinates(geometry), longest))
        )
    if hasattr(geometry, "geoms"):
        whole: Any = type(geometry)
        made: BaseGeometry = whole([densified(part, longest) for part in geometry.geoms])
        return made
    return geometry


def n_rings(geometry: BaseGeometry) -> int:
    """How many outlines, holes and lines a geometry has, however nested."""
    parts = getattr(geometry, "geoms", None)
    return (
        sum(n_rings(part) for part in parts)
        if parts is not None
        else 1 + len(getattr(geometry, "interiors", ()))
    )


def any_longer(geometry: BaseGeometry, longest: float) -> bool:
    """Whether an edge is longer, or seems so because the next ring begins farther away."""
    edges = np.diff(shapely.get_coordinates(geometry), axis=0)
    return bool((np.hypot(edges[:, 0], edges[:, 1]) > longest).any())


def _with_more(points: Points, longest: float) -> Points:
    """Vertices between are reckoned from the same end whichever way an edge is drawn, so that a shared edge
    stays shared.
    """
    start, end = points[:-1], points[1:]
    pieces = np.maximum(1, np.ceil(np.hypot(*(end - start).T) / longest).astype(int))
    if (pieces == 1).all():
        return points
    edge = np.repeat(np.arange(len(pieces)), pieces)
    nth = np.arange(len(edge)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    backward = (end[:, 0] < start[:, 0]) | ((end[:, 0] == start[:, 0]) & (end[:, 1] < start[:, 1]))
    low, high = np.where(backward[:, None], end, start), np.where(backward[:, None], start, end)
    share = (np.where(backward[edge], pieces[edge] - nth, nth) / pieces[edge])[:, None]
    between = low[edge] + (high[edge] - low[edge]) * share
    between[nth == 0] = start
    return np.vstack([between, points[-1:]])


def crosses_oftener(ring: shapely.LinearRing, than: int) -> bool:
    """Whether a ring meets itself more than about so often, judged by a sample of its edges; being traced
    twice does not count.
    """
    points = shapely.get_coordinates(ring)
    edges = np.asarray(shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1)), dtype=object)
    if len(edges) ** 2 < than:
        return False
    sample = edges[:: max(1, len(edges) // _SAMPLE)]
    tree = shapely.STRtree(edges)
    maximum, met = len(sample) * (_BESIDE + 2 * than / len(edges)), 0
    for first in range(0, len(sample), _AT_ONCE):
        met += tree.query(sample[first : first + _AT_ONCE], predicate="intersects").shape[1]
        if met > maximum:
            return True
    return False
