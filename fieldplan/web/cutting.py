"""Ground cut along a line, grounds joined along an edge, and stretches of an edge.

Lines are cut and lengths compared in the frame in meters near the field (`fieldplan.plane.frame`), in which edges are
straight on the ground; places that stay keep their very numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import split as split_by
from shapely.ops import substring

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.outlines import polygons_in
from fieldplan.errors import InputError
from fieldplan.model.coverage import Array
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.web.drawing import DEGREE_M, Place

_SAME_M = 0.002
"""Points nearer than this to each other are one: a file with eight decimals holds places to a millimeter."""
_PAST_END_M = 0.5
"""A line that splits goes on so far past its ends, which lie on the edge only to within rounding."""
_REACH_OF_EDGE_M = 50.0
"""Ends of an open edge may be clicked so far from the edge that is meant."""


def split(ground: BaseGeometry, line: Sequence[Place]) -> tuple[MultiPolygon, ...]:
    """The pieces into which a line cuts ground, the largest first; parts that it does not reach stay with that.

    Raises
    ------
    InputError
        If the line does not run from edge to edge of any part.
    """
    if len(line) < 2:
        raise InputError.of("drawn-too-few", n_least=2)
    frame = frame_near(ground)
    cut = _past_ends(frame.to_plane(LineString(line)))
    pieces: list[Polygon] = []
    whole: list[Polygon] = []
    for part in polygons_in(ground):
        flat = [piece for piece in split_by(frame.to_plane(part), cut).geoms if isinstance(piece, Polygon)]
        if len(flat) > 1:
            pieces += [_back(piece, frame, [part]) for piece in flat]
        else:
            whole.append(part)
    if len(pieces) < 2:
        raise InputError.of("drawn-split-misses")
    pieces.sort(key=geodesic_area_m2, reverse=True)
    return MultiPolygon([pieces[0], *whole]), *(MultiPolygon([piece]) for piece in pieces[1:])


def _past_ends(line: LineString) -> LineString:
    """A line in meters that goes on a little past both ends."""
    points = np.unique(shapely.get_coordinates(line), axis=0)
    if len(points) < 2:
        raise InputError.of("drawn-too-few", n_least=2)
    xy = shapely.get_coordinates(line)
    xy = xy[np.insert(np.hypot(*np.diff(xy, axis=0).T) > 0, 0, True)]
    begin, end = xy[0] - xy[1], xy[-1] - xy[-2]
    first = xy[0] + begin / np.hypot(*begin) * _PAST_END_M
    last = xy[-1] + end / np.hypot(*end) * _PAST_END_M
    return LineString([first, *xy, last])


def _back(flat: Polygon, frame: Frame, drawn: Sequence[BaseGeometry]) -> Polygon:
    """A polygon in meters as longitude and latitude, with the very numbers of the places that it keeps."""
    kept = shapely.get_coordinates(drawn)
    tree = shapely.STRtree([Point(xy) for xy in kept])
    turned = frame.to_lonlat(flat)

    def exact(xy: Array) -> Array:
        found = xy.copy()
        asked, near = tree.query_nearest(
            shapely.points(xy), max_distance=_SAME_M / DEGREE_M, all_matches=False
        )
        found[asked] = kept[near]
        return found

    return shapely.transform(turned, exact)


def joined(grounds: Sequence[BaseGeometry]) -> MultiPolygon:
    """Grounds that share an edge as one, without the corners that only the shared edge had.

    Raises
    ------
    InputError
        If one lies apart from all others.
    """
    frame = frame_near(shapely.union_all(grounds))
    flat = [frame.to_plane(ground) for ground in grounds]
    _require_touching(flat)
    together = shapely.union_all(flat, grid_size=_SAME_M / 2)
    near = [ground.boundary.buffer(_SAME_M) for ground in flat]
    shared = shapely.union_all([one.intersection(other) for one, other in combinations(near, 2)])
    parts = [_straightened(part, shared) for part in polygons_in(together)]
    return MultiPolygon([_back(part, frame, grounds) for part in parts])


def _require_touching(flat: Sequence[BaseGeometry]) -> None:
    """Raise an error if grounds in meters do not all hang together."""
    reached, left = [flat[0]], list(flat[1:])
    while left:
        away_m = [min(one.distance(other) for other in reached) for one in left]
        nearest = int(np.argmin(away_m))
        if away_m[nearest] > _SAME_M:
            raise InputError.of("drawn-join-apart", gap_m=away_m[nearest])
        reached.append(left.pop(nearest))


def _straightened(part: Polygon, shared: BaseGeometry) -> Polygon:
    """A polygon in meters without holes of no width, and without vertices on a straight edge where two met."""
    holes = [hole for hole in part.interiors if not Polygon(hole).buffer(-_SAME_M).is_empty]
    rings = [_without_straight(ring, shared) for ring in (part.exterior, *holes)]
    return Polygon(rings[0], rings[1:])


def _without_straight(ring: shapely.LinearRing, shared: BaseGeometry) -> Array:
    xy = shapely.get_coordinates(ring)[:-1]
    meets = shapely.dwithin(shapely.points(xy), shared, _SAME_M)
    chords = shapely.linestrings(np.stack([np.roll(xy, 1, axis=0), np.roll(xy, -1, axis=0)], axis=1))
    straight = shapely.distance(shapely.points(xy), chords) <= _SAME_M
    kept: Array = xy[~(meets & straight)]
    return kept if len(kept) >= 3 else xy


def stretch(ground: BaseGeometry, start: Place, end: Place, *, other_way: bool = False) -> LineString:
    """The stretch of a field's outer edge between two places on it, the shorter way round.

    Parameters
    ----------
    start, end
        Places on the outer edge of one part, or within 50 m of it.
    other_way
        Take the longer way round instead.

    Raises
    ------
    InputError
        If they do not lie along the outer edge of one part, or are the same place.
    """
    frame = frame_near(ground)
    a, b = frame.to_plane(Point(start)), frame.to_plane(Point(end))
    rings = [LineString(frame.to_plane(part).exterior) for part in polygons_in(ground)]
    ring = min(rings, key=lambda ring: a.distance(ring) + b.distance(ring))
    if max(a.distance(ring), b.distance(ring)) > _REACH_OF_EDGE_M:
        raise InputError.of("drawn-edge-elsewhere", reach_m=_REACH_OF_EDGE_M)
    low, high = sorted((ring.project(a), ring.project(b)))
    if high - low < _SAME_M or ring.length - (high - low) < _SAME_M:
        raise InputError.of("drawn-too-few", n_least=2)
    inside = LineString(substring(ring, low, high).coords)
    around = LineString([*substring(ring, high, ring.length).coords, *substring(ring, 0.0, low).coords[1:]])
    shorter_inside = inside.length <= around.length
    chosen = inside if shorter_inside != other_way else around
    line: LineString = frame.to_lonlat(chosen)
    return line
