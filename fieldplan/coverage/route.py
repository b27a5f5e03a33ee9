"""The route from gate to gate: headland, passes, turns and transfers as one ordered list of legs."""

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
"""A transfer or a turn no longer than this is left out."""
_Joints = dict[int, tuple[LineString, float]]
"""Line and length in meters of what leads to a track, by the index of that track."""


@dataclass(frozen=True, slots=True)
class _Tracks:
    """Sown lines in driving order and direction, (n,) each.

    ``column`` is -1 on the headland. ``over_gap`` is true for a line that continues a pass after a gap.
    ``part`` counts the headlands and the sets of passes in driving order. ``enter`` and ``leave``, (n, 3),
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
        """The tracks of one part, with the poses at which each is entered and left."""
        enter, leave = poses(lines)
        zeros = np.zeros(len(lines), dtype=np.int64)
        return cls(
            kind=np.full(len(lines), kind, dtype=object),
            lines=lines,
            block=block,
            column=column,
            over_gap=over_gap,
            sowing=zeros + sowing,
            part=zeros,
            enter=enter,
            leave=leave,
        )

    @classmethod
    def joined(cls, parts: Sequence[_Tracks]) -> _Tracks:
        """All parts, one after the other."""
        arrays = {
            field.name: np.concatenate([getattr(part, field.name) for part in parts])
            for field in fields(cls)
        }
        arrays["part"], _ = members(np.array([len(part.lines) for part in parts]))
        return cls(**arrays)


def route(layout: Layout, sowings: tuple[Sowing, ...], rig: Rig) -> tuple[tuple[Leg, ...], Point]:
    """The route through all sowings, from the gate and back to it.

    Parameters
    ----------
    sowings
        At least one of them must have a swath.

    Returns
    -------
    legs
        Every leg in driving order.
    gate
        The gate of the site. If it has none, the corner of the outline that is nearest, there and back, to
        where sowing starts and ends.
    """
    tracks, gate = _tracks(layout, sowings, rig), layout.site.gate
    if gate is None:
        corners = gates_of(layout.around)
        first, last = tracks.enter[0, :2], tracks.leave[-1, :2]
        distance_m = np.hypot(*(corners - first).T) + np.hypot(*(corners - last).T)
        gate = Point(corners[int(distance_m.argmin())])
    return tuple(_legs(layout.around, tracks, gate, rig)), gate


def _tracks(layout: Layout, sowings: tuple[Sowing, ...], rig: Rig) -> _Tracks:
    """The sown lines of all sowings; each part starts near where the one before ended."""
    site = layout.site
    here = site.gate_xy
    driven: list[_Tracks] = []
    for number, sowing in enumerate(sowings, start=1):
        for part in ("headland", "passes") if site.working.headland_first else ("passes", "headland"):
            if part == "passes":
                tracks = _passes(sowing, number, here, rig)
            elif number == 1 and not driven and layout.headland_first is not None:
                tracks = _headland(layout.headland_first, number)
            else:
                tracks = _headland(segments_in_order(sowing.headland, here), number)
            if len(tracks.lines):
                driven.append(tracks)
                here = tracks.leave[-1, :2]
    return _Tracks.joined(driven)


def route_s(legs: Sequence[Leg], rig: Rig) -> float:
    """Time to drive a route: Σ sown length / field speed + Σ lifted length / turning speed + time per turn.

    The time per turn is `Rig.turn_extra_s`, once for each turn.
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
    # from passes to runs: a pass driven backward has its runs in reverse, too
    position, nth = members(runs[driven.order])
    order, backward = driven.order[position], driven.backward[position]
    run = np.where(backward, first[order] + runs[order] - 1 - nth, first[order] + nth)
    block = np.repeat([block.block for block in sowing.blocks], [block.n_passes for block in sowing.blocks])
    return _Tracks.of(
        "pass",
        np.where(backward, shapely.reverse(lines[run]), lines[run]),
        block[order],
        driven.column[position],
        nth > 0,
        number,
    )


def _columns(blocks: Sequence[Block], ends: Array) -> IntArray:
    """The column of each pass, (n,), counted on from block to block."""
    columns, first_pass, first_column = [np.zeros(0, dtype=np.int64)], 0, 0
    for block in blocks:
        block_ends = ends[first_pass : first_pass + block.n_passes]
        along = block.along
        strip = block.strip[block.pass_of.searchsorted(np.arange(block.n_passes))]
        columns.append(first_column + column_of(strip, block_ends[:, 0] @ along, block_ends[:, 1] @ along))
        first_pass += block.n_passes
        first_column = int(columns[-1].max()) + 1
    return np.concatenate(columns)


