"""Ways across ground that go round what is not ground."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point
from shapely.ops import substring

from fieldplan.model.coverage import Array

_TOUCH_M = 0.02
Place = tuple[float, float]


def stretch(line: LineString, start_m: float, end_m: float) -> LineString:
    """The part of a line between two of its stations."""
    part = substring(line, start_m, end_m)
    return part if isinstance(part, LineString) else LineString([part.coords[0], part.coords[0]])


class Ways:
    """Ways across one piece of ground, which is prepared once."""

    def __init__(self, ground: MultiPolygon) -> None:
        self.ground = ground
        self._within = shapely.buffer(ground, _TOUCH_M, join_style="mitre")
        shapely.prepare(self._within)
        self._rings = list(shapely.get_rings(shapely.get_parts(ground)))

    def between(self, start: Place, end: Place) -> LineString:
        """A way from one point to another that keeps to the ground.

        It runs straight, and where the straight line leaves the ground it follows the edge that it met, the shorter way
        round, until it meets the line again. It never crosses a hole; between separate parts of the ground it runs
        straight, since there is no ground to keep to. The way is no shortest one: at worst it is the straight line plus
        half of every ring it meets.
        """
        direct = LineString([start, end])
        if self._within.covers(direct):
            return direct
        outside = [piece for piece in shapely.get_parts(direct.difference(self.ground)) if piece.length > _TOUCH_M]
        points: list[Place] = [start]
        for piece in sorted(outside, key=lambda piece: direct.project(Point(piece.coords[0]))):
            leave, back = sorted((Point(piece.coords[0]), Point(piece.coords[-1])), key=direct.project)
            ring = _shared_ring(self._rings, leave, back)
            if ring is not None:
                points.extend(map(tuple, _along_ring(ring, leave, back)))
        points.append(end)
        return LineString(points)


def _shared_ring(rings: list[shapely.LinearRing], leave: Point, back: Point) -> shapely.LinearRing | None:
    touching = [ring for ring in rings if ring.distance(leave) < _TOUCH_M and ring.distance(back) < _TOUCH_M]
    return touching[0] if touching else None


def _along_ring(ring: shapely.LinearRing, leave: Point, back: Point) -> Array:
    """The shorter stretch of a ring between two of its points, (n, 2)."""
    line = LineString(ring.coords)
    a, b = line.project(leave), line.project(back)
    if abs(b - a) <= line.length / 2:
        return np.asarray(substring(line, a, b).coords)
    if a > b:
        pieces = (substring(line, a, line.length), substring(line, 0, b))
    else:
        pieces = (substring(line, a, 0), substring(line, line.length, b))
    return np.vstack([np.asarray(piece.coords) for piece in pieces])
