"""Ways across ground that go round what is not ground."""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, MultiPolygon
from shapely.ops import substring

from fieldplan.model.coverage import Array, Lines
from fieldplan.plane.offsets import offset

TOLERANCE_M = 0.6
"""Ways may leave the ground by this much: they go round corners of a copy thinned to a little less. Where that leaves over
240 corners, both are doubled until it does not."""
_THINNED_M = 0.5
_MOST_CORNERS = 240
Place = tuple[float, float]


def stretch(line: LineString, start_m: float, end_m: float) -> LineString:
    """The part of a line between two of its stations."""
    part = substring(line, start_m, end_m)
    return part if isinstance(part, LineString) else LineString([part.coords[0], part.coords[0]])


class Ways:
    """Shortest ways across one piece of ground.

    A shortest way runs straight between its ends and corners that point into the ground. Which corners see each other is
    worked out once, when it is first needed (visibility graph; E. W. Dijkstra's method finds the way in it).
    """

    def __init__(self, ground: MultiPolygon) -> None:
        self.ground = ground
        shapely.prepare(ground)

    def between(self, start: Place, end: Place) -> LineString:
        """The shortest way from one place to another that keeps to the ground, to within `TOLERANCE_M`.

        From and to places off the ground it runs straight to the nearest ground; between separate parts of the ground it
        runs straight, since there is no ground to keep to.
        """
        way: LineString = self.all_between(np.array([start]), np.array([end]))[0]
        return way

    def all_between(self, start: Array, end: Array) -> Lines:
        """The shortest way from each start to each end, (n, 2) both: (n,)."""
        ways = np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object)
        straight = shapely.covers(self.ground, ways) | (start == end).all(axis=1)
        if not straight.all():
            straight[~straight] = shapely.covers(self._within, ways[~straight])
        for i in (~straight).nonzero()[0]:
            ways[i] = self._round_corners(start[i], end[i], ways[i])
        return ways

    def _round_corners(self, start: Array, end: Array, direct: LineString) -> LineString:
        """The shortest way that is not straight; the direct one where there is none on the ground."""
        corners = self._corners
        if len(corners) == 0:
            return direct
        ends = np.array([self._onto(start), self._onto(end)])
        seen = self._seen(ends.repeat(len(corners), axis=0), np.tile(corners, (2, 1))).reshape(2, -1)
        away = np.where(seen, np.hypot(*(ends[:, None] - corners[None]).transpose(2, 0, 1)), np.inf)
        path = _least(away[0], self._between_corners, away[1])
        if path is None:
            return direct
        points = [start, ends[0], *(corners[i] for i in path), ends[1], end]
        return LineString([points[0], *(point for last, point in pairwise(points) if tuple(point) != tuple(last))])

    def _onto(self, place: Array) -> Array:
        """The place itself, or the nearest ground to it."""
        point = shapely.Point(place)
        if shapely.covers(self._within, point):
            return place
        return np.asarray(shapely.get_coordinates(shapely.shortest_line(self.ground, point))[0])

    @cached_property
    def _within(self) -> shapely.Geometry:
        _, thinned_m = self._thinned
        within: shapely.Geometry = offset(self.ground, thinned_m * TOLERANCE_M / _THINNED_M)
        shapely.prepare(within)
        return within

    @property
    def _corners(self) -> Array:
        return self._thinned[0]

    @cached_property
    def _thinned(self) -> tuple[Array, float]:
        """Corners that point into the ground, (n, 2), of a copy thinned until they are not too many, and by how much it is."""
        thinned_m = _THINNED_M
        while True:
            thin = shapely.orient_polygons(shapely.simplify(self.ground, thinned_m), exterior_cw=False)
            found = [_reflex(shapely.get_coordinates(ring)) for ring in shapely.get_rings(shapely.get_parts(thin))]
            corners = np.vstack(found) if found else np.zeros((0, 2))
            if len(corners) <= _MOST_CORNERS:
                return corners, thinned_m
            thinned_m *= 2

    @cached_property
    def _between_corners(self) -> Array:
        """Distances between corners that see each other, (n, n); infinite for others."""
        corners = self._corners
        n = len(corners)
        i, j = np.triu_indices(n, k=1)
        seen = self._seen(corners[i], corners[j])
        away = np.full((n, n), np.inf)
        away[i[seen], j[seen]] = away[j[seen], i[seen]] = np.hypot(*(corners[i[seen]] - corners[j[seen]]).T)
        return away

    def _seen(self, start: Array, end: Array) -> Array:
        return np.asarray(shapely.covers(self._within, shapely.linestrings(np.stack([start, end], axis=1))))


def _reflex(ring: Array) -> Array:
    """Vertices of a closed ring, ground on its left, at which it turns right."""
    step = np.diff(ring, axis=0)
    before = np.roll(step, 1, axis=0)
    return np.asarray(ring[:-1][before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0] < 0])


def _least(from_start: Array, between: Array, to_end: Array) -> list[int] | None:
    """Corners of the shortest way from the start over some of them to the end; ``None`` if there is none."""
    reach = from_start.copy()
    before = np.full(len(reach), -1)
    settled = np.zeros(len(reach), dtype=bool)
    for _ in range(len(reach)):
        nearest = int(np.where(settled, np.inf, reach).argmin())
        if settled[nearest] or not np.isfinite(reach[nearest]):
            break
        settled[nearest] = True
        over = reach[nearest] + between[nearest]
        better = over < reach
        reach[better], before[better] = over[better], nearest
    last = int((reach + to_end).argmin())
    if not np.isfinite(reach[last] + to_end[last]):
        return None
    path = [last]
    while before[path[-1]] >= 0:
        path.append(int(before[path[-1]]))
    return path[::-1]
