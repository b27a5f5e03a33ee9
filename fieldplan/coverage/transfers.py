"""Transfers: driving lifted from one place of the field to another, with arcs that the rig can drive.

A lane runs all round inside the edge, a turning radius and half the drill's width from it, and round every
obstacle; none of its bends is tighter than the turning radius. A transfer joins it, runs along it and
leaves it, so that worked ground is crossed as little as may be. It goes straight across where that saves a
good share of the way.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Point

from fieldplan.coverage.handling import LOOK_M, handling
from fieldplan.coverage.room import TOLERANCE_M, InsideFence
from fieldplan.coverage.turns import moved, turns_between
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.lanes import ALONG, NONE, Found, Joining, quickest_transfers
from fieldplan.kernels.region import Region, inside, sees
from fieldplan.model.coverage import Array, BoolArray, IntArray, Leg, Lines, TurnShape
from fieldplan.plane.offsets import offset
from fieldplan.plane.paths import drawing_step_m, shortest_paths

ACROSS_SAVES_FRAC = 0.2
"""A transfer goes across worked ground only if that saves this share of the distance along the edge."""
ROUNDABOUT = 2.0
"""A turn is looked for where a transfer is so many times as long as the straight way and a circle."""
_JOIN_R = (0.5, 1.5, 3.0, 5.0)
"""Where the lane is joined and left, counted from the nearest point of it, in turning radii."""
_BACK_R = (0.0, 0.5, 1.0, 2.0)
"""How far the drill may be backed before a transfer, and after it, in turning radii."""
_NEAR_R = 4.0
"""Transfers no longer than so many turning radii go straight."""

_CUT_OFF_M = 0.03
_ON_EDGE_M = 0.1


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
    def region(self) -> Region:
        """Where the middle of the drill may be: near the gate as near to the edge as it likes."""
        gate = Point(self.gate_xy)
        opening = gate.buffer(2 * self.room.rig.width_m - LOOK_M)
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
            self._found.update(zip([pairs[i] for i in new.tolist()], found, strict=True))
        return [self._found[pair] for pair in pairs]

    @cached_property
    def _found(self) -> dict[bytes, Transfer]:
        """Those found so far, by their poses: routes over one field have most of theirs in common."""
        return {}

    def _between(self, leave: Array, enter: Array, no_turn: BoolArray) -> list[Transfer]:
        rig = self.room.rig
        starts = np.array([self._headed(*pair) for pair in zip(leave, enter[:, :2], strict=True)])
        ends = np.array(
            [self._headed(*pair, arriving=True) for pair in zip(enter, leave[:, :2], strict=True)]
        )
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
        return [
            transfer or self._backed_first(start, end, at_once) or self._anyhow(start, end)
            for transfer, start, end, at_once in zip(transfers, starts, ends, no_turn.tolist(), strict=True)
        ]

    def _searched(self, starts: Array, ends: Array, no_turn: BoolArray) -> Found:
        rig = self.room.rig
        # it takes two turns to use a lane
        stay_off_m = np.where(no_turn, 2 * rig.radius_m, 0.0)
        joining = Joining(rig.radius_m * np.array(_JOIN_R), _NEAR_R * rig.radius_m, ACROSS_SAVES_FRAC)
        lanes, region = self.room.lanes, self.region
        return quickest_transfers(
            numbers(starts), numbers(ends), stay_off_m, lanes, region, handling(rig), joining
        )

    def _backed_first(self, start: Array, end: Array, no_turn: bool) -> Transfer | None:
        """The quickest way that begins with backing off, or ends with backing in, straight along the lines."""
        rig = self.room.rig
        if rig.reverse == "never":
            return None
        back_m = rig.radius_m * np.array(np.meshgrid(_BACK_R, _BACK_R)).reshape(2, -1).T[1:]
        starts = moved(start[None], -back_m[:, :1])[:, 0]
        ends = moved(end[None], back_m[:, 1:])[:, 0]
        found = self._searched(starts, ends, np.full(len(starts), no_turn))
        n_changes = 2 * (back_m > 0).sum(axis=1)
        more_s = back_m.sum(axis=1) / rig.backing_speed_m_per_s + n_changes * rig.change_s
        straight = np.array([self._spans(*pair) for pair in ((start, starts), (ends, end))]).all(axis=0)
        total_s = np.where(straight, found.drive_s + more_s, np.inf)
        best = int(total_s.argmin())
        forward = self._forward(starts, ends, found)[best]
        if forward is None or not np.isfinite(total_s[best]):
            return None
        line = LineString([start[:2], *forward.line.coords, end[:2]])
        reverse_m = float(back_m[best].sum())
        length_m = forward.length_m + reverse_m
        return Transfer(line=line, length_m=length_m, drive_s=float(total_s[best]), reverse_m=reverse_m)

    def _spans(self, one: Array, other: Array) -> BoolArray:
        """Whether the drill can be driven straight from poses to poses, (n,)."""
        return np.array(
            [
                inside(self.region, *a) and inside(self.region, *b) and sees(self.region, *a, *b)
                for a, b in zip(*np.broadcast_arrays(one[..., :2], other[..., :2]), strict=True)
            ]
        )

    def _forward(self, starts: Array, ends: Array, found: Found) -> list[Transfer | None]:
        """Those that lead across or along a lane."""
        rig = self.room.rig
        along = found.how == ALONG
        lines = self._lines(starts, np.where(along[:, None], found.joined, ends))
        off = np.zeros(len(starts), dtype=object)
        off[along] = self._lines(found.left[along], ends[along])
        transfers: list[Transfer | None] = []
        for k, how in enumerate(found.how.tolist()):
            line = lines[k]
            if how == ALONG:
                line = LineString(np.vstack([line.coords, self._run(found, k), off[k].coords]))
            length_m = float(found.drive_s[k]) * rig.turn_speed_m_per_s
            transfers.append(
                None
                if how == NONE
                else Transfer(line=line, length_m=length_m, drive_s=float(found.drive_s[k]))
            )
        return transfers

    def _lines(self, starts: Array, ends: Array) -> Lines:
        radius_m = self.room.rig.radius_m
        return shortest_paths(starts, ends, radius_m).lines(drawing_step_m(radius_m))

    def _run(self, found: Found, k: int) -> Array:
        """The vertices of the lane between where it is joined and where it is left, (m, 2)."""
        lanes, lane = self.room.lanes, found.lane[k]
        own = slice(lanes.first[lane], lanes.first[lane + 1])
        ahead_m = found.sign[k] * (lanes.station_m[own] - found.since_m[k]) % lanes.station_m[own][-1]
        order = ahead_m.argsort(kind="stable")
        return np.asarray(
            lanes.points[own][order[(ahead_m[order] > 0) & (ahead_m[order] < found.run_m[k])]]
        )

    def _anyhow(self, leave: Array, enter: Array) -> Transfer:
        """The shortest path wherever the drill may be, without regard to arcs; where none leads there, that on the
        ground, through necks too narrow for the drill, or else from part to part where they are nearest.
        """
        ends = (float(leave[0]), float(leave[1])), (float(enter[0]), float(enter[1]))
        line = self.room.travel.between(*ends)
        inside = self._inside(shapely.get_coordinates(shapely.segmentize(line, 1.0)))
        if not inside:
            line = self.room.travel_on_ground.between(*ends)
        drive_s = line.length / self.room.rig.turn_speed_m_per_s
        return Transfer(line=line, length_m=line.length, drive_s=drive_s, inside=inside, with_arcs=False)

    def _backing(self, starts: Array, ends: Array, which: IntArray) -> tuple[IntArray, list[Transfer]]:
        """Of some pairs the quickest turn, backing where that is allowed, where one fits."""
        rig = self.room.rig
        turns = turns_between(starts[which], ends[which], rig, self)
        lines = turns.paths.lines(drawing_step_m(rig.radius_m))
        length_m, reverse_m = turns.paths.length_m, turns.paths.reverse_m
        some = turns.fits.nonzero()[0]
        return which[some], [
            Transfer(
                line=lines[i],
                length_m=float(length_m[i]),
                drive_s=float(turns.turn_s[i]),
                reverse_m=float(reverse_m[i]),
            )
            for i in some.tolist()
        ]

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
        lanes = self.room.lanes
        if not len(lanes.points):
            return self.room.ground.centroid
        lane = np.repeat(np.arange(len(lanes.first) - 1), np.diff(lanes.first))
        return MultiLineString(list(np.asarray(shapely.linestrings(lanes.points, indices=lane))))

    def _inside(self, points: Array) -> bool:
        """Whether the drill may be at all points, to within what a way round corners may cut off."""
        out = points[~self.region.contains(points)]
        return bool((shapely.distance(shapely.points(out), self.room.clear) <= _CUT_OFF_M).all())


def transfers_at(room: InsideFence, gate_xy: Array) -> Transfers:
    """Transfers over a field with a gate at a place, (2,): the same ones whenever it is asked for."""
    return room.transfers.setdefault(gate_xy.tobytes(), Transfers(room, gate_xy))


def transfer_leg(found: Transfer, kind: Literal["turn", "transfer"]) -> Leg:
    """The leg of a transfer; it is tight if the rig cannot drive it without shunting."""
    shape: TurnShape = "headland run" if kind == "turn" else ""
    if not found.inside:
        shape = "outside"
    elif not found.with_arcs:
        shape = "tight"
    return Leg(
        kind=kind,
        line=shapely.segmentize(found.line, 1.0),
        length_m=found.length_m,
        shape=shape,
        reverse_m=found.reverse_m,
        drive_s=found.drive_s,
    )
