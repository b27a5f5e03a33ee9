"""Transfers: driving lifted from one place of the field to another, with arcs that the rig can drive.

A lane runs all round inside the edge, a turning radius and half the drill's width from it, and round every
obstacle; none of its bends is tighter than the turning radius. A transfer joins it, runs along it and
leaves it, so that worked ground is crossed as little as may be. It goes straight across where that saves a
good share of the way.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import LineString

from fieldplan.coverage.room import TOLERANCE_M, InsideFence, clearance_m
from fieldplan.model.coverage import Array, Lines
from fieldplan.plane.paths import shortest_paths
from fieldplan.plane.travel import TravelPaths, stretch

ACROSS_SAVES_FRAC = 0.3
"""A transfer goes across worked ground only if that saves this share of the distance along the edge."""
POINTS_M = 0.7
"""Lines are drawn with points so far apart on arcs: within 1 cm of them for radii of 6 m."""
_JOIN_R = (0.5, 1.5, 3.0, 5.0)
"""Where the lane is joined and left, counted from the nearest point of it, in turning radii."""
_QUARTER = 32


@dataclass(frozen=True)
class Transfers:
    """Transfers over the ground of one field.

    Parameters
    ----------
    gate_xy
        The gate, (2,): an opening, within two widths of which the edge may be near.
    """

    room: InsideFence
    gate_xy: Array

    @cached_property
    def _lanes(self) -> Lines:
        """Closed lines without a bend tighter than the turning radius, (k,), as deep inside as that needs."""
        rig = self.room.rig
        deep_m = clearance_m(rig) + rig.radius_m
        inner = shapely.buffer(self.room.ground, -deep_m, quad_segs=_QUARTER)
        opened = shapely.buffer(
            shapely.buffer(inner, -rig.radius_m, quad_segs=_QUARTER), rig.radius_m, quad_segs=_QUARTER
        )
        rings = shapely.get_rings(shapely.get_parts(opened))
        return np.asarray(rings[~shapely.is_empty(rings)], dtype=object)

    @cached_property
    def _across(self) -> TravelPaths:
        """Shortest paths wherever the middle of the drill may be."""
        return TravelPaths(
            self.room.clear if not self.room.clear.is_empty else self.room.ground, tolerance_m=0.02
        )

    def between(self, leave: Array, enter: Array) -> tuple[LineString, bool]:
        """A transfer from pose to pose, (3,) each, and whether it stays inside all the way.

        An angle that is not a number leaves the heading open: so at the gate.
        """
        leave, enter = self._headed(leave, enter[:2]), self._headed(enter, leave[:2], arriving=True)
        direct = self._direct(leave, enter)
        along = self._along(leave, enter)
        lines = [line for line in (direct, along) if line is not None]
        if len(lines) == 2:
            across = (
                lines[0].length < (1 - ACROSS_SAVES_FRAC) * lines[1].length
                or lines[0].length <= 4 * self.room.rig.radius_m
            )
            return lines[0 if across else 1], True
        if lines:
            return lines[0], True
        line = self._across.between(tuple(leave[:2]), tuple(enter[:2]))
        return line, self._inside(shapely.get_coordinates(shapely.segmentize(line, 1.0)), grown_m=0.03)

    def _headed(self, pose: Array, other: Array, arriving: bool = False) -> Array:
        """The pose with a heading: at the gate, straight into the field or out of it."""
        if np.isfinite(pose[2]):
            return pose
        inward = (
            shapely.get_coordinates(shapely.shortest_line(shapely.Point(pose[:2]), self._deep))[-1]
            - pose[:2]
        )
        if not np.hypot(*inward) > TOLERANCE_M:
            inward = other - pose[:2]
        return np.array([*pose[:2], np.arctan2(inward[1], inward[0]) + (np.pi if arriving else 0.0)])

    @cached_property
    def _deep(self) -> shapely.Geometry:
        lanes = self._lanes
        return shapely.MultiLineString(list(lanes)) if len(lanes) else self.room.ground.centroid

    def _direct(self, leave: Array, enter: Array) -> LineString | None:
        """The shortest path forward, if it fits."""
        path = shortest_paths(leave[None], enter[None], self.room.rig.radius_m)
        points = path.points(POINTS_M)[0]
        return LineString(points) if len(points) > 1 and self._inside(points) else None

    def _along(self, leave: Array, enter: Array) -> LineString | None:
        """The shortest of the ways along a lane, if one fits."""
        if not len(self._lanes):
            return None
        here, there = shapely.points([leave[:2], enter[:2]])
        away = shapely.distance(self._lanes, here) + shapely.distance(self._lanes, there)
        lane = self._lanes[int(away.argmin())]
        found = [
            line
            for way in (lane, shapely.reverse(lane))
            if (line := self._on(way, leave, enter)) is not None
        ]
        return min(found, key=lambda line: line.length, default=None)

    def _on(self, lane: LineString, leave: Array, enter: Array) -> LineString | None:
        """The shortest way along a lane in its direction."""
        radius_m = self.room.rig.radius_m
        at = [float(shapely.line_locate_point(lane, shapely.Point(pose[:2]))) for pose in (leave, enter)]
        joins = _poses_on(lane, at[0] + radius_m * np.array(_JOIN_R))
        leaves = _poses_on(lane, at[1] - radius_m * np.array(_JOIN_R))
        onto = self._fitting(np.repeat(leave[None], len(joins), axis=0), joins)
        off = self._fitting(leaves, np.repeat(enter[None], len(leaves), axis=0))
        best, chosen = np.inf, None
        for i, first in enumerate(onto):
            for k, last in enumerate(off):
                if first is None or last is None:
                    continue
                run_m = (at[1] - radius_m * _JOIN_R[k] - at[0] - radius_m * _JOIN_R[i]) % lane.length
                if (
                    run_m > lane.length - 2 * radius_m * (_JOIN_R[i] + _JOIN_R[k])
                    and run_m > lane.length / 2
                ):
                    continue  # joined behind where it is left: once round for nothing
                total = first.length + run_m + last.length
                if total < best:
                    best, chosen = (
                        total,
                        (first, (at[0] + radius_m * _JOIN_R[i]) % lane.length, run_m, last),
                    )
        if chosen is None:
            return None
        first, since_m, run_m, last = chosen
        run = _stretch_on(lane, since_m, run_m)
        return LineString(np.vstack([first.coords, run, last.coords]))

    def _fitting(self, starts: Array, ends: Array) -> list[LineString | None]:
        """The shortest path of each pair, or nothing where it leads outside."""
        paths = shortest_paths(starts, ends, self.room.rig.radius_m)
        points, of = paths.points(POINTS_M)
        inside = self._points_inside(points)
        return [
            LineString(points[of == i]) if inside[of == i].all() and (of == i).sum() > 1 else None
            for i in range(len(starts))
        ]

    def _inside(self, points: Array, grown_m: float = 0.0) -> bool:
        return bool(self._points_inside(points, grown_m).all())

    def _points_inside(self, points: Array, grown_m: float = 0.0) -> Array:
        """Whether the drill may be at points: inside, or near the gate."""
        inside = self.room.contains(points)
        out = (~inside).nonzero()[0]
        if len(out):
            near = np.hypot(*(points[out] - self.gate_xy).T) <= 2 * self.room.rig.width_m
            if grown_m:
                near |= shapely.distance(shapely.points(points[out]), self.room.clear) <= grown_m
            inside[out] = near
        return inside


def _poses_on(lane: LineString, stations_m: Array) -> Array:
    """Poses along a closed line, (n, 3)."""
    at = stations_m % lane.length
    here = shapely.get_coordinates(shapely.line_interpolate_point(lane, at))
    ahead = shapely.get_coordinates(shapely.line_interpolate_point(lane, (at + 0.05) % lane.length)) - here
    return np.column_stack([here, np.arctan2(ahead[:, 1], ahead[:, 0])])


def _stretch_on(lane: LineString, since_m: float, run_m: float) -> Array:
    """The points of a closed line from a station on, so far."""
    until_m = since_m + run_m
    if until_m <= lane.length:
        return shapely.get_coordinates(stretch(lane, since_m, until_m))
    first, rest = stretch(lane, since_m, lane.length), stretch(lane, 0.0, until_m - lane.length)
    return np.vstack([shapely.get_coordinates(first), shapely.get_coordinates(rest)])
