"""Edits of what is drawn on the map: vertices, holes, splits, joins, snapping; values in, values out.

All geometry is in longitude and latitude on WGS84. Where lines are cut or distances compared, it is done in
the frame in meters near the field (`fieldplan.plane.frame`), in which edges are straight on the ground.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely
from pyproj import Geod
from shapely import (
    GeometryCollection,
    LineString,
    MultiLineString,
    MultiPolygon,
    Point,
    Polygon,
)
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import ring_area_m2
from fieldplan.boundary.outlines import polygons_in
from fieldplan.boundary.repair import mended
from fieldplan.errors import InputError
from fieldplan.model.coverage import Array
from fieldplan.model.notes import Note
from fieldplan.plane.frame import frame_near

Place = tuple[float, float]
"""Longitude and latitude in degrees."""
Rings = tuple[tuple[Place, ...], ...]
Edit = Callable[[list[Place]], list[Place]]
_BEARING = re.compile(
    r"(?P<begin>[NS]?)\s*(?P<degrees>\d{1,3}(?:\.\d+)?)\s*°?\s*(?:(?P<minutes>\d{1,2}(?:\.\d+)?)\s*['′]\s*)?"
    r"(?:(?P<seconds>\d{1,2}(?:\.\d+)?)\s*[\"″]\s*)?(?P<end>[EW]?)",
    re.IGNORECASE,
)
_WGS84 = Geod(ellps="WGS84")
DEGREE_M = 110_000.0
"""A degree of latitude is longer than this anywhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Vertex:
    """One vertex of a feature: the number of its ring or line, and its own number there, both from 0."""

    ring: int
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Snap:
    """A place, and what it was drawn to: a "corner" or an "edge" of another feature, or nothing."""

    place: Place
    to: Literal["", "corner", "edge"] = ""


def rings_of(geometry: BaseGeometry) -> Rings:
    """The rings, lines or points of a geometry, each as its places; a ring's last is not its first again.

    A polygon's outer ring comes before its holes, and one part before the next.
    """
    return tuple(tuple((x, y) for x, y in ring.tolist()) for ring in _rings(geometry))


def _rings(geometry: BaseGeometry) -> Iterator[Array]:
    if isinstance(geometry, Polygon):
        for ring in (geometry.exterior, *geometry.interiors):
            yield shapely.get_coordinates(ring)[:-1]
    elif isinstance(geometry, LineString | Point):
        yield shapely.get_coordinates(geometry)
    else:
        for part in shapely.get_parts(geometry):
            yield from _rings(part)


def with_rings(geometry: BaseGeometry, rings: Sequence[Sequence[Place]]) -> BaseGeometry:
    """A geometry of the same kind and build from changed rings; a hole that is empty is left out."""
    left = iter(rings)
    return _rebuilt(geometry, left)


def _rebuilt(geometry: BaseGeometry, left: Iterator[Sequence[Place]]) -> BaseGeometry:
    if isinstance(geometry, Polygon):
        outer, *holes = [next(left) for _ in range(1 + len(geometry.interiors))]
        return Polygon(outer, [hole for hole in holes if hole])
    if isinstance(geometry, LineString):
        return LineString(next(left))
    if isinstance(geometry, Point):
        return Point(next(left)[0])
    parts = [_rebuilt(part, left) for part in shapely.get_parts(geometry)]
    polygons = [part for part in parts if isinstance(part, Polygon)]
    if len(polygons) == len(parts):
        return MultiPolygon(polygons)
    lines = [part for part in parts if isinstance(part, LineString)]
    if len(lines) == len(parts):
        return MultiLineString(lines)
    return GeometryCollection(parts)


def least_points(geometry: BaseGeometry) -> int:
    """How many vertices each ring or line of a geometry must keep."""
    return 3 if polygons_in(geometry) else 1 if "Point" in geometry.geom_type else 2


def with_vertex_moved(geometry: BaseGeometry, at: Vertex, place: Place) -> BaseGeometry:
    """The geometry with one vertex at another place."""
    return _edited(geometry, at, lambda ring: [*ring[: at.number], place, *ring[at.number + 1 :]])


