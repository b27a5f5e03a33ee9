"""What is driven lifted along a route: before each sown line, and after the last one.

Its times are numbers; lines are drawn for the legs of a route that is kept.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from shapely import LineString, Point

from fieldplan.coverage.go_by import legs_round
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.tracks import Tracks
from fieldplan.coverage.transfer import Transfer
from fieldplan.coverage.transfers import transfers_at
from fieldplan.coverage.turns import Turns, turns_between
from fieldplan.model.coverage import Array, BoolArray, IntArray, Leg
from fieldplan.plane.paths import drawing_step_m

_NOWHERE_M = 1e-6
"""A way or a turn no longer than this is none."""
_AHEAD = float(np.cos(np.radians(5)))
"""A line that begins where the last one ends and leads no farther off its direction is driven right on."""


@dataclass(frozen=True, slots=True)
class Lifted:
    """What leads to each of n - 1 sown lines, and home from the last one.

    Parameters
    ----------
    turns, turn_to
        (k) turns that fit, and to which line each leads.
    transfers
        Others, by the line that they lead to, and whether they stand for a turn.
    drawn
        Straight lifts over gaps and ways round obstacles, as legs.
    between
        (n, 2) the block, 0 between blocks, and the sowing of each.
    """

    turns: Turns
    turn_to: IntArray
    transfers: dict[int, tuple[Transfer, Literal["turn", "transfer"]]]
    drawn: dict[int, Leg]
    between: IntArray

    @property
    def is_turn(self) -> BoolArray:
        """Which of them are turns, (n,)."""
        turns = np.zeros(len(self.between), dtype=bool)
        turns[self.turn_to] = True
        for i, (_, kind) in self.transfers.items():
            turns[i] = kind == "turn"
        for i, leg in self.drawn.items():
            turns[i] = leg.kind == "turn"
        return turns

    @property
    def n_turns(self) -> int:
        """How many of them are turns."""
        return int(self.is_turn.sum())

    def driven_s(self, rig: Rig) -> Array:
        """The time of each, (n,); 0 where nothing is driven."""
        each_s = np.zeros(len(self.between))
        each_s[self.turn_to] = self.turns.turn_s + rig.turn_extra_s
        for i, (found, kind) in self.transfers.items():
            each_s[i] = lifted_s(kind, found.length_m, found.drive_s, rig)
        for i, leg in self.drawn.items():
            each_s[i] = lifted_s(leg.kind, leg.length_m, leg.drive_s, rig)
        return each_s

    def legs(self) -> dict[int, Leg]:
        """The legs, by the line that they lead to."""
        legs = self._turn_legs() | self.drawn
        for i, (found, kind) in self.transfers.items():
            legs[i] = found.leg(kind, *self.between[i].tolist())
        return legs

    def _turn_legs(self) -> dict[int, Leg]:
        turns, paths = self.turns, self.turns.paths
        lines = paths.lines(drawing_step_m(paths.radius_m))
        between = self.between[self.turn_to].tolist()
        columns = turns.shapes, paths.length_m.tolist(), paths.reverse_m.tolist(), turns.turn_s.tolist()
        return {
            i: Leg(
                kind="turn",
                line=line,
                length_m=length_m,
                block=block,
                sowing=sowing,
                shape=shape,
                reverse_m=reverse_m if shape == "backing" else 0.0,
                drive_s=drive_s,
            )
            for i, (block, sowing), line, shape, length_m, reverse_m, drive_s in zip(
                self.turn_to.tolist(), between, lines, *columns, strict=True
            )
        }

    def at_gate(self, into: Transfer, out: Transfer) -> Lifted:
        """The same with other ways from the gate and back to it."""
        last = len(self.between) - 1
        transfers = {i: found for i, found in self.transfers.items() if 0 < i < last}
        for i, found in ((0, into), (last, out)):
            if found.length_m > _NOWHERE_M:
                transfers[i] = found, "transfer"
        return replace(self, transfers=transfers)


def lifted_s(kind: str, length_m: float, drive_s: float, rig: Rig) -> float:
    """Time of what is driven lifted: its own if it has one, else its length at the turning speed."""
    extra_s = rig.turn_extra_s if kind == "turn" else 0.0
    return (drive_s or length_m / rig.turn_speed_m_per_s) + extra_s


def lifted_between(layout: Layout, tracks: Tracks, gate: Point, rig: Rig) -> Lifted:
    """What joins sown lines: a straight lift over a gap, a way round an obstacle, a turn, or a transfer."""
    room, between, n = layout.room, _between(tracks), len(tracks.enter)
    leave, enter = np.empty((n + 1, 3)), np.empty((n + 1, 3))
    leave[0] = enter[n] = gate.x, gate.y, np.nan
    leave[1:], enter[:n] = tracks.leave, tracks.enter
    drawn = _round_obstacles(layout, tracks, between, rig)
    open_yet, by_turn = np.ones(n + 1, dtype=bool), np.zeros(n + 1, dtype=bool)
    open_yet[list(drawn)] = False
    wanted = _turns_wanted(tracks, rig)
    wanted = wanted[open_yet[wanted]]
    by_turn[wanted] = True
    turns = turns_between(leave[wanted], enter[wanted], rig, room)
    kept = ((turns.paths.length_m > _NOWHERE_M) & turns.fits).nonzero()[0]
    open_yet[wanted[kept]] = False
    rest = open_yet.nonzero()[0]
    rest = rest[_led_on(leave[rest], enter[rest])]
    for i in rest[rest < n][tracks.over_gap[rest[rest < n]]].tolist():
        line = LineString([leave[i, :2], enter[i, :2]])
        if room.spans(line):
            block, sowing = between[i].tolist()
            drawn[i] = Leg(kind="transfer", line=line, length_m=line.length, block=block, sowing=sowing)
            open_yet[i] = False
    rest = rest[open_yet[rest]]
    as_turn = by_turn[rest]
    found = transfers_at(room, leave[0, :2]).between(leave[rest], enter[rest], as_turn)
    kinds: list[Literal["turn", "transfer"]] = ["turn" if turn else "transfer" for turn in as_turn.tolist()]
    transfers = dict(zip(rest.tolist(), zip(found, kinds, strict=True), strict=True))
    return Lifted(turns.only(kept), wanted[kept], transfers, drawn, between)


def _led_on(leave: Array, enter: Array) -> BoolArray:
    """Whether the rig has to be moved or turned between poses, (n, 3) each: at the gate any heading will do."""
    moved = (np.abs(leave[:, :2] - enter[:, :2]) > _NOWHERE_M).any(axis=1)
    return np.asarray(moved | (np.cos(leave[:, 2] - enter[:, 2]) < _AHEAD))


def _round_obstacles(layout: Layout, tracks: Tracks, between: IntArray, rig: Rig) -> dict[int, Leg]:
    """The ways round obstacles that are gone by, by the number of the track behind."""
    found = legs_round(tracks.leave[:-1], tracks.enter[1:], layout.depths.gone_by, rig, layout.room)
    return {
        i + 1: replace(leg, block=int(between[i + 1, 0]), sowing=int(between[i + 1, 1]))
        for i, leg in found.items()
    }


def _between(tracks: Tracks) -> IntArray:
    """The block and the sowing of what leads to each track, and of what leads home, (n, 2): 0 is between blocks."""
    between = np.zeros((len(tracks.block) + 1, 2), dtype=np.int64)
    between[1:-1, 0] = np.where(tracks.block[1:] == tracks.block[:-1], tracks.block[1:], 0)
    between[:-1, 1], between[-1, 1] = tracks.sowing, tracks.sowing[-1]
    return between


def _turns_wanted(tracks: Tracks, rig: Rig) -> IntArray:
    """The tracks onto which the rig turns: those that begin near where the last one ends, or that are of its
    column.
    """
    column, part, enter, leave = tracks.column, tracks.part, tracks.enter, tracks.leave
    near = np.hypot(*(enter[1:, :2] - leave[:-1, :2]).T) <= rig.turn_reach_m
    same = (column[1:] == column[:-1]) & (column[1:] >= 0) & (part[1:] == part[:-1])
    return np.asarray(((near | same) & ~tracks.over_gap[1:]).nonzero()[0] + 1)
