"""Lines that enclose ground: joined end to end, closed over small gaps, or taken apart where they cross."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import distance_m, geodesic_area_m2

LARGEST_GAP_M = 5.0
LARGEST_GAP_FRAC = 0.01
"""A line with ends nearer than both limits was meant to close."""
WIDEST_GAP_FRAC = 0.03
"""A line that is open by less was walked round a field too, though its ends do not meet."""
MOST_IN_GAP_FRAC = 0.005
"""A right-angled corner over the gap may hold up to this share of the ground: as much as a repair may change."""
_JOIN_DEG = 1e-8
"""Ends of lines within about a millimeter are one place."""
_DEGREE_M = 111_200.0
Place = tuple[float, float]


def lines_in(geometry: BaseGeometry) -> list[LineString]:
    """Every line in a geometry, however nested; outlines of polygons do not count."""
    if isinstance(geometry, LineString):
        return [] if geometry.is_empty or geometry.length == 0 else [LineString(geometry.coords)]
    if hasattr(geometry, "geoms"):
        return [line for part in geometry.geoms for line in lines_in(part)]
    return []


def joined(lines: Sequence[LineString]) -> list[LineString]:
    """The lines, in longitude and latitude, with those that meet end to end made one.

    Examples
    --------
    >>> len(joined([LineString([(0, 0), (1, 0)]), LineString([(1, 0), (1, 1)])]))
    1
    """
    if len(lines) == 1:
        return lines_in(shapely.line_merge(lines[0]))
    return lines_in(
        shapely.line_merge(shapely.set_precision(MultiLineString(lines), _JOIN_DEG, mode="pointwise"))
    )


def closed(line: LineString) -> Polygon | None:
    """The ground inside a line that closes, or nearly does; ``None`` if it stays open.

    A line nearly closes if its ends are nearer than 5 m and than 1 % of its length.

    Parameters
    ----------
    line
        In longitude and latitude.
    """
    start, end = ends(line)
    if len(line.coords) < (4 if start == end else 3):
        return None
    away_m = gap_m(line)
    if away_m >= LARGEST_GAP_M or away_m >= LARGEST_GAP_FRAC * _length_m(line):
        return None
    return Polygon(line.coords)


def nearly_closed(line: LineString) -> Polygon | None:
    """The ground inside a line whose gap is wider than `closed` allows, but small against the line and its ground.

    Whoever is to use it must be told of the gap. The largest corner with a right angle over a gap g holds g²/4
    (Thales' theorem: its tip lies on the half circle over the gap).

    Parameters
    ----------
    line
        In longitude and latitude.
    """
    if len(line.coords) < 4 or gap_m(line) >= WIDEST_GAP_FRAC * _length_m(line):
        return None
    ground = Polygon(line.coords)
    sound = ground.is_valid and in_gap_m2(line) <= MOST_IN_GAP_FRAC * geodesic_area_m2(ground)
    return ground if sound else None


def in_gap_m2(line: LineString) -> float:
    """The most ground that a corner with a right angle over the gap of a line may hold, in m²."""
    return gap_m(line) ** 2 / 4


def enclosed(lines: Sequence[LineString]) -> tuple[list[Polygon], list[LineString]]:
    """The ground that lines enclose where they cross or overlap, and the lines that enclose none.

    Returns
    -------
    tuple
        A polygon for each connected piece of ground, and the lines that touch none of them.
    """
    if not lines:
        return [], []
    cells = shapely.get_parts(shapely.polygonize(list(shapely.get_parts(shapely.unary_union(list(lines))))))
    pieces = [
        piece
        for piece in shapely.get_parts(shapely.union_all(cells))
        if isinstance(piece, Polygon) and not piece.is_empty
    ]
    loose = [line for line in lines if not any(line.intersects(piece.boundary) for piece in pieces)]
    return pieces, loose


def ends(line: LineString) -> tuple[Place, Place]:
    """Longitude and latitude of the first and the last point of a line."""
    (x0, y0), (x1, y1) = line.coords[0][:2], line.coords[-1][:2]
    return (x0, y0), (x1, y1)


def gap_m(line: LineString) -> float:
    """Distance between the ends of a line, in m."""
    return distance_m(*ends(line))


def _length_m(line: LineString) -> float:
    """Length to within a percent, which is all that the gap rule needs."""
    lon, lat = np.asarray(line.coords)[:, :2].T
    east, north = np.diff(lon) * np.cos(np.radians(lat[:-1])), np.diff(lat)
    return float(np.hypot(east, north).sum()) * _DEGREE_M
