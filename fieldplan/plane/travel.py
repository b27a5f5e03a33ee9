"""Shortest paths across ground that go around everything that is not ground."""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, MultiPolygon
from shapely.ops import substring

from fieldplan.model.coverage import Array, Lines
from fieldplan.plane.offsets import offset
from fieldplan.plane.ragged import begins

TOLERANCE_M = 0.6
"""Paths may leave the ground by this much: they go around corners of a copy thinned to a little less."""
_THINNED_M = 0.5
_NARROW_THINNED_M, _GRAZED_M = 0.05, 0.01
"""Holes narrower than twice the tolerance are thinned and grazed no more than this: no path crosses them."""
Place = tuple[float, float]


def stretch(line: LineString, start_m: float, end_m: float) -> LineString:
    """The part of a line between two distances along it, in meters; a point becomes a line of no length.

    Examples
    --------
    >>> stretch(LineString([(0, 0), (100, 0)]), 20.0, 50.0).wkt
    'LINESTRING (20 0, 50 0)'
    """
    part = substring(line, start_m, end_m)
    return part if isinstance(part, LineString) else LineString([part.coords[0], part.coords[0]])


class TravelPaths:
    """Shortest paths across one piece of ground.

    A shortest path is straight between its ends and corners that point into the ground. Which corners see
    each other is calculated when first needed, and cached.

    Parameters
    ----------
    ground
        Ground in plane meters, with holes that paths go around.
    """

    def __init__(self, ground: MultiPolygon) -> None:
        self.ground = ground
        self._rows: dict[int, Array] = {}
        shapely.prepare(ground)

    def between(self, start: Place, end: Place) -> LineString:
        """The shortest path between two places that keeps to the ground, to within `TOLERANCE_M`.

        Off the ground it is straight: between a place and the nearest ground, and between two parts of the
        ground where they are nearest.
        """
        path: LineString = self.all_between(np.array([start]), np.array([end]))[0]
        return path

    def all_between(self, start: Array, end: Array) -> Lines:
        """The shortest path of each pair, as in `between`.

        Parameters
        ----------
        start, end
            (n, 2) places in plane meters.

        Returns
        -------
        Lines
            (n,) lines.
        """
        paths = np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object)
        straight = shapely.covers(self.ground, paths) | (start == end).all(axis=1)
        if not straight.all():
            straight[~straight] = shapely.covers(self._within, paths[~straight])
        for i in (~straight).nonzero()[0]:
            paths[i] = self._round_corners(start[i], end[i], paths[i])
        return paths

    def _round_corners(self, start: Array, end: Array, direct: LineString) -> LineString:
        """The shortest path for a pair that ``direct``, the straight line, does not join on the ground."""
        return self._by_corners(start, end) or self._over_parts(start, end, direct)

    def _by_corners(self, start: Array, end: Array) -> LineString | None:
        """The shortest path over corners; ``None`` if there is none."""
        ends = np.array([self._onto(start), self._onto(end)])
        path = self._corners_between(ends)
        if path is None:
            return None
        points = [start, ends[0], *self._corners[path], ends[1], end]
        return LineString(
            [points[0], *(point for last, point in pairwise(points) if tuple(point) != tuple(last))]
        )

    def _corners_between(self, ends: Array) -> list[int] | None:
        """Corners on the shortest path between two places on the ground, (2, 2); ``None`` if there is none.

        A* search: the corner looked at next is the one with the shortest possible path through it (P. E.
        Hart, N. J. Nilsson and B. Raphael, IEEE Transactions on Systems Science and Cybernetics 4, 1968).
        """
        corners = self._corners
        n = len(corners)
        if n == 0:
            return None
        seen = self._seen(ends.repeat(n, axis=0), np.tile(corners, (2, 1))).reshape(2, -1)
        reach, straight = np.hypot(*(ends[:, None] - corners).transpose(2, 0, 1))
        reach, to_end = np.where(seen[0], reach, np.inf), np.where(seen[1], straight, np.inf)
        before = np.full(n, -1)
        ahead = np.ones(n, dtype=bool)
        best, last = np.inf, -1
        while True:
            through = np.where(ahead, reach + straight, np.inf)
            nearest = int(through.argmin())
            if through[nearest] >= best or not np.isfinite(through[nearest]):
                break
            ahead[nearest] = False
            if reach[nearest] + to_end[nearest] < best:
                best, last = reach[nearest] + to_end[nearest], nearest
            over = reach[nearest] + self._away_from(nearest)
            better = over < reach
            reach[better], before[better] = over[better], nearest
        if last < 0:
            return None
        path = [last]
        while before[path[-1]] >= 0:
            path.append(int(before[path[-1]]))
        return path[::-1]

    def _over_parts(self, start: Array, end: Array, direct: LineString) -> LineString:
        """The path from one part of the ground to another, straight between them where they are nearest."""
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
        """The shortest path on one part of the ground; a straight line if there is none."""
        direct = LineString([start, end])
        return direct if shapely.covers(self._within, direct) else self._by_corners(start, end) or direct

    def _onto(self, place: Array) -> Array:
        """The place itself if it is on the ground, or the nearest place that is."""
        point = shapely.Point(place)
        if shapely.covers(self._within, point):
            return place
        return np.asarray(shapely.get_coordinates(shapely.shortest_line(self.ground, point))[0])

    @cached_property
    def _narrow(self) -> Lines:
        """Holes that would close within the tolerance, as polygons, (n,)."""
        rings, ring_of = shapely.get_rings(shapely.get_parts(self.ground), return_index=True)
        holes: Lines = np.array(shapely.polygons(rings[~begins(ring_of)]), dtype=object)
        return np.asarray(holes[shapely.is_empty(offset(holes, -TOLERANCE_M))])

    @cached_property
    def _within(self) -> shapely.Geometry:
        """The ground on which paths may run, with the tolerance."""
        within: shapely.Geometry = offset(self.ground, TOLERANCE_M)
        if len(self._narrow):
            within = shapely.difference(within, shapely.union_all(offset(self._narrow, -_GRAZED_M)))
        shapely.prepare(within)
        return within

    @cached_property
    def _corners(self) -> Array:
        """Corners of a slightly thinned copy that point into the ground, (n, 2)."""
        thin = shapely.orient_polygons(shapely.simplify(self.ground, _THINNED_M), exterior_cw=False)
        narrow = shapely.orient_polygons(
            shapely.simplify(self._narrow, _NARROW_THINNED_M), exterior_cw=True
        )
        rings = np.concatenate([shapely.get_rings(shapely.get_parts(thin)), shapely.get_rings(narrow)])
        return np.vstack([np.zeros((0, 2)), *(_reflex(shapely.get_coordinates(ring)) for ring in rings)])

    def _away_from(self, corner: int) -> Array:
        """Distances from a corner to those it sees, (n,); infinite to the others."""
        if corner not in self._rows:
            here = self._corners[corner]
            seen = self._seen(np.broadcast_to(here, self._corners.shape), self._corners)
            self._rows[corner] = np.where(seen, np.hypot(*(self._corners - here).T), np.inf)
        return self._rows[corner]

    def _seen(self, start: Array, end: Array) -> Array:
        """Whether the straight line of each pair of places, (n, 2) both, keeps to the ground, (n,)."""
        return np.asarray(shapely.covers(self._within, shapely.linestrings(np.stack([start, end], axis=1))))


def _reflex(ring: Array) -> Array:
    """Vertices at which a closed ring with the ground on its left turns right, (n, 2)."""
    step = np.diff(ring, axis=0)
    before = np.roll(step, 1, axis=0)
    return np.asarray(ring[:-1][before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0] < 0])
