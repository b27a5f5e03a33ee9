"""Ways across ground that go round what is not ground."""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, MultiPolygon

from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.region import Region
from fieldplan.kernels.segments import stretched
from fieldplan.kernels.stations import nearest_stations
from fieldplan.kernels.travel import Seen, over_corners, seen_between
from fieldplan.model.coverage import Array, BoolArray, IntArray, Lines
from fieldplan.plane.chains import chains_of, lines_of
from fieldplan.plane.offsets import offset
from fieldplan.plane.ragged import begins

TOLERANCE_M = 0.6
"""Ways may leave the ground by this much: they go round corners of a copy thinned to a little less."""
_THINNED_M = 0.5
_NARROW_THINNED_M, _GRAZED_M = 0.05, 0.01
"""Holes narrower than twice the tolerance are thinned less, and grazed by no more than this: no way leads across them."""
_SAME_M = 1e-6
_MAX_KNOWN = 8192
"""Of so many corners it is kept which see each other."""
Place = tuple[float, float]
ComplexArray = npt.NDArray[np.complex128]


def stretch(line: LineString, start_m: float, end_m: float) -> LineString:
    """The part of a line between two of its stations; stations beyond its ends are its ends."""
    points = _complex(shapely.get_coordinates(line))
    station_m = _stations_m(points)
    start_m, end_m = np.clip((start_m, end_m), 0.0, station_m[-1])
    within = points[_between(station_m, start_m, end_m)]
    start, end = np.interp((start_m, end_m), station_m, points)
    return LineString(_plane(np.concatenate([[start], within, [end]])))


def stretches(lines: Lines, start_m: Array, end_m: Array) -> Lines:
    """`stretch` of many lines, (n,) each.

    Examples
    --------
    >>> corner = shapely.LineString([(0, 0), (10, 0), (10, 10)])
    >>> stretches(np.array([corner]), np.array([4.0]), np.array([12.0]))[0].wkt
    'LINESTRING (4 0, 10 0, 10 2)'
    """
    if len(lines) == 0:
        return lines
    return lines_of(stretched(chains_of(lines), numbers(start_m), numbers(end_m)))


def stations_m(lines: Lines, line_of: IntArray, places: Array) -> Array:
    """How far along its line each place, (k, 2), is nearest to it, (k,): the first such station.

    Parameters
    ----------
    line_of
        (k,) the line of each place.

    Examples
    --------
    >>> corner = shapely.LineString([(0, 0), (10, 0), (10, 10)])
    >>> stations_m(np.array([corner]), np.array([0, 0]), np.array([[4.0, -1.0], [13.0, 7.0]])).tolist()
    [4.0, 17.0]
    """
    if len(places) == 0:
        return np.zeros(0)
    points, line = shapely.get_coordinates(lines, return_index=True)
    first = np.concatenate([[0], np.bincount(line, minlength=len(lines)).cumsum()])
    along_m = _stations_m(_complex(points))
    along_m -= along_m[first[:-1]][line]
    return nearest_stations(points, along_m, first, numbers(places), line_of)


def _complex(points: Array) -> ComplexArray:
    """Points (n, 2) as x + iy, (n,): both coordinates are interpolated in one go."""
    return points.view(np.complex128)[:, 0]


def _plane(points: ComplexArray) -> Array:
    """Points x + iy, (n,), as (n, 2)."""
    return points.view(np.float64).reshape(-1, 2)


def _stations_m(points: ComplexArray) -> Array:
    """How far along the way through points each lies, (n,)."""
    return np.concatenate([[0.0], np.abs(np.diff(points)).cumsum()])


def _between(station_m: Array, start_m: Array | float, end_m: Array | float) -> BoolArray:
    """Whether stations lie between others, and not by rounding alone: steps of no length have no direction."""
    return np.asarray((station_m > start_m + _SAME_M) & (station_m < end_m - _SAME_M))


