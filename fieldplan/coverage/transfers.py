"""Transfers: driving lifted from one place of the field to another, with arcs that the rig can drive.

A lane runs all round inside the edge, a turning radius and half the drill's width from it, and round every
obstacle; none of its bends is tighter than the turning radius. A transfer joins it, runs along it and
leaves it, so that worked ground is crossed as little as may be. It goes straight across where that saves a
good share of the way.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Point

from fieldplan.coverage.handling import handling
from fieldplan.coverage.room import TOLERANCE_M, InsideFence, clearance_m
from fieldplan.coverage.transfer import Part, Run, Transfer
from fieldplan.coverage.turns import straights_tried, turns_between
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.lanes import (
    ALONG,
    NONE,
    Found,
    Joining,
    Known,
    Tried,
    lane_beside,
    quickest_by_turns,
    quickest_transfers,
)
from fieldplan.kernels.region import Region
from fieldplan.model.coverage import Array, BoolArray, IntArray
from fieldplan.plane.offsets import offset
from fieldplan.plane.paths import Paths, shortest_paths
from fieldplan.plane.travel import Place

ACROSS_SAVES_FRAC = 0.2
"""A transfer goes across worked ground only if that saves this share of the distance along the edge."""
ROUNDABOUT = 2.0
"""A turn is looked for where a transfer is so many times as long as the straight way and a circle."""
_JOIN_R = (0.5, 1.5, 3.0, 5.0)
"""Where the lane is joined and left, counted from the nearest point of it, in turning radii."""
_TURNED_R = (-2.0, 0.0, *_JOIN_R)
"""The same where the rig turns onto it and off."""
_NEAR_R = 4.0
"""Transfers no longer than so many turning radii go straight."""

_LOOK_THROUGH_M = 2.0
_IN_NECK = (0.5, 0.25, 0.75)
"""Where on the stretch of the shortest way through a neck a way with arcs may lead, as shares of it."""
_BESIDE = 1.5
"""The shortest way on the ground passes a part of the room if it is no farther from it than so many clearances."""
_CUT_OFF_M = 0.03
_ON_EDGE_M = 0.1


@dataclass(frozen=True)
class Transfers:
    """Transfers over the ground of one field.

    Parameters
    ----------
    gate_xy
        The gate, (2,): an opening, within two widths of which the edge may be near. Not numbers if there is none.
    """

    room: InsideFence
    gate_xy: Array

    @cached_property
    def region(self) -> Region:
        """Where the middle of the drill may be: near the gate as near to the edge as it likes."""
        if not np.isfinite(self.gate_xy).all():
            return self.room.region
        gate = Point(self.gate_xy)
        opening = gate.buffer(self.room.opening_m)
        if gate.distance(self.room.ground) <= TOLERANCE_M:
            opening = opening.intersection(offset(self.room.ground, _ON_EDGE_M))
        return Region.of(self.room.clear.union(opening))

    @cached_property
    def known(self) -> dict[bytes, Array]:
        """See `Room`."""
        return {}

    def between(self, leave: Array, enter: Array, no_turn: BoolArray | None = None) -> list[Transfer]:
        """Transfers from poses to poses, (n, 3) each; ``no_turn`` (n,) says where no turn fits, as far as known.

        An angle that is not a number leaves the heading open: so at the gate.
        """
        no_turn = np.zeros(len(leave), dtype=bool) if no_turn is None else no_turn
        pairs = [pair.tobytes() for pair in np.column_stack([leave, enter, no_turn])]
        new = np.array([i for i, pair in enumerate(pairs) if pair not in self._found], dtype=np.int64)
        if len(new):
            found = self._between(leave[new], enter[new], no_turn[new])
            found = [
                self._kept_in(*one) for one in zip(found, leave[new], enter[new], no_turn[new], strict=True)
            ]
            self._found.update(zip([pairs[i] for i in new.tolist()], found, strict=True))
        return [self._found[pair] for pair in pairs]

    def _kept_in(self, found: Transfer, leave: Array, enter: Array, no_turn: bool) -> Transfer:
        """What stands for a turn keeps clear of the gate's edges, too, where the rig can drive that."""
        if not no_turn or not np.isfinite(self.gate_xy).all():
            return found
        at = Point(self.gate_xy)
        if found.line.distance(at) > 3 * self.room.rig.width_m:
            return found
        kept_in = transfers_at(self.room, np.full(2, np.nan))
        (other,) = kept_in.between(leave[None], enter[None], np.array([True]))
        return other if other.inside and other.with_arcs else found

    @cached_property
    def _found(self) -> dict[bytes, Transfer]:
        """Those found so far, by their poses: routes over one field have most of theirs in common."""
        return {}

    def _between(self, leave: Array, enter: Array, no_turn: BoolArray) -> list[Transfer]:
        starts = np.array([self._headed(*pair) for pair in zip(leave, enter[:, :2], strict=True)])
        ends = np.array(
            [self._headed(*pair, arriving=True) for pair in zip(enter, leave[:, :2], strict=True)]
        )
        found = zip(self._with_arcs(starts, ends, no_turn), starts, ends, strict=True)
        return [
            transfer or self._through(start, end) or self._anyhow(start, end)
            for transfer, start, end in found
        ]

    def _with_arcs(self, starts: Array, ends: Array, no_turn: BoolArray) -> list[Transfer | None]:
        """Those that the rig can drive, across or along one lane."""
        rig = self.room.rig
        found = self._searched(starts, ends, no_turn)
        transfers = self._forward(starts, ends, found)
        none = found.how == NONE
        straight_m = np.hypot(*(ends - starts)[:, :2].T) + 2 * np.pi * rig.radius_m
        roundabout = found.drive_s * rig.turn_speed_m_per_s > ROUNDABOUT * straight_m
        for k, turn in zip(
            *self._backing(starts, ends, ((none | roundabout) & ~no_turn).nonzero()[0]), strict=True
        ):
            if none[k] or turn.drive_s < found.drive_s[k]:
                transfers[k] = turn
        pairs = zip(transfers, starts, ends, strict=True)
        return [transfer or self._by_turns(start, end) for transfer, start, end in pairs]

    def _through(self, start: Array, end: Array) -> Transfer | None:
        """The quickest way from lane to lane through the first neck that the shortest one leads through, if any."""
        line = self.room.travel.between((float(start[0]), float(start[1])), (float(end[0]), float(end[1])))
        neck = self._first_neck(line)
        if neck is None or not self._inside(
            shapely.get_coordinates(shapely.segmentize(line, _LOOK_THROUGH_M))
        ):
            return None
        middles = _poses_in(neck)
        n, none = len(middles), np.zeros(len(middles), dtype=bool)
        there = self._with_arcs(np.tile(start, (n, 1)), middles, none)
        led = np.array([k for k in range(n) if there[k]], dtype=np.int64)
        on = self._with_arcs(middles[led], np.tile(end, (len(led), 1)), none[led])
        pairs = zip([one for one in there if one], on, strict=True)
        ways = [(one, other) for one, other in pairs if other]
        if not ways:
            return None
        one, other = min(ways, key=lambda way: round(way[0].drive_s + way[1].drive_s, 3))
        return Transfer(
            parts=(LineString([*one.line.coords, *other.line.coords[1:]]),),
            length_m=one.length_m + other.length_m,
            drive_s=one.drive_s + other.drive_s,
            reverse_m=one.reverse_m + other.reverse_m,
        )

    def _first_neck(self, line: LineString) -> LineString | None:
        """The first stretch of a line that leads from one part of the deep ground to another; ``None`` if there is
        none.
        """
        parts = shapely.get_parts(self.room.deep)
        if len(parts) < 2:
            return None
        stretches = shapely.get_parts(shapely.difference(line, self.room.deep))
        ends = shapely.points([one.coords[k] for one in stretches for k in (0, -1)]).reshape(-1, 2)
        away_m = shapely.distance(ends[..., None], parts)
        leads_on = (away_m.min(axis=2) < _CUT_OFF_M).all(axis=1) & np.not_equal(*away_m.argmin(axis=2).T)
        return stretches[leads_on.argmax()] if leads_on.any() else None

    def _searched(self, starts: Array, ends: Array, no_turn: BoolArray) -> Found:
        rig = self.room.rig
        # it takes two turns to use a lane
        stay_off_m = np.where(no_turn, 2 * rig.radius_m, 0.0)
        joining = Joining(rig.radius_m * np.array(_JOIN_R), _NEAR_R * rig.radius_m, ACROSS_SAVES_FRAC)
        lanes, region = self.room.lanes, self.region
        return quickest_transfers(
            numbers(starts), numbers(ends), stay_off_m, lanes, region, handling(rig), joining
        )

    def _by_turns(self, start: Array, end: Array) -> Transfer | None:
        """The quickest way along a lane onto which the rig turns, and off again, backing where that is allowed."""
        rig, lanes = self.room.rig, self.room.lanes
        start, end = numbers(start), numbers(end)
        lane = int(lane_beside(start, end, lanes))
        if lane < 0:
            return None
        tried = Tried(rig.radius_m * np.array(_TURNED_R), *straights_tried(rig))
        known = Known(self._turns_known(start, lane, onto=True), self._turns_known(end, lane, onto=False))
        found = quickest_by_turns(start, end, lane, lanes, known, tried, self.region, handling(rig))
        if found.at < 0:
            return None
        turns = np.stack([known.onto[found.way, found.at], known.off[found.way, found.until]])
        onto, off = (
            Paths(pose[None], rig.radius_m, turn[None, 1:6], turn[None, 6:])
            for pose, turn in zip((start, found.left), turns, strict=True)
        )
        run = Run(lanes, lane, 1.0 - 2.0 * found.way, found.since_m, found.run_m)
        return Transfer(
            parts=(onto, run, off),
            length_m=float(found.run_m + sum(turn.length_m[0] for turn in (onto, off))),
            drive_s=found.drive_s,
            reverse_m=float(sum(turn.reverse_m[0] for turn in (onto, off))),
        )

    def _turns_known(self, pose: Array, lane: int, *, onto: bool) -> Array:
        """The turns from a pose onto a lane, or off it to one, that were looked for, as `Known` has them."""
        key = (pose.tobytes(), lane, onto)
        return self._known_turns.setdefault(key, np.full((2, len(_TURNED_R), 11), np.nan))

    @cached_property
    def _known_turns(self) -> dict[tuple[bytes, int, bool], Array]:
        """Those of `_turns_known`: many transfers lead to one place, and from it."""
        return {}

    def _forward(self, starts: Array, ends: Array, found: Found) -> list[Transfer | None]:
        """Those that lead across or along a lane."""
        rig, lanes = self.room.rig, self.room.lanes
        along = found.how == ALONG
        first = shortest_paths(starts, np.where(along[:, None], found.joined, ends), rig.radius_m)
        last = shortest_paths(found.left, ends, rig.radius_m)
        transfers: list[Transfer | None] = []
        for k, (how, drive_s) in enumerate(zip(found.how.tolist(), found.drive_s.tolist(), strict=True)):
            this = slice(k, k + 1)
            parts: tuple[Part, ...] = (first.only(this),)
            if how == ALONG:
                run = Run(
                    lanes, int(found.lane[k]), found.sign[k], float(found.since_m[k]), float(found.run_m[k])
                )
                parts = (*parts, run, last.only(this))
            length_m = drive_s * rig.turn_speed_m_per_s
            transfers.append(None if how == NONE else Transfer(parts, length_m=length_m, drive_s=drive_s))
        return transfers

    def _anyhow(self, leave: Array, enter: Array) -> Transfer:
        """The shortest path wherever the drill may be, without regard to arcs; where none leads there, one that leaves
        that ground only in necks too narrow for the drill, or else from part to part where they are nearest.
        """
        ends = (float(leave[0]), float(leave[1])), (float(enter[0]), float(enter[1]))
        line = self.room.travel.between(*ends)
        inside = self._inside(shapely.get_coordinates(shapely.segmentize(line, 1.0)))
        if not inside:
            line = self._through_necks(*ends)
        drive_s = line.length / self.room.rig.turn_speed_m_per_s
        return Transfer((line,), line.length, drive_s, inside=inside, with_arcs=False)

    def _through_necks(self, leave: Place, enter: Place) -> LineString:
        """The way through the necks of the shortest one on the ground: between them the drill stays inside."""
        on_ground, parts = self.room.travel_on_ground, np.asarray(self.room.clear.geoms, dtype=object)
        points = shapely.get_coordinates(shapely.segmentize(on_ground.between(leave, enter), 1.0))
        away_m = shapely.distance(parts[:, None], shapely.points(points))
        beside = (away_m.min(axis=0, initial=np.inf) <= _BESIDE * clearance_m(self.room.rig)).nonzero()[0]
        part, here, ways = away_m[:, beside].argmin(axis=0).tolist(), leave, list[LineString]()
        for k, some in groupby(
            zip(part, shapely.points(points[beside]), strict=True), key=lambda one: one[0]
        ):
            passed = [place for _, place in some]
            enters, leaves = (
                shapely.shortest_line(parts[k], place).coords[0] for place in (passed[0], passed[-1])
            )
            ways += [on_ground.between(here, enters), self.room.travel.between(enters, leaves)]
            here = leaves
        ways.append(on_ground.between(here, enter))
        line: LineString = shapely.remove_repeated_points(LineString(shapely.get_coordinates(ways)))
        return line

    def _backing(self, starts: Array, ends: Array, which: IntArray) -> tuple[IntArray, list[Transfer]]:
        """Of some pairs the quickest turn, backing where that is allowed, where one fits."""
        turns = turns_between(starts[which], ends[which], self.room.rig, self)
        length_m, reverse_m = turns.paths.length_m.tolist(), turns.paths.reverse_m.tolist()
        some = turns.fits.nonzero()[0]
        return which[some], [
            Transfer(
                parts=(turns.paths.only(slice(i, i + 1)),),
                length_m=length_m[i],
                drive_s=float(turns.turn_s[i]),
                reverse_m=reverse_m[i],
            )
            for i in some.tolist()
        ]

    def _headed(self, pose: Array, other: Array, arriving: bool = False) -> Array:
        """The pose with a heading: at the gate, straight into the field or out of it."""
        if np.isfinite(pose[2]):
            return pose
        inward = self._inward(pose[:2])
        if not np.hypot(*inward) > TOLERANCE_M:
            inward = other - pose[:2]
        return np.array([*pose[:2], np.arctan2(inward[1], inward[0]) + (np.pi if arriving else 0.0)])

    def _inward(self, place: Array) -> Array:
        """The shortest way from a place, (2,), to where lanes are."""
        key = place.tobytes()
        if key not in self._ways_inward:
            way = shapely.shortest_line(shapely.Point(place), self._deep)
            self._ways_inward[key] = shapely.get_coordinates(way)[-1] - place
        return self._ways_inward[key]

    @cached_property
    def _ways_inward(self) -> dict[bytes, Array]:
        """Those that were looked for: most lead from the gate."""
        return {}

    @cached_property
    def _deep(self) -> shapely.Geometry:
        lanes = self.room.lanes
        if not len(lanes.points):
            return self.room.ground.centroid
        lane = np.repeat(np.arange(len(lanes.first) - 1), np.diff(lanes.first))
        return MultiLineString(list(np.asarray(shapely.linestrings(lanes.points, indices=lane))))

    def _inside(self, points: Array) -> bool:
        """Whether the drill may be at all points, to within what a way round corners may cut off."""
        out = points[~self.region.contains(points)]
        return bool((shapely.distance(shapely.points(out), self.room.clear) <= _CUT_OFF_M).all())


def _poses_in(neck: LineString) -> Array:
    """Where a way may lead through a neck, (n, 3): along it there, and as the neck leads as a whole."""
    at_m, look_m = neck.length * np.array(_IN_NECK), min(_LOOK_THROUGH_M, neck.length / 4)
    back, place, on = (
        shapely.get_coordinates(shapely.line_interpolate_point(neck, at_m + ahead_m))
        for ahead_m in (-look_m, 0.0, look_m)
    )
    whole = np.tile(np.subtract(neck.coords[-1], neck.coords[0]), (len(at_m), 1))
    step = np.concatenate([on - back, whole])
    return np.column_stack([np.tile(place, (2, 1)), np.arctan2(step[:, 1], step[:, 0])])


def transfers_at(room: InsideFence, gate_xy: Array) -> Transfers:
    """Transfers over a field with a gate at a place, (2,): the same ones whenever it is asked for."""
    return room.transfers.setdefault(gate_xy.tobytes(), Transfers(room, gate_xy))
