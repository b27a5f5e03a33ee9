"""Edges of drawn shapes, valid or not: vertices added on long ones, and crossings counted."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

_AT_ONCE, _SAMPLE = 2, 400
_BESIDE = 12
"""An edge meets itself and its two neighbors, and these again each time a ring is traced once more."""
Points = npt.NDArray[np.float64]


def densified(geometry: BaseGeometry, longest: float) -> BaseGeometry:
    """The same shape in two dimensions, with vertices added so that no edge is longer than ``longest``.

    GEOS has this too (``segmentize``), but draws a zero-width buffer around an invalid polygon on the way,
    which drops half of a bow-tie and fills holes drawn as parts.

    Parameters
    ----------
    longest
        In the unit of the coordinates.

    Examples
    --------
    >>> densified(LineString([(0, 0), (3, 0)]), 1.0).wkt
    'LINESTRING (0 0, 1 0, 2 0, 3 0)'
    """
    if geometry.is_empty:
        return geometry
    if isinstance(geometry, Polygon):
        rings = [
            _with_vertices_between(shapely.get_coordinates(ring), longest)
            for ring in (geometry.exterior, *geometry.interiors)
        ]
        return Polygon(rings[0], rings[1:])
    if isinstance(geometry, LineString):
        return type(geometry)(_with_vertices_between(shapely.get_coordinates(geometry), longest))
    if hasattr(geometry, "geoms"):
        make: Any = type(geometry)
        collection: BaseGeometry = make([densified(part, longest) for part in geometry.geoms])
        return collection
    return geometry


def n_rings(geometry: BaseGeometry) -> int:
    """How many outlines, holes and lines a geometry has, however nested.

    Examples
    --------
    >>> n_rings(shapely.GeometryCollection([shapely.box(0, 0, 1, 1), LineString([(0, 0), (1, 1)])]))
    2
    """
    parts = getattr(geometry, "geoms", None)
    if parts is None:
        return 1 + len(getattr(geometry, "interiors", ()))
    return sum(n_rings(part) for part in parts)


def any_longer(geometry: BaseGeometry, longest: float) -> bool:
    """Whether an edge is longer than ``longest``, in the unit of the coordinates.

    Quick: the step from one ring to the next counts as an edge, so the answer may be yes too often.
    """
    edges = np.diff(shapely.get_coordinates(geometry), axis=0)
    return bool((np.hypot(edges[:, 0], edges[:, 1]) > longest).any())


def _with_vertices_between(points: Points, longest: float) -> Points:
    """The points of a line, shape (n, 2), with as many evenly between them as ``longest`` requires.

    They are calculated from the same end in whichever direction an edge is drawn, so that an edge shared by
    two fields stays shared to the last bit.
    """
    start, end = points[:-1], points[1:]
    pieces = np.maximum(1, np.ceil(np.hypot(*(end - start).T) / longest).astype(int))
    if (pieces == 1).all():
        return points
    edge = np.repeat(np.arange(len(pieces)), pieces)
    nth = np.arange(len(edge)) - np.repeat(np.cumsum(pieces) - pieces, pieces)  # 0, 1, 2, … on each edge
    backward = (end[:, 0] < start[:, 0]) | ((end[:, 0] == start[:, 0]) & (end[:, 1] < start[:, 1]))
    low, high = np.where(backward[:, None], end, start), np.where(backward[:, None], start, end)
    fraction = (np.where(backward[edge], pieces[edge] - nth, nth) / pieces[edge])[:, None]
    between = low[edge] + (high[edge] - low[edge]) * fraction
    between[nth == 0] = start  # exactly as drawn
    return np.vstack([between, points[-1:]])


def crosses_too_often(ring: shapely.LinearRing, n_most: int) -> bool:
    """Whether a ring meets itself in more than about ``n_most`` places, judged by a sample of its edges.

    A ring that is traced twice does not count as meeting itself.
    """
    points = shapely.get_coordinates(ring)
    edges = np.asarray(shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1)), dtype=object)
    if len(edges) ** 2 < n_most:
        return False
    sample = edges[:: max(1, len(edges) // _SAMPLE)]
    tree = shapely.STRtree(edges)
    maximum = len(sample) * (_BESIDE + 2 * n_most / len(edges))  # each crossing is met from both edges
    met = 0
    for first in range(0, len(sample), _AT_ONCE):
        met += tree.query(sample[first : first + _AT_ONCE], predicate="intersects").shape[1]
        if met > maximum:
            return True
    return False
