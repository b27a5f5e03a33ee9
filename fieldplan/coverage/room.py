"""Where the middle of the drill may be while it turns: half its width from every hard edge."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING, Protocol

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.handling import LOOK_M, handling
from fieldplan.coverage.necks import CUT_OFF_M, ShortestWays
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.driven import all_fit
from fieldplan.kernels.lanes import Lanes
from fieldplan.kernels.region import Region, sees
from fieldplan.model.coverage import Array, BoolArray, IntArray, Lines
from fieldplan.plane.offsets import inset, offset, polygons_of, rounded_inset
from fieldplan.plane.paths import Paths
from fieldplan.plane.ragged import begins
from fieldplan.plane.travel import TravelPaths, stations_m, stretch

if TYPE_CHECKING:
    from fieldplan.coverage.transfers import Transfers

TOLERANCE_M = 0.5
"""So near to its end the drill may come to a hard edge, and so far past it: drivers hold no line better."""
_HAIR_M = 1e-7
"""Lines end so far inside the edge of where the drill may stand: on it, rounding decides whether a turn fits."""
_QUARTER = 32
_CORNER_RAD = float(np.radians(15))
"""Lanes are drawn in steps of no more than 3°."""
_UNFENCED_R = 12.0
"""No turn leads so many turning radii beyond the ends of what it joins: three circles and a straight either way."""
_SPARE_M = 0.02
"""Without it, arcs that turn off a lane towards the edge would touch where the drill may be, and rounding decide."""


class Room(Protocol):
    """What decides whether a turn fits."""

    @property
    def region(self) -> Region:
        """Where the middle of the drill may be."""

    @property
    def known(self) -> dict[bytes, Array]:
        """Turns that were looked for, by their poses: routes over one field have most of theirs in common."""


@dataclass(frozen=True)
class InsideFence:
    """The ground of a field, and where its hard edges are, plane meters.

    Parameters
    ----------
    ground
        What is sown, with its holes; lanes of transfers run along its edge.
    hard
        The ground whose edges are hard: ``ground``, that outside open edges, and that which may be crossed;
        ``None`` if it is ``ground`` itself.
    sown_over
        Obstacles so small that they are driven over while sowing, if there are any.
    """

    ground: MultiPolygon
    rig: Rig
    hard: MultiPolygon | None = None
    sown_over: MultiPolygon | None = None

    @property
    def fenced(self) -> MultiPolygon:
        """The ground whose edges are hard."""
        return self.ground if self.hard is None else self.hard

    @cached_property
    def transfers(self) -> dict[bytes, Transfers]:
        """Those from and to each gate that was thought of, by its place."""
        return {}

    @cached_property
    def known(self) -> dict[bytes, Array]:
        """See `Room`."""
        return {}

    @cached_property
    def clear(self) -> MultiPolygon:
        """Where the middle of the drill may be."""
        return inset(self.fenced, clearance_m(self.rig))

    @property
    def opening_m(self) -> float:
        """How near to a gate the edge may be near."""
        return 2 * self.rig.width_m - LOOK_M

    def open_to_most(self, corners: Array) -> Array:
        """Those of corners of the ground, (n, 2), at which a gate opens to the largest part; all, if none does."""
        parts = np.asarray(self.clear.geoms, dtype=object)
        if len(parts) == 0:
            return corners
        places, largest = shapely.points(corners), int(shapely.area(parts).argmax())
        shapely.prepare(parts[largest])
        opens = shapely.dwithin(parts[largest], places, self.opening_m)
        if len(parts) > 1:  # an edge may be between
            opens &= shapely.STRtree(parts).nearest(places) == largest
        return corners[opens] if opens.any() else corners

    def while_sowing(self) -> InsideFence:
        """The room in which sown lines may be made longer: the middle of the drill stays on the ground."""
        return self if self.hard is None else self._on_ground

    @cached_property
    def unfenced(self) -> InsideFence:
        """The room where no edge is in the way of any turn."""
        around = shapely.buffer(
            shapely.envelope(self.ground), _UNFENCED_R * self.rig.radius_m + self.rig.width_m
        )
        return InsideFence(MultiPolygon([around]), self.rig)

    @cached_property
    def _on_ground(self) -> InsideFence:
        """That room where the edge may be crossed."""
        beside = offset(self.ground, clearance_m(self.rig))
        return InsideFence(self.ground, self.rig, polygons_of(shapely.intersection(self.fenced, beside)))

    @cached_property
    def region(self) -> Region:
        """The same as edges in slabs."""
        return Region.of(self.clear)

    @cached_property
    def deep(self) -> BaseGeometry:
        """The ground a radius and half the drill's width from every edge, and a little, without what is too narrow for
        arcs.

        Before a sharp corner of an obstacle, where the drill may be ends in a point: lanes go round that, too.
        """
        radius_m, clear_m = self.rig.radius_m, clearance_m(self.rig)
        inner = rounded_inset(self.ground, clear_m + radius_m + _SPARE_M, _QUARTER)
        points = shapely.difference(inner, inset(self.ground, clear_m))
        if not points.is_empty:
            inner = shapely.difference(
                inner, shapely.buffer(points, radius_m + _SPARE_M, quad_segs=_QUARTER)
            )
        return shapely.buffer(
            shapely.buffer(inner, -radius_m, quad_segs=_QUARTER), radius_m, quad_segs=_QUARTER
        )

    @cached_property
    def lanes(self) -> Lanes:
        """Closed lines without a bend tighter than the turning radius: the edges of the deep ground."""
        points, ring = shapely.get_coordinates(
            shapely.get_rings(shapely.get_parts(self.deep)), return_index=True
        )
        first = np.concatenate([[0], np.bincount(ring).cumsum()]).astype(np.int64)
        step_m = np.hypot(*np.diff(points, axis=0, prepend=points[:1]).T)
        step_m[first[:-1]] = 0.0
        run_m = step_m.cumsum()
        return Lanes(numbers(points), run_m - run_m[first[:-1]].repeat(np.diff(first)), first)

    @cached_property
    def lane_corners_m(self) -> dict[int, Array]:
        """The stations at which lanes come to a corner, by their number: where two places of the deep ground are hardly
        farther apart than the rig turns, what is a radius about the one meets what is a radius about the other.
        """
        lanes, found = self.lanes, dict[int, Array]()
        for lane, (first, last) in enumerate(pairwise(lanes.first.tolist())):
            at_m, kept = np.unique(lanes.station_m[first:last], return_index=True)
            x, y = np.diff(lanes.points[first:last][kept], axis=0).T
            heading = np.arctan2(y, x)
            bend = np.abs(np.angle(np.exp(1j * (heading - np.roll(heading, 1)))))
            if (bend > _CORNER_RAD).any():
                found[lane] = at_m[:-1][bend > _CORNER_RAD]
        return found

    @cached_property
    def travel(self) -> TravelPaths:
        """Shortest paths wherever the middle of the drill may be."""
        return TravelPaths(self.ground if self.clear.is_empty else self.clear, tolerance_m=0.02)

    @cached_property
    def ways(self) -> ShortestWays:
        """These ways as they were asked for, with the necks that they lead through."""
        grounds = self.travel, self.region, self.deep, self.travel_on_ground, self.clear
        return ShortestWays(*grounds, clearance_m(self.rig))

    @cached_property
    def travel_on_ground(self) -> TravelPaths:
        """Shortest paths inside the hard edges, however near to them."""
        return TravelPaths(self.fenced, tolerance_m=0.02)

    def inward(self, place: Array) -> Array:
        """The shortest way from a place, (2,), to where lanes are."""
        key = place.tobytes()
        if key not in self._inward:
            lanes = self.ground.centroid if self.deep.is_empty else shapely.boundary(self.deep)
            way = shapely.shortest_line(shapely.Point(place), lanes)
            self._inward[key] = shapely.get_coordinates(way)[-1] - place
        return self._inward[key]

    @cached_property
    def _inward(self) -> dict[bytes, Array]:
        """Ways to the lanes that were asked for: most are from the gate."""
        return {}

    def holds(self, paths: Paths) -> BoolArray:
        """Whether the drill and the front of the tractor stay inside along each path, (n,)."""
        parts = numbers(paths.start), numbers(paths.turns), numbers(paths.parts_m)
        return all_fit(self.region, *parts, handling(self.rig))

    def spans(self, line: LineString) -> bool:
        """Whether the drill can be driven straight along a line of two points."""
        (x, y), (to_x, to_y) = line.coords
        return bool(self.contains(np.array([x, y])) and sees(self.region, x, y, to_x, to_y))

    def contains(self, points: Array) -> BoolArray:
        """Whether the drill can stand at points, (..., 2)."""
        return self.region.contains(points)

    def stretches_along(self, lines: Lines, over: Iterable[Polygon] = ()) -> tuple[IntArray, Array, Array]:
        """The stretches of lines, (n,), along which the drill may be: the line of each, (m,), and where on it the stretch
        starts and ends. Between two of them it would come too near to a hard edge.

        Parameters
        ----------
        over
            Where lines go on, though the drill may not be there.
        """
        length_m = shapely.length(lines)
        shapely.prepare(self.clear)
        out = np.flatnonzero(~shapely.covers(self.clear, lines)).tolist()
        if not out:
            return np.arange(len(lines)), np.zeros(len(lines)), length_m
        every = [[(0.0, end_m)] for end_m in length_m.tolist()]
        goes_on = shapely.union_all([self._sown_on, *over])
        for i in out:
            every[i] = self._stretches_along(lines[i], goes_on)
        of = np.arange(len(lines)).repeat([len(found) for found in every])
        start_m, end_m = np.array([pair for found in every for pair in found]).reshape(-1, 2).T
        return of, start_m, end_m

    def _stretches_along(self, line: LineString, goes_on: BaseGeometry) -> list[tuple[float, float]]:
        """Those of one line, in rising order."""
        points, part = shapely.get_coordinates(
            shapely.get_parts(shapely.intersection(line, self.clear)), return_index=True
        )
        if not len(points):
            return []
        at_m = stations_m(np.array([line]), np.zeros(len(points), dtype=np.int64), points)
        first = begins(part).nonzero()[0]
        met = zip(np.minimum.reduceat(at_m, first), np.maximum.reduceat(at_m, first), strict=True)
        found: list[tuple[float, float]] = []
        for start_m, end_m in sorted(met):
            if found and (
                start_m <= found[-1][1] or shapely.covers(goes_on, stretch(line, found[-1][1], start_m))
            ):
                found[-1] = found[-1][0], max(found[-1][1], end_m)
            else:
                found.append((start_m, end_m))
        return [
            (start_m and start_m + _HAIR_M, end_m if end_m == line.length else end_m - _HAIR_M)
            for start_m, end_m in found
        ]

    @cached_property
    def _sown_on(self) -> MultiPolygon:
        """Where the middle of the drill may be while it sows: so much beside the room as ways round corners may cut off,
        and over small obstacles.
        """
        beside = offset(self.clear, CUT_OFF_M)
        if self.sown_over is None:
            return polygons_of(beside)
        return polygons_of(beside.union(offset(self.sown_over, clearance_m(self.rig) + CUT_OFF_M)))


def clearance_m(rig: Rig) -> float:
    """How near the middle of the drill may come to a hard edge."""
    bulge_m = rig.radius_m * (1 - np.cos(LOOK_M / rig.radius_m / 2))
    return max(0.0, rig.width_m / 2 - TOLERANCE_M) + float(bulge_m)
