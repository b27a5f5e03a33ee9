"""Transfers: driving lifted from one place of the field to another, with arcs that the rig can drive.

A lane runs all round inside the edge, a turning radius and half the drill's width from it, and round every
obstacle; none of its bends is tighter than the turning radius. A transfer joins it, runs along it and
leaves it, so that worked ground is crossed as little as may be. It goes straight across where that saves a
good share of the way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Literal

import numpy as np
import shapely
from shapely import LineString, Point

from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import TOLERANCE_M, InsideFence, clearance_m
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.model.coverage import Array, BoolArray, Coverage, Leg, Lines, SeedTrips, TurnShape
from fieldplan.plane.paths import drawing_step_m, shortest_paths
from fieldplan.plane.travel import TravelPaths, stretch

ACROSS_SAVES_FRAC = 0.2
"""A transfer goes across worked ground only if that saves this share of the distance along the edge."""
_JOIN_R = (0.5, 1.5, 3.0, 5.0)
"""Where the lane is joined and left, counted from the nearest point of it, in turning radii."""
_NEAR_R = 4.0
"""Transfers no longer than so many turning radii go straight."""
_QUARTER = 32


@dataclass(frozen=True, slots=True)
class Transfer:
    """How the rig is driven lifted from one pose to another.

    Parameters
    ----------
    length_m
        Its length; the line is shorter by what its chords cut off arcs.
    inside
        Whether it stays inside all the way.
    with_arcs
        Whether the rig can drive its line; else it is the shortest path whatever its bends.
    reverse_m
        What of it is driven in reverse.
    drive_s
        Time that it takes.
    """

    line: LineString
    length_m: float
    drive_s: float
    reverse_m: float = 0.0
    inside: bool = True
    with_arcs: bool = True

    def then(self, others: Sequence[Transfer]) -> Transfer:
        """It, and others that go on from it."""
        every = (self, *others)
        return Transfer(
            line=LineString(np.vstack([part.line.coords for part in every])),
            length_m=sum(part.length_m for part in every),
            drive_s=sum(part.drive_s for part in every),
            reverse_m=sum(part.reverse_m for part in every),
        )


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

    def between(self, leave: Array, enter: Array, no_turn: BoolArray | None = None) -> list[Transfer]:
        """Transfers from poses to poses, (n, 3) each; ``no_turn`` (n,) says where no turn fits, as far as known.

        An angle that is not a number leaves the heading open: so at the gate.
        """
        starts = np.array([self._headed(*pair) for pair in zip(leave, enter[:, :2], strict=True)])
        ends = np.array(
            [self._headed(*pair, arriving=True) for pair in zip(enter, leave[:, :2], strict=True)]
        )
        if not len(starts):
            return []
        no_turn = np.zeros(len(starts), dtype=bool) if no_turn is None else no_turn
        direct = self._forward(starts, ends)
        run_s = self._about_along_m(starts, ends) / self.room.rig.turn_speed_m_per_s
        found = []
        for k, best in enumerate(direct):
            pose = starts[k], ends[k]
            if self._worth_a_lane(best, run_s[k]) and not (no_turn[k] and self._close(*pose)):
                along = self._along(*pose)
                if along is not None and self._worth_a_lane(best, along.drive_s):
                    best = along
            if best is None and not no_turn[k]:
                best = self._backing(*pose)
            found.append(best or self._anyhow(*pose))
        return found

    def _worth_a_lane(self, across: Transfer | None, along_s: float) -> bool:
        """Whether a lane that takes so long would be driven rather than straight across."""
        rig = self.room.rig
        if across is None:
            return True
        near = across.drive_s <= _NEAR_R * rig.radius_m / rig.turn_speed_m_per_s
        return not near and across.drive_s > (1 - ACROSS_SAVES_FRAC) * along_s

    def _close(self, leave: Array, enter: Array) -> bool:
        """Whether two poses are nearer than a lane could help: it takes two turns to use one."""
        return bool(np.hypot(*(enter - leave)[:2]) < 2 * self.room.rig.radius_m)

    def _anyhow(self, leave: Array, enter: Array) -> Transfer:
        """The shortest path wherever the drill may be, or as near to it as can be, without regard to arcs."""
        line = self._across.between((leave[0], leave[1]), (enter[0], enter[1]))
        inside = self._inside(shapely.get_coordinates(shapely.segmentize(line, 1.0)), grown_m=0.03)
        drive_s = line.length / self.room.rig.turn_speed_m_per_s
        return Transfer(line=line, length_m=line.length, drive_s=drive_s, inside=inside, with_arcs=False)

    def _backing(self, leave: Array, enter: Array) -> Transfer | None:
        """The quickest turn from one to the other, backing where that is allowed, if one fits."""
        rig = self.room.rig
        turn = turns_between(leave[None], enter[None], rig, self.room)
        if not turn.fits[0]:
            return None
        return Transfer(
            line=turn.paths.lines(drawing_step_m(rig.radius_m))[0],
            length_m=float(turn.paths.length_m[0]),
            drive_s=float(turn.turn_s[0]),
            reverse_m=float(turn.paths.reverse_m[0]),
        )

    def _about_along_m(self, leave: Array, enter: Array) -> Array:
        """At least so far it is along a lane from each place to the other, (n,); infinite without lanes."""
        if not len(self._lanes):
            return np.full(len(leave), np.inf)
        here, there = shapely.points(leave[:, :2]), shapely.points(enter[:, :2])
        away = shapely.distance(self._lanes[:, None], here) + shapely.distance(self._lanes[:, None], there)
        lane = self._lanes[away.argmin(axis=0)]
        apart = np.abs(shapely.line_locate_point(lane, here) - shapely.line_locate_point(lane, there))
        return np.asarray(away.min(axis=0) + np.minimum(apart, shapely.length(lane) - apart))

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

    def _along(self, leave: Array, enter: Array) -> Transfer | None:
        """The quicker of the two directions along a lane, if one fits."""
        if not len(self._lanes):
            return None
        here, there = Point(leave[:2]), Point(enter[:2])
        away = shapely.distance(self._lanes, here) + shapely.distance(self._lanes, there)
        lane = self._lanes[int(away.argmin())]
        both = (self._on(direction, leave, enter) for direction in (lane, shapely.reverse(lane)))
        return min((found for found in both if found), key=lambda found: found.drive_s, default=None)

    def _on(self, lane: LineString, leave: Array, enter: Array) -> Transfer | None:
        """The quickest transfer along a lane in its direction."""
        rig = self.room.rig
        at = [float(shapely.line_locate_point(lane, Point(pose[:2]))) for pose in (leave, enter)]
        joined_m, left_m = (
            at[0] + rig.radius_m * np.array(_JOIN_R),
            at[1] - rig.radius_m * np.array(_JOIN_R),
        )
        joins, leaves = _poses_on(lane, joined_m), _poses_on(lane, left_m)
        onto = self._forward(np.repeat(leave[None], len(joins), axis=0), joins)
        off = self._forward(leaves, np.repeat(enter[None], len(leaves), axis=0))
        tried = []
        for (i, first), (k, last) in product(enumerate(onto), enumerate(off)):
            run_m = (left_m[k] - joined_m[i]) % lane.length
            back_m = rig.radius_m * (_JOIN_R[i] + _JOIN_R[k])
            once_around = run_m > max(lane.length - 2 * back_m, lane.length / 2)
            if first is not None and last is not None and not once_around:
                total_s = first.drive_s + last.drive_s + run_m / rig.turn_speed_m_per_s
                tried.append((total_s, first, float(joined_m[i] % lane.length), float(run_m), last))
        if not tried:
            return None
        _, first, since_m, run_m, last = min(tried, key=lambda timed: timed[0])
        run = Transfer(
            line=LineString(_stretch_on(lane, since_m, run_m)),
            length_m=run_m,
            drive_s=run_m / rig.turn_speed_m_per_s,
        )
        return first.then([run, last])

    def _forward(self, starts: Array, ends: Array) -> list[Transfer | None]:
        """The shortest forward path of each pair, or nothing where it leads outside."""
        paths = shortest_paths(starts, ends, self.room.rig.radius_m)
        points, of = paths.points(drawing_step_m(self.room.rig.radius_m))
        inside = self._points_inside(points)
        drive_s = paths.length_m / self.room.rig.turn_speed_m_per_s
        return [
            Transfer(
                line=LineString(points[of == i]),
                length_m=float(paths.length_m[i]),
                drive_s=float(drive_s[i]),
            )
            if inside[of == i].all() and (of == i).sum() > 1
            else None
            for i in range(len(starts))
        ]

    def _inside(self, points: Array, grown_m: float = 0.0) -> bool:
        return bool(self._points_inside(points, grown_m).all())

    def _points_inside(self, points: Array, grown_m: float = 0.0) -> BoolArray:
        """Whether the drill may be at points: inside, or near the gate."""
        inside = self.room.contains(points)
        out = (~inside).nonzero()[0]
        if len(out):
            near = np.hypot(*(points[out] - self.gate_xy).T) <= 2 * self.room.rig.width_m
            if grown_m:
                near |= shapely.distance(shapely.points(points[out]), self.room.clear) <= grown_m
            inside[out] = near
        return inside


def seed_trips(coverage: Coverage, rig: Rig, seed_at: Point) -> SeedTrips:
    """How the drill is driven to where the seed stands and back."""
    seed = np.array([[seed_at.x, seed_at.y, np.nan]])
    transfers = Transfers(InsideFence(coverage.ground, rig, coverage.fenced), seed[0, :2])

    def of(line: LineString) -> tuple[Array, Array]:
        return poses(np.array([line], dtype=object))

    return SeedTrips(
        to_seed=lambda line: _leg(transfers.between(of(line)[1], seed)[0]),
        from_seed=lambda line: _leg(transfers.between(seed, of(line)[0])[0]),
    )


def _leg(found: Transfer) -> Leg:
    return transfer_leg(found, "transfer")


def transfer_leg(found: Transfer, kind: Literal["turn", "transfer"]) -> Leg:
    """The leg of a transfer; as a turn it is tight if the rig cannot drive it without shunting."""
    turn: TurnShape = "headland run" if found.with_arcs else "tight"
    shape: TurnShape = "outside" if not found.inside else turn if kind == "turn" else ""
    return Leg(
        kind=kind,
        line=shapely.segmentize(found.line, 1.0),
        length_m=found.length_m,
        shape=shape,
        reverse_m=found.reverse_m,
        drive_s=found.drive_s,
    )


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
