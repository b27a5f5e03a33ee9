"""Shortest ways wherever the middle of the drill may be, and the necks that they lead through.

They depend on the ground alone: ways from several gates, and those that were refused before, have them in common.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np
import shapely
from shapely import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.kernels.region import Region, inside, sees
from fieldplan.model.coverage import Array, Lines
from fieldplan.plane.travel import Place, TravelPaths

CUT_OFF_M = 0.03
"""Ways round corners may cut off so much."""
_BESIDE = 1.5
"""The shortest way on the ground passes a part of the room if it is no farther from it than so many clearances."""


@dataclass(frozen=True)
class ShortestWays:
    """Shortest ways over the ground of one field, as they were asked for.

    Parameters
    ----------
    travel
        Ways where the middle of the drill may be.
    region
        The same ground: most ways lead straight across it.
    deep
        The ground in which arcs fit everywhere: necks are between its parts.
    on_ground
        Ways inside the hard edges, however near to them.
    clear
        Where the middle of the drill may be, as polygons.
    clear_m
        So near it may come to a hard edge.
    """

    travel: TravelPaths
    region: Region
    deep: BaseGeometry
    on_ground: TravelPaths
    clear: MultiPolygon
    clear_m: float

    def between(self, start: Array | Sequence[float], end: Array | Sequence[float]) -> LineString:
        """The shortest way between two places or poses, whatever its bends."""
        ends = _ends(start, end)
        if ends not in self._lines:
            straight = inside(self.region, *ends[0]) and sees(self.region, *ends[0], *ends[1])
            self._lines[ends] = LineString(ends) if straight else self.travel.between(*ends)
        return self._lines[ends]

    def through_necks(self, start: Array | Sequence[float], end: Array | Sequence[float]) -> LineString:
        """The way through the necks of the shortest one inside the hard edges: between them the drill stays inside."""
        here, home = _ends(start, end)
        parts = np.asarray(self.clear.geoms, dtype=object)
        points = shapely.get_coordinates(shapely.segmentize(self.on_ground.between(here, home), 1.0))
        away_m = shapely.distance(parts[:, None], shapely.points(points))
        beside = (away_m.min(axis=0, initial=np.inf) <= _BESIDE * self.clear_m).nonzero()[0]
        part, ways = away_m[:, beside].argmin(axis=0).tolist(), list[LineString]()
        for k, some in groupby(
            zip(part, shapely.points(points[beside]), strict=True), key=lambda one: one[0]
        ):
            passed = [place for _, place in some]
            enters, leaves = (
                shapely.shortest_line(parts[k], place).coords[0] for place in (passed[0], passed[-1])
            )
            ways += [self.on_ground.between(here, enters), self.travel.between(enters, leaves)]
            here = leaves
        ways.append(self.on_ground.between(here, home))
        line: LineString = shapely.remove_repeated_points(LineString(shapely.get_coordinates(ways)))
        return line

    def first_neck(self, start: Array, end: Array) -> LineString | None:
        """The first stretch of that way that leads from one part of the deep ground to another; ``None`` if there is
        none.
        """
        if len(self._parts) < 2:
            return None
        ends = _ends(start, end)
        if ends not in self._necks:
            self._necks[ends] = self._first_neck(self.between(*ends))
        return self._necks[ends]

    def _first_neck(self, line: LineString) -> LineString | None:
        parts = self._parts[shapely.dwithin(self._parts, line, CUT_OFF_M)]
        if len(parts) < 2:
            return None
        stretches = shapely.get_parts(shapely.difference(line, MultiPolygon(parts.tolist())))
        ends = shapely.points([one.coords[k] for one in stretches for k in (0, -1)]).reshape(-1, 2)
        away_m = shapely.distance(ends[..., None], parts)
        leads_on = (away_m.min(axis=2) < CUT_OFF_M).all(axis=1) & np.not_equal(*away_m.argmin(axis=2).T)
        return stretches[leads_on.argmax()] if leads_on.any() else None

    @cached_property
    def _parts(self) -> Lines:
        """The parts of the deep ground, (k,)."""
        parts: Lines = shapely.get_parts(self.deep)
        shapely.prepare(parts)
        return parts

    @cached_property
    def _lines(self) -> dict[tuple[Place, Place], LineString]:
        """Ways that were asked for, by their ends."""
        return {}

    @cached_property
    def _necks(self) -> dict[tuple[Place, Place], LineString | None]:
        """First necks that were asked for, by the ends of the way."""
        return {}


def _ends(start: Array | Sequence[float], end: Array | Sequence[float]) -> tuple[Place, Place]:
    """Both ends of a way without their headings."""
    return (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))
