"""Transfers: driving lifted from one place of the field to another, with arcs that the rig can drive.

A lane runs all round inside the edge, a turning radius and half the drill's width from it, and round every
obstacle; none of its bends is tighter than the turning radius. A transfer joins it, runs along it and
leaves it, so that worked ground is crossed as little as may be. It goes straight across where that saves a
good share of the way.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.handling import handling
from fieldplan.coverage.necks import CUT_OFF_M
from fieldplan.coverage.room import TOLERANCE_M, InsideFence, clearance_m
from fieldplan.coverage.transfer import Forward, Part, Run, Transfer
from fieldplan.coverage.turns import straights_tried, turns_between, turns_found
from fieldplan.kernels.by_turns import Known, Opening, Tried, quickest_by_turns
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.lanes import ALONG, NONE, Found, Joining, quickest_transfers
from fieldplan.kernels.region import Region
from fieldplan.model.coverage import Array, BoolArray, IntArray
from fieldplan.plane.offsets import offset
from fieldplan.plane.paths import Paths

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

_LOOK_THROUGH_M, _LOOK_M = 2.0, 0.5
_IN_NECK = (0.5, 0.25, 0.75)
"""Where on the stretch of the shortest way through a neck a way with arcs may lead, as shares of it."""
_ON_EDGE_M = 0.1
_BACK_M = 0.5
_SHUNTS = 2
"""Changes of direction where the rig cannot drive a line without going back and forth: the fewest there can be."""
_PAIR = np.dtype((np.void, 7 * 8))
"""Two poses and whether a turn was looked for, as bytes."""


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
        """Where the middle of the drill may be: near the gate as near to the edge there as it likes, but not to obstacles
        or to an edge across from it.
        """
        if not self._has_gate:
            return self.room.region
        gate = Point(self.gate_xy)
        opening = gate.buffer(self.room.opening_m)
        if gate.distance(self.room.ground) <= TOLERANCE_M:
            opening = opening.intersection(offset(self.room.ground, _ON_EDGE_M))
        return Region.of(self.room.clear.union(self._off_others(opening)))

    def _off_others(self, opening: BaseGeometry) -> BaseGeometry:
        """The opening of the gate without what is too near to hard edges other than the one that it is in."""
        clear_m = clearance_m(self.room.rig)
        reach_m = self.room.opening_m + clear_m
        around = np.concatenate([self.gate_xy - reach_m, self.gate_xy + reach_m])
        edges = shapely.get_parts(
            shapely.line_merge(shapely.clip_by_rect(self.room.fenced.boundary, *around))
        )
        if len(edges) < 2:
            return opening
        others = np.delete(edges, shapely.distance(edges, Point(self.gate_xy)).argmin())
        return shapely.difference(opening, shapely.union_all(shapely.buffer(others, clear_m)))

    @cached_property
    def known(self) -> dict[bytes, Array]:
        """See `Room`."""
        return {}

    @cached_property
    def _has_gate(self) -> bool:
        return bool(np.isfinite(self.gate_xy).all())

    @property
    def _without_gate(self) -> Transfers:
        """Those over the same field that keep from every edge."""
        return transfers_at(self.room, np.full(2, np.nan))

    def between(self, leave: Array, enter: Array, no_turn: BoolArray | None = None) -> list[Transfer]:
        """Transfers from poses to poses, (n, 3) each; ``no_turn`` (n,) says where no turn fits, as far as known.

        An angle that is not a number leaves the heading open: so at the gate.
        """
        if not len(leave):
            return []
        no_turn = np.zeros(len(leave), dtype=bool) if no_turn is None else no_turn
        pairs = _keys(leave, enter, no_turn)
        new = np.array([i for i, pair in enumerate(pairs) if pair not in self._found], dtype=np.int64)
        if len(new):
            leave, enter, no_turn = leave[new], enter[new], no_turn[new]
            found = self._kept_in(self._between(leave, enter, no_turn), leave, enter, no_turn)
            self._found.update(zip([pairs[i] for i in new.tolist()], found, strict=True))
        return [self._found[pair] for pair in pairs]

    def _kept_in(
        self, found: list[Transfer], leave: Array, enter: Array, no_turn: BoolArray
    ) -> list[Transfer]:
        """What stands for a turn keeps clear of the gate's edges, too: it does not lead through the gate."""
        if not (self._has_gate and no_turn.any()):
            return found
        within_m = 3 * self.room.rig.width_m
        # no place of a line is nearer to the gate than half of what both ends are farther than it is long
        away_m = np.hypot(*(leave[:, :2] - self.gate_xy).T) + np.hypot(*(enter[:, :2] - self.gate_xy).T)
        length_m = np.array([one.length_m for one in found])
        gate, elsewhere = Point(self.gate_xy), self._without_gate
        out = [
            k
            for k in (no_turn & (away_m - length_m <= 2 * within_m + TOLERANCE_M)).nonzero()[0].tolist()
            if found[k].line.distance(gate) <= within_m
            if not elsewhere._inside(found[k].line, _LOOK_M)
        ]
        others = elsewhere.between(leave[out], enter[out], no_turn[out])
        for k, other in zip(out, others, strict=True):
            found[k] = other
        return found

    @cached_property
    def _found(self) -> dict[bytes, Transfer]:
        """Those found so far, by their poses: routes over one field have most of theirs in common."""
        return {}

    def _between(self, leave: Array, enter: Array, no_turn: BoolArray) -> list[Transfer]:
        found = self.driven(leave, enter, no_turn)
        return [
            transfer or self._anyhow(*ends)
            for transfer, *ends in zip(found, leave.tolist(), enter.tolist(), strict=True)
        ]

    def driven(self, leave: Array, enter: Array, no_turn: BoolArray) -> list[Transfer | None]:
        """As `between`, but only those with arcs that the rig can drive."""
        pairs = _keys(leave, enter, no_turn)
        new = [i for i, pair in enumerate(pairs) if pair not in self._driven]
        if new:
            leave, enter = leave[new], enter[new]
            starts, ends = self._headed(leave, enter), self._headed(enter, leave, arriving=True)
            found = self._with_arcs(starts, ends, no_turn[new])
            for i, transfer, start, end in zip(new, found, starts, ends, strict=True):
                self._driven[pairs[i]] = transfer or self._through(start, end)
        return [self._driven[pair] for pair in pairs]

    @cached_property
    def _driven(self) -> dict[bytes, Transfer | None]:
        """Those of `driven` found so far."""
        return {}

    def _with_arcs(self, starts: Array, ends: Array, no_turn: BoolArray) -> list[Transfer | None]:
        """Those that the rig can drive, across or along one lane."""
        found = self._searched(starts, ends, no_turn)
        transfers = self._forward(starts, ends, found)
        for k, turn in self._backing(starts, ends, (found.roundabout & ~no_turn).nonzero()[0]):
            if turn.drive_s < found.drive_s[k]:  # infinite if none was found
                transfers[k] = turn
        return [
            transfer or self._by_turns(starts[k], ends[k], int(found.lane[k]))
            for k, transfer in enumerate(transfers)
        ]

    def _through(self, start: Array, end: Array) -> Transfer | None:
        """The quickest way from lane to lane through the first neck that the shortest one leads through, if any."""
        neck = self.room.ways.first_neck(start, end)
        if neck is None or not self._inside(self.room.ways.between(start, end), _LOOK_THROUGH_M):
            return None
        ways = self._by_way_of(start, _poses_in(neck), end)
        if not ways:
            return None
        one, other = min(ways, key=lambda way: round(way[0].drive_s + way[1].drive_s, 3))
        return Transfer(
            parts=(LineString([*one.line.coords, *other.line.coords[1:]]),),
            length_m=one.length_m + other.length_m,
            drive_s=one.drive_s + other.drive_s,
            reverse_m=one.reverse_m + other.reverse_m,
        )

    def _by_way_of(self, start: Array, middles: Array, end: Array) -> list[tuple[Transfer, Transfer]]:
        """The ways from a pose to each of others, (n, 3), and on from there to a last one, where both are found.

        Where no turn off a lane to the last one was found, it is looked first which of them lead on.
        """
        n = len(middles)
        halves = [(np.tile(start, (n, 1)), middles), (middles, np.tile(end, (n, 1)))]
        found: list[list[Transfer | None]] = [[None] * n, [None] * n]
        led = np.arange(n)
        for half in (1, 0) if end.tobytes() in self._not_led_to else (0, 1):
            if len(led):
                starts, ends = halves[half]
                some = self._with_arcs(starts[led], ends[led], np.zeros(len(led), dtype=bool))
                for k, way in zip(led.tolist(), some, strict=True):
                    found[half][k] = way
                led = led[[way is not None for way in some]]
        return [(one, other) for one, other in zip(*found, strict=True) if one and other]

    def _searched(self, starts: Array, ends: Array, no_turn: BoolArray) -> Found:
        rig = self.room.rig
        # it takes two turns to use a lane
        stay_off_m = np.where(no_turn, 2 * rig.radius_m, 0.0)
        joining = Joining(
            rig.radius_m * np.array(_JOIN_R), _NEAR_R * rig.radius_m, ACROSS_SAVES_FRAC, ROUNDABOUT
        )
        lanes, region = self.room.lanes, self.region
        return quickest_transfers(
            numbers(starts), numbers(ends), stay_off_m, lanes, region, handling(rig), joining
        )

    def _by_turns(self, start: Array, end: Array, lane: int) -> Transfer | None:
        """The quickest way along a lane onto which the rig turns, and off again, backing where that is allowed."""
        rig, lanes = self.room.rig, self.room.lanes
        if lane < 0:
            return None
        start, end = numbers(start), numbers(end)
        known, elsewhere = (
            Known(one._turns_known(start, lane, onto=True), one._turns_known(end, lane, onto=False))
            for one in (self, self._without_gate)
        )
        in_vain = [np.isinf(turns[..., 0]).all(axis=1) for turns in known]
        if (in_vain[0] | in_vain[1]).all():
            return None
        tried = Tried(rig.radius_m * np.array(_TURNED_R), *straights_tried(rig))
        opening = Opening(float(self.gate_xy[0]), float(self.gate_xy[1]), self.room.opening_m)
        found = quickest_by_turns(
            start, end, lane, lanes, known, elsewhere, opening, tried, self.region, handling(rig)
        )
        if found.at < 0:
            if np.isinf(known.off[..., 0]).all():
                self._not_led_to.add(end.tobytes())
            return None
        turns = np.stack([known.onto[found.way, found.at], known.off[found.way, found.until]])
        onto, off = (
            Paths(pose[None], rig.radius_m, turn[None, 1:6], turn[None, 6:])
            for pose, turn in zip((start, found.left), turns, strict=True)
        )
        run = Run(lanes, lane, 1.0 - 2.0 * found.way, found.since_m, found.run_m)
        if self._bends_in(run):
            return None
        return Transfer(
            parts=(onto, run, off),
            length_m=float(found.run_m + sum(turn.length_m[0] for turn in (onto, off))),
            drive_s=found.drive_s,
            reverse_m=float(sum(turn.reverse_m[0] for turn in (onto, off))),
        )

    def _bends_in(self, run: Run) -> bool:
        """Whether a lane comes to a corner on a stretch."""
        at_m = self.room.lane_corners_m.get(run.lane)
        if at_m is None:
            return False
        around_m = run.lanes.station_m[run.lanes.first[run.lane + 1] - 1]
        return bool((run.sign * (at_m - run.since_m) % around_m < run.run_m).any())

    def _turns_known(self, pose: Array, lane: int, *, onto: bool) -> Array:
        """The turns from a pose onto a lane, or off it to one, that were looked for, as `Known` has them."""
        key = pose.tobytes(), lane, onto
        if key not in self._known_turns:
            self._known_turns[key] = np.full((2, len(_TURNED_R), 11), np.nan)
        return self._known_turns[key]

    @cached_property
    def _known_turns(self) -> dict[tuple[bytes, int, bool], Array]:
        """Those of `_turns_known`: many transfers lead to one place, and from it."""
        return {}

    @cached_property
    def _not_led_to(self) -> set[bytes]:
        """Poses to which no turn leads off the lane beside them, nor off the other way along it."""
        return set()

    def _forward(self, starts: Array, ends: Array, found: Found) -> list[Transfer | None]:
        """Those that lead across or along a lane."""
        rig, lanes = self.room.rig, self.room.lanes
        transfers: list[Transfer | None] = []
        for k, (how, drive_s) in enumerate(zip(found.how.tolist(), found.drive_s.tolist(), strict=True)):
            if how == NONE:
                transfers.append(None)
                continue
            parts: tuple[Part, ...] = (Forward(starts[k], ends[k], rig.radius_m),)
            if how == ALONG:
                run = Run(
                    lanes, int(found.lane[k]), found.sign[k], float(found.since_m[k]), float(found.run_m[k])
                )
                onto, off = (starts[k], found.joined[k]), (found.left[k], ends[k])
                if self._bends_in(run):
                    transfers.append(None)
                    continue
                parts = (Forward(*onto, rig.radius_m), run, Forward(*off, rig.radius_m))
            length_m = drive_s * rig.turn_speed_m_per_s
            transfers.append(Transfer(parts, length_m=length_m, drive_s=drive_s))
        return transfers

    def _anyhow(self, leave: list[float], enter: list[float]) -> Transfer:
        """The shortest path wherever the drill may be, without regard to arcs; where none leads there, one that leaves
        that ground only in necks too narrow for the drill, or else from part to part where they are nearest.
        """
        if leave[:2] == enter[:2]:  # drawn a little way back on what is sown: a line needs a length
            x, y, angle = leave
            back = [x - _BACK_M * float(np.cos(angle)), y - _BACK_M * float(np.sin(angle))]
            line, inside = LineString([[x, y], back, [x, y]]), True
        else:
            line = self.room.ways.between(leave, enter)
            inside = self._inside(line, 1.0)
        if not inside:
            line = self.room.ways.through_necks(leave, enter)
        return Transfer(
            (line,), line.length, self._shunted_s(line, leave, enter), inside=inside, with_arcs=False
        )

    def _shunted_s(self, line: LineString, leave: list[float], enter: list[float]) -> float:
        """The time of a line that bends tighter than the rig turns: no less than that of the quickest turn where no edge
        is in the way, and of going back and forth once.
        """
        rig, start, end = self.room.rig, np.array([leave]), np.array([enter])
        ends = self._headed(start, end), self._headed(end, start, arriving=True)
        free_s = float(turns_found(*ends, rig, self.room.unfenced)[0, 0])
        return max(line.length / rig.turn_speed_m_per_s, free_s) + _SHUNTS * rig.change_s

    def _backing(self, starts: Array, ends: Array, which: IntArray) -> Iterator[tuple[int, Transfer]]:
        """Of some pairs the quickest turn, backing where that is allowed, where one fits."""
        if not len(which):
            return
        turns = turns_between(starts[which], ends[which], self.room.rig, self)
        length_m, reverse_m = turns.paths.length_m.tolist(), turns.paths.reverse_m.tolist()
        for i in turns.fits.nonzero()[0].tolist():
            turn, drive_s = turns.paths.only(slice(i, i + 1)), float(turns.turn_s[i])
            yield int(which[i]), Transfer((turn,), length_m[i], drive_s, reverse_m=reverse_m[i])

    def _headed(self, poses: Array, others: Array, arriving: bool = False) -> Array:
        """The poses, (n, 3), with a heading: at the gate, straight into the field or out of it."""
        headed = numbers(poses)
        for k in np.isnan(headed[:, 2]).nonzero()[0].tolist():
            headed = headed.copy() if headed is poses else headed
            inward = self.room.inward(headed[k, :2])
            if not np.hypot(*inward) > TOLERANCE_M:
                inward = others[k, :2] - headed[k, :2]
            headed[k, 2] = np.arctan2(inward[1], inward[0]) + (np.pi if arriving else 0.0)
        return headed

    def _inside(self, line: LineString, step_m: float) -> bool:
        """Whether the drill may be all along a line, to within what a way round corners may cut off."""
        points = shapely.get_coordinates(shapely.segmentize(line, step_m))
        out = points[~self.region.contains(points)]
        return bool((shapely.distance(shapely.points(out), self.room.clear) <= CUT_OFF_M).all())


def _keys(leave: Array, enter: Array, no_turn: BoolArray) -> list[bytes]:
    """Bytes that tell pairs of poses and whether a turn was looked for, (n,)."""
    pairs = np.hstack([leave, enter, no_turn[:, None]])
    return list(pairs.view(_PAIR)[:, 0].tolist())


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