class TravelPaths:
    """Shortest ways across one piece of ground.

    A shortest way runs straight between its ends and corners that point into the ground.
    """

    def __init__(self, ground: MultiPolygon, tolerance_m: float = TOLERANCE_M) -> None:
        self.ground = ground
        self._tolerance_m = tolerance_m

    def between(self, start: Place, end: Place) -> LineString:
        """The shortest way from one place to another that keeps to the ground, to within `TOLERANCE_M`.

        From and to places off the ground it runs straight to the nearest ground, and straight from one part
        of the ground to another where they are nearest, since there is no ground to keep to.
        """
        path: LineString = self.all_between(np.array([start]), np.array([end]))[0]
        return path

    def all_between(self, start: Array, end: Array) -> Lines:
        """The shortest way from each start to each end, (n, 2) both: (n,)."""
        paths = np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object)
        straight = (start == end).all(axis=1)
        for i in (~straight & self._region.contains(start)).nonzero()[0]:
            straight[i] = self._seen(start[i], end[i])
        for i in (~straight).nonzero()[0]:
            paths[i] = self._round_corners(start[i], end[i], paths[i])
        return paths

    def _round_corners(self, start: Array, end: Array, direct: LineString) -> LineString:
        """The shortest way that is not straight."""
        return self._by_corners(start, end) or self._over_parts(start, end, direct)

    def _by_corners(self, start: Array, end: Array) -> LineString | None:
        """The shortest way over corners, or over none where an end lies off the ground; ``None`` if none leads there."""
        ends = np.array([self._onto(start), self._onto(end)])
        part = self._part_of(ends)
        if part[0] != part[1]:
            return None
        corners, known = self._corners_on[part[0]]
        found, path = over_corners(self._region, corners, known, ends[0], ends[1])
        if not found:
            return None
        points = [start, ends[0], *corners[path], ends[1], end]
        return LineString(
            [points[0], *(point for last, point in pairwise(points) if tuple(point) != tuple(last))]
        )

    def _over_parts(self, start: Array, end: Array, direct: LineString) -> LineString:
        """From one part of the ground to another: on each by its ground, and straight between where they
        are nearest.
        """
        parts = shapely.get_parts(self.ground)
        first, last = (
            parts[shapely.distance(parts, shapely.Point(place)).argmin()] for place in (start, end)
        )
        if first is last:
            return direct
        leave, enter = shapely.get_coordinates(shapely.shortest_line(first, last))
        points = shapely.get_coordinates([self._on_ground(start, leave), self._on_ground(enter, end)])
        return LineString(points)

    def _on_ground(self, start: Array, end: Array) -> LineString:
        direct = LineString([start, end])
        if self._region.contains(start[None])[0] and self._seen(start, end):
            return direct
        return self._by_corners(start, end) or direct

    def _onto(self, place: Array) -> Array:
        """The place itself, or the nearest ground to it."""
        if self._region.contains(place[None])[0]:
            return place
        return np.asarray(
            shapely.get_coordinates(shapely.shortest_line(self.ground, shapely.Point(place)))[0]
        )

    @cached_property
    def _narrow(self) -> Lines:
        """Holes that would vanish within the tolerance, as polygons."""
        rings, ring_of = shapely.get_rings(shapely.get_parts(self.ground), return_index=True)
        holes: Lines = np.array(shapely.polygons(rings[~begins(ring_of)]), dtype=object)
        return np.asarray(holes[shapely.is_empty(offset(holes, -self._tolerance_m))])

    @cached_property
    def _within(self) -> shapely.Geometry:
        """Where ways may lead."""
        within: shapely.Geometry = offset(self.ground, self._tolerance_m)
        if len(self._narrow):
            within = shapely.difference(within, shapely.union_all(offset(self._narrow, -_GRAZED_M)))
        return within

    @cached_property
    def _region(self) -> Region:
        """The same as edges in slabs."""
        return Region.of(self._within)

    @cached_property
    def _parts(self) -> Lines:
        """The parts of that ground, between which no way leads, (k,)."""
        parts = shapely.get_parts(self._within)
        shapely.prepare(parts)
        return parts

    def _part_of(self, places: Array) -> IntArray:
        """The part on which each place lies, (n,): the nearest one of those that are off the ground by a rounding."""
        if len(self._parts) < 2:
            return np.zeros(len(places), dtype=np.int64)
        on = shapely.intersects_xy(self._parts[:, None], *places.T)
        part, off = on.argmax(axis=0), ~on.any(axis=0)
        part[off] = shapely.distance(self._parts[:, None], shapely.points(places[off])).argmin(axis=0)
        return np.asarray(part)

    @cached_property
    def _corners_on(self) -> list[tuple[Array, Seen]]:
        """The corners on each of the parts, (n, 2), and which of them are known to see each other, as `over_corners` has
        it: memory that is not written to is not taken.
        """
        part = self._part_of(self._corners)
        each = [numbers(self._corners[part == k]) for k in range(max(1, len(self._parts)))]
        n_known = [len(corners) if len(corners) <= _MAX_KNOWN else 0 for corners in each]
        return [
            (corners, np.zeros((n, n), dtype=np.int8)) for corners, n in zip(each, n_known, strict=True)
        ]

    @cached_property
    def _corners(self) -> Array:
        """Corners that point into the ground, (n, 2), of a copy thinned a little."""
        thin = shapely.orient_polygons(
            shapely.simplify(self.ground, min(_THINNED_M, self._tolerance_m * _THINNED_M / TOLERANCE_M)),
            exterior_cw=False,
        )
        narrow = shapely.orient_polygons(
            shapely.simplify(self._narrow, _NARROW_THINNED_M), exterior_cw=True
        )
        rings = np.concatenate([shapely.get_rings(shapely.get_parts(thin)), shapely.get_rings(narrow)])
        return np.vstack([np.zeros((0, 2)), *(_reflex(shapely.get_coordinates(ring)) for ring in rings)])

    def _seen(self, here: Array, place: Array) -> bool:
        """Whether a place where ways may lead sees another."""
        return bool(seen_between(self._region, *here.tolist(), *place.tolist()))


def _reflex(ring: Array) -> Array:
    """Vertices of a closed ring, ground on its left, at which it turns right."""
    step = np.diff(ring, axis=0)
    before = np.roll(step, 1, axis=0)
    return np.asarray(ring[:-1][before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0] < 0])