def _legs(ground: MultiPolygon, tracks: _Tracks, gate: Point, rig: Rig) -> Iterator[Leg]:
    """The tracks, each after the turn or the transfer that leads to it, then the transfer to the gate."""
    length_m = shapely.length(tracks.lines).tolist()
    block, over_gap, of_sowing = tracks.block.tolist(), tracks.over_gap.tolist(), tracks.sowing.tolist()
    turns = _turns(ground, tracks, rig)
    paths = _paths(ground, tracks, gate, turns)
    numbers = dict.fromkeys(SOWING_KINDS, 0)
    for i, (line, kind) in enumerate(zip(tracks.lines, tracks.kind, strict=True)):
        sowing = of_sowing[i]
        if i in turns:
            turn, turn_m = turns[i]
            # a turn from one block to another belongs to neither
            turn_block = block[i] if block[i] == block[i - 1] else 0
            yield Leg(kind="turn", line=turn, length_m=turn_m, block=turn_block, sowing=sowing)
        elif i in paths:
            path, path_m = paths[i]
            path_block = block[i] if over_gap[i] else 0
            yield Leg(kind="transfer", line=path, length_m=path_m, block=path_block, sowing=sowing)
        numbers[kind] += int(not over_gap[i])
        number = numbers[kind]
        yield Leg(kind=kind, line=line, length_m=length_m[i], block=block[i], sowing=sowing, number=number)
    if len(block) in paths:
        path, path_m = paths[len(block)]
        yield Leg(kind="transfer", line=path, length_m=path_m, sowing=of_sowing[-1])


def _paths(ground: MultiPolygon, tracks: _Tracks, gate: Point, turns: _Joints) -> _Joints:
    """The transfer to each track that no turn leads to, and from the last track to the gate.

    It is straight over a gap in a pass, and keeps to the ground everywhere else. The gate counts as the
    track after the last one.
    """
    gate_xy = [[gate.x, gate.y]]
    start = np.concatenate([gate_xy, tracks.leave[:, :2]])
    end = np.concatenate([tracks.enter[:, :2], gate_xy])
    turned = np.zeros(len(start), dtype=bool)
    turned[list(turns)] = True
    which = (~turned & (np.abs(start - end) > _NOWHERE_M).any(axis=1)).nonzero()[0]
    gap = np.concatenate([tracks.over_gap, [False]])[which]
    lines = np.asarray(shapely.linestrings(np.stack([start[which], end[which]], axis=1)), dtype=object)
    lines[~gap] = TravelPaths(ground).all_between(start[which[~gap]], end[which[~gap]])
    length_m: list[float] = shapely.length(lines).tolist()
    return dict(zip(which.tolist(), zip(lines, length_m, strict=True), strict=True))


def _turns(ground: MultiPolygon, tracks: _Tracks, rig: Rig) -> _Joints:
    """The turn to each track that starts near the end of the last one, or in the same column.

    In the same column but farther than `Rig.turn_reach_m`, the turn counts only if it stays within
    2R + w of the ground; if not, a transfer joins the two.
    """
    column, part, enter, leave = tracks.column, tracks.part, tracks.enter, tracks.leave
    near = np.hypot(*(enter[1:, :2] - leave[:-1, :2]).T) <= rig.turn_reach_m
    same = (column[1:] == column[:-1]) & (column[1:] >= 0) & (part[1:] == part[:-1])
    wanted = ((near | same) & ~tracks.over_gap[1:]).nonzero()[0]
    if len(wanted) == 0:
        return {}
    turns = turns_between(leave[wanted], enter[wanted + 1], rig)
    used = near[wanted] & (turns.length_m > _NOWHERE_M)
    for k in (~near[wanted]).nonzero()[0]:
        off_m = shapely.distance(ground, shapely.points(shapely.get_coordinates(turns.lines[k])))
        used[k] = off_m.max() <= 2 * rig.radius_m + rig.width_m
    track, lines, length_m = wanted[used] + 1, turns.lines[used], turns.length_m[used]
    return dict(zip(track.tolist(), zip(lines, length_m.tolist(), strict=True), strict=True))