def with_vertex_added(geometry: BaseGeometry, after: Vertex, place: Place) -> BaseGeometry:
    """The geometry with a vertex more, behind the one named."""
    return _edited(
        geometry, after, lambda ring: [*ring[: after.number + 1], place, *ring[after.number + 1 :]]
    )


def without_vertex(geometry: BaseGeometry, at: Vertex) -> BaseGeometry:
    """The geometry without one vertex; a hole of three goes with it.

    Raises
    ------
    InputError
        If an outline or a line would be left with too few.
    """
    rings = _rings_with(geometry, at)
    least = least_points(geometry)
    if len(rings[at.ring]) > least:
        return _edited(geometry, at, lambda ring: [*ring[: at.number], *ring[at.number + 1 :]])
    if at.ring not in holes_of(geometry):
        raise InputError.of("drawn-too-few", n_least=least)
    return without_hole(geometry, at.ring)


def without_hole(geometry: BaseGeometry, ring: int) -> BaseGeometry:
    """The geometry with one hole filled.

    Raises
    ------
    InputError
        If the ring is no hole.
    """
    if ring not in holes_of(geometry):
        raise InputError.of("drawn-no-vertex")
    return with_rings(geometry, [() if k == ring else one for k, one in enumerate(rings_of(geometry))])


def _edited(geometry: BaseGeometry, at: Vertex, edit: Edit) -> BaseGeometry:
    rings = _rings_with(geometry, at)
    changed = edit(list(rings[at.ring]))
    return with_rings(geometry, [changed if k == at.ring else ring for k, ring in enumerate(rings)])


def _rings_with(geometry: BaseGeometry, at: Vertex) -> Rings:
    """The rings of a geometry that has the vertex.

    Raises
    ------
    InputError
        If it does not: what a browser asks for may have changed meanwhile.
    """
    rings = rings_of(geometry)
    if not (0 <= at.ring < len(rings) and 0 <= at.number < len(rings[at.ring])):
        raise InputError.of("drawn-no-vertex")
    return rings


def holes_of(geometry: BaseGeometry) -> set[int]:
    """Numbers of the rings that are holes."""
    found, number = set(), 0
    for part in shapely.get_parts(geometry):
        if isinstance(part, Polygon):
            found |= set(range(number + 1, number + 1 + len(part.interiors)))
            number += 1 + len(part.interiors)
        else:
            number += 1
    return found


def outline_of(points: Sequence[Place], name: str = "") -> tuple[MultiPolygon, list[Note]]:
    """The ground inside corners that were drawn one after another, checked and mended as one from a file.

    Raises
    ------
    InputError
        If there are fewer than three, they enclose nothing, or only the person can know which ground is meant.
    """
    if len(points) < 3:
        raise InputError.of("drawn-too-few", n_least=3)
    return mended([Polygon(points)], name, repair=False)


def settled(geometry: BaseGeometry, name: str = "") -> tuple[BaseGeometry, list[Note]]:
    """A changed geometry, its polygons checked and mended as those of a file.

    Raises
    ------
    InputError
        If only the person can know which ground is meant.
    """
    areas = polygons_in(geometry)
    if not areas or geometry.is_valid:
        return geometry, []
    return mended(areas, name, repair=False)


def drawn_area_m2(points: Sequence[Place]) -> float:
    """The area inside corners as they are drawn, as `fieldplan.boundary.acreage` measures it; 0 if under three."""
    return ring_area_m2(shapely.LinearRing(points)) if len(points) >= 3 else 0.0


def length_m(points: Sequence[Place]) -> float:
    """The length of a line through places, along geodesics."""
    return sum(bearing_and_distance(a, b)[1] for a, b in pairwise(points))


def with_hole(ground: BaseGeometry, hole: BaseGeometry) -> BaseGeometry:
    """Ground without what was drawn inside it.

    Raises
    ------
    InputError
        If the hole touches none of it, or leaves nothing.
    """
    if not ground.intersects(hole):
        raise InputError.of("drawn-hole-outside")
    left = polygons_in(shapely.difference(ground, hole))
    if not left:
        raise InputError.of("drawn-hole-takes-all")
    return MultiPolygon(left)


