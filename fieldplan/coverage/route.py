"""The drive from gate to gate: sides, passes, turns and transfers as one ordered list of legs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point

from fieldplan.coverage.columns import column_of
from fieldplan.coverage.layout import Layout, gates_of
from fieldplan.coverage.poses import poses
from fieldplan.coverage.sequence import passes_in_turn, segments_in_order
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.model.coverage import (
    SOWING_KINDS,
    Array,
    Block,
    BoolArray,
    IntArray,
    Leg,
    LegKind,
    Lines,
    Sowing,
    Swaths,
)
from fieldplan.plane.ragged import firsts, members
from fieldplan.plane.travel import TravelPaths

_NOWHERE_M = 1e-6
"""A way or a turn no longer than this is none."""
_Joints = dict[int, tuple[LineString, float]]
"""Lines with their length by the number of the track that they lead to."""


@dataclass(frozen=True, slots=True)
class _Tracks:
    """Sown lines, (n,), in driving order and as driven; ``column`` is -1 on the headland, ``over_gap`` goes
    on with a pass.

    ``part`` counts headlands and lots of passes as one follows the other. ``enter`` and ``leave``, (n, 3),
    are poses: x, y and the direction of the first and the last step.
    """

    kind: Lines
    lines: Lines
    block: IntArray
    column: IntArray
    over_gap: BoolArray
    sowing: IntArray
    part: IntArray
    enter: Array
    leave: Array

    @classmethod
    def of(
        cls,
        kind: LegKind,
        lines: Lines,
        block: IntArray,
        column: IntArray,
        over_gap: BoolArray,
        sowing: int,
    ) -> _Tracks:
        """The tracks of one part, with where each is entered and left."""
        n, none = len(lines), np.zeros(len(lines), dtype=np.int64)
        return cls(
            np.full(n, kind, dtype=object),
            lines,
            block,
            column,
            over_gap,
            none + sowing,
            none,
            *poses(lines),
        )

    @classmethod
    def joined(cls, parts: Sequence[_Tracks]) -> _Tracks:
        """All parts, one after the other."""
        whole = {
            member.name: np.concatenate([getattr(part, member.name) for part in parts])
            for member in fields(cls)
        }
        number, _ = members(np.array([len(part.lines) for part in parts]))
        return cls(**{**whole, "part": number})


def route(layout: Layout, sowings: tuple[Sowing, ...], rig: Rig) -> tuple[tuple[Leg, ...], Point]:
    """Every leg of the drive, from the gate through all sowings and back to the gate, and the gate.

    Without a gate, the corner of the outline with the least way to where sowing starts and from where it
    ends is taken.
    """
    site = layout.site
    here = site.gate_xy
    driven: list[_Tracks] = []
    for number, sowing in enumerate(sowings, start=1):
        for part in ("headland", "passes") if site.working.headland_first else ("passes", "headland"):
            if part == "passes":
                tracks = _passes(sowing, number, here, rig)
            else:
                known = layout.headland_first if number == 1 and not driven else None
                tracks = _headland(
                    segments_in_order(sowing.headland, here) if known is None else known, number
                )
            if len(tracks.lines):
                driven.append(tracks)
                here = tracks.leave[-1, :2]
    tracks, gate = _Tracks.joined(driven), site.gate
    if gate is None:
        corners = gates_of(layout.around)
        first, last = tracks.enter[0, :2], tracks.leave[-1, :2]
        away = np.hypot(*(corners - first).T) + np.hypot(*(corners - last).T)
        gate = Point(corners[int(away.argmin())])
    return tuple(_legs(layout.around, tracks, gate, rig)), gate


def route_s(legs: Sequence[Leg], rig: Rig) -> float:
    """Time to drive: sown legs at field speed, the others at turning speed, and what each turn takes
    besides.
    """
    sown_m = sum(leg.length_m for leg in legs if leg.sown)
    lifted_m = sum(leg.length_m for leg in legs if not leg.sown)
    turns = sum(leg.kind == "turn" for leg in legs)
    return sown_m / rig.field_speed_m_per_s + lifted_m / rig.turn_speed_m_per_s + turns * rig.turn_extra_s


def _headland(lines: Lines, number: int) -> _Tracks:
    n = len(lines)
    return _Tracks.of(
        "headland", lines, np.zeros(n, dtype=np.int64), np.full(n, -1), np.zeros(n, dtype=bool), number
    )


def _passes(sowing: Sowing, number: int, here: Array | None, rig: Rig) -> _Tracks:
    """The passes of all blocks, run by run."""
    lines = Swaths.of(block.runs for block in sowing.blocks).lines
    runs = np.concatenate(
        [np.zeros(0, dtype=np.int64), *(np.bincount(block.pass_of) for block in sowing.blocks)]
    )
    first = firsts(runs)
    points = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    ends = np.stack([points[first, 0], points[first + runs - 1, 1]], axis=1)
    driven = passes_in_turn(ends, _columns(sowing.blocks, ends), here, rig)
    one, nth = members(runs[driven.order])
    order, backward = driven.order[one], driven.backward[one]
    run = np.where(backward, first[order] + runs[order] - 1 - nth, first[order] + nth)
    block = np.repeat([block.block for block in sowing.blocks], [block.n_passes for block in sowing.blocks])
    return _Tracks.of(
        "pass",
        np.where(backward, shapely.reverse(lines[run]), lines[run]),
        block[order],
        driven.column[one],
        nth > 0,
        number,
    )


def _columns(blocks: Sequence[Block], ends: Array) -> IntArray:
    """The column of each pass, counted on from block to block."""
    columns, done, before = [np.zeros(0, dtype=np.int64)], 0, 0
    for block in blocks:
        own = ends[done : done + block.n_passes]
        along = block.along
        strip = block.strip[block.pass_of.searchsorted(np.arange(block.n_passes))]
        columns.append(before + column_of(strip, own[:, 0] @ along, own[:, 1] @ along))
        done += len(own)
        before = int(columns[-1].max()) + 1
    return np.concatenate(columns)


def _legs(ground: MultiPolygon, tracks: _Tracks, gate: Point, rig: Rig) -> Iterator[Leg]:
    """The tracks with what joins them: a straight lift over a gap, a turn, or a transfer that keeps to the
    ground.
    """
    length_m = shapely.length(tracks.lines).tolist()
    block, over_gap, of_sowing = tracks.block.tolist(), tracks.over_gap.tolist(), tracks.sowing.tolist()
    turns = _turns(ground, tracks, rig)
    paths = _paths(ground, tracks, gate, turns)
    numbers = dict.fromkeys(SOWING_KINDS, 0)
    for i, (line, kind) in enumerate(zip(tracks.lines, tracks.kind, strict=True)):
        sowing = of_sowing[i]
        if i in turns:
            turn, turn_m = turns[i]
            yield Leg(
                kind="turn",
                line=turn,
                length_m=turn_m,
                block=block[i] if block[i] == block[i - 1] else 0,
                sowing=sowing,
            )
        elif i in paths:
            path, path_m = paths[i]
            yield Leg(
                kind="transfer",
                line=path,
                length_m=path_m,
                block=block[i] if over_gap[i] else 0,
                sowing=sowing,
            )
        numbers[kind] += int(not over_gap[i])
        number = numbers[kind]
        yield Leg(kind=kind, line=line, length_m=length_m[i], block=block[i], sowing=sowing, number=number)
    if len(block) in paths:
        path, path_m = paths[len(block)]
        yield Leg(kind="transfer", line=path, length_m=path_m, sowing=of_sowing[-1])


def _paths(ground: MultiPolygon, tracks: _Tracks, gate: Point, turns: _Joints) -> _Joints:
    """The way onto each track that no turn leads to, straight over gaps, and from the last one to the
    gate.
    """
    at_gate = [[gate.x, gate.y]]
    start, end = (
        np.concatenate([at_gate, tracks.leave[:, :2]]),
        np.concatenate([tracks.enter[:, :2], at_gate]),
    )
    turned = np.zeros(len(start), dtype=bool)
    turned[list(turns)] = True
    which = (~turned & (np.abs(start - end) > _NOWHERE_M).any(axis=1)).nonzero()[0]
    gap = np.concatenate([tracks.over_gap, [False]])[which]
    lines = np.asarray(shapely.linestrings(np.stack([start[which], end[which]], axis=1)), dtype=object)
    lines[~gap] = TravelPaths(ground).all_between(start[which[~gap]], end[which[~gap]])
    length_m: list[float] = shapely.length(lines).tolist()
    return dict(zip(which.tolist(), zip(lines, length_m, strict=True), strict=True))


def _turns(ground: MultiPolygon, tracks: _Tracks, rig: Rig) -> _Joints:
    """The turn onto each track that begins near where the last one ends, or that is of its column and a
    turn reaches on the field.
    """
    column, part, enter, leave = tracks.column, tracks.part, tracks.enter, tracks.leave
    near = np.hypot(*(enter[1:, :2] - leave[:-1, :2]).T) <= rig.turn_reach_m
    same = (column[1:] == column[:-1]) & (column[1:] >= 0) & (part[1:] == part[:-1])
    wanted = ((near | same) & ~tracks.over_gap[1:]).nonzero()[0]
    if len(wanted) == 0:
        return {}
    made = turns_between(leave[wanted], enter[wanted + 1], rig)
    reached = near[wanted] & (made.length_m > _NOWHERE_M)
    for k in (~near[wanted]).nonzero()[0]:
        away_m = shapely.distance(ground, shapely.points(shapely.get_coordinates(made.lines[k])))
        reached[k] = away_m.max() <= 2 * rig.radius_m + rig.width_m
    onto, lines, length_m = wanted[reached] + 1, made.lines[reached], made.length_m[reached]
    return dict(zip(onto.tolist(), zip(lines, length_m.tolist(), strict=True), strict=True))