def destination(start: Place, bearing_deg: float, distance_m: float) -> Place:
    """The place at a distance along a geodesic that begins with a true bearing.

    Notes
    -----
    Source: C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87, 2013.

    Examples
    --------
    A 360th of the equator's 2π · 6,378,137 m eastward is a degree.

    >>> lon, lat = destination((0.0, 0.0), 90.0, 111319.4907932)
    >>> round(lon, 9), round(lat, 9)
    (1.0, 0.0)
    """
    lon, lat, _ = _WGS84.fwd(*start, bearing_deg, distance_m)
    return float(lon), float(lat)


def bearing_and_distance(start: Place, end: Place) -> tuple[float, float]:
    """The true bearing with which the geodesic between two places begins, in [0, 360), and its length in m."""
    bearing, _, distance = _WGS84.inv(*start, *end)
    return float(bearing) % 360.0, float(distance)


def bearing_in(text: str) -> float | None:
    """A true bearing in [0, 360) from degrees, or from a quadrant as surveys write it; ``None`` if it is neither.

    Examples
    --------
    >>> bearing_in("90"), bearing_in("N 45 E"), bearing_in("S30°15'W"), bearing_in("up")
    (90.0, 45.0, 210.25, None)
    """
    found = _BEARING.fullmatch(text.strip())
    if found is None:
        return None
    angle = (
        float(found["degrees"]) + float(found["minutes"] or 0) / 60 + float(found["seconds"] or 0) / 3600
    )
    begin, end = found["begin"].upper(), found["end"].upper()
    if bool(begin) != bool(end) or angle > (90.0 if begin else 360.0):
        return None
    if not begin:
        return angle % 360.0
    from_north = angle if begin == "N" else 180.0 - angle
    return (from_north if end == "E" else -from_north) % 360.0


def snapped(place: Place, reach_m: float, others: Sequence[BaseGeometry]) -> Snap:
    """A place drawn to the nearest corner of other features within reach, or else to the nearest of their edges.

    Parameters
    ----------
    reach_m
        How far it may be drawn.
    others
        Outlines, lines and points to draw it to.
    """
    lon, lat = place
    reach_deg = reach_m / (DEGREE_M * max(0.01, float(np.cos(np.radians(lat)))))
    here = Point(place)
    near = [other for other in others if not other.is_empty and shapely.dwithin(other, here, reach_deg)]
    around = (lon - reach_deg, lat - reach_deg, lon + reach_deg, lat + reach_deg)
    edges = [_edge_of(other) for other in near]
    if not edges:
        return Snap(place=place)
    frame = frame_near(here)
    x, y = shapely.get_coordinates(frame.to_plane(here))[0]
    corners = shapely.get_coordinates(edges)
    corners = corners[(np.abs(corners - place) <= reach_deg).all(axis=1)]
    away_m = np.hypot(*(shapely.get_coordinates(frame.to_plane(shapely.MultiPoint(corners))) - (x, y)).T)
    if len(corners) and away_m.min() <= reach_m:
        corner = corners[int(away_m.argmin())]
        return Snap(place=(float(corner[0]), float(corner[1])), to="corner")
    at = Point(x, y)
    lines = [frame.to_plane(line) for line in _segments_in(edges, around)]
    if not lines:
        return Snap(place=place)
    nearest = min(lines, key=at.distance)
    if at.distance(nearest) > reach_m:
        return Snap(place=place)
    on_edge = shapely.get_coordinates(shapely.shortest_line(nearest, at))[0]
    return Snap(place=frame.point_to_lonlat(float(on_edge[0]), float(on_edge[1])), to="edge")


def _segments_in(
    edges: Sequence[BaseGeometry], around: tuple[float, float, float, float]
) -> list[LineString]:
    """The straight pieces of edges that may reach into a box: few, however long the edges are."""
    lines = [line for edge in edges for line in shapely.get_parts(edge) if not isinstance(line, Point)]
    points, of_line = shapely.get_coordinates(lines, return_index=True)
    begin, end = points[:-1], points[1:]
    reach = (np.minimum(begin, end) <= around[2:]) & (np.maximum(begin, end) >= around[:2])
    kept = (of_line[:-1] == of_line[1:]) & reach.all(axis=1)
    return [LineString(pair) for pair in np.stack([begin[kept], end[kept]], axis=1)]


def _edge_of(geometry: BaseGeometry) -> BaseGeometry:
    return geometry.boundary if polygons_in(geometry) else geometry
