"""The route from gate to gate: headland, passes, turns and transfers as one ordered list of legs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Point

from fieldplan.coverage.apart import Visit, orders_of_visits
from fieldplan.coverage.columns import column_of
from fieldplan.coverage.gate import SownLines, likely_gates
from fieldplan.coverage.go_by import legs_round
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.poses import ends_of, poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.search import Ends, passes_searched
from fieldplan.coverage.sequence import InTurn, SegmentsInTurn, passes_in_turn, segments_in_order
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import transfers_at
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
from fieldplan.plane.paths import drawing_step_m
from fieldplan.plane.ragged import firsts, members

_NOWHERE_M = 1e-6
"""A way or a turn no longer than this is none."""


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

    @property
    def sown(self) -> SownLines:
        """Poses and lengths alone."""
        return SownLines(self.enter, self.leave, shapely.length(self.lines))

    @classmethod
    def joined(cls, parts: Sequence[_Tracks]) -> _Tracks:
        """All parts, one after the other."""
        arrays = {
            field.name: np.concatenate([getattr(part, field.name) for part in parts])
            for field in fields(cls)
        }
        arrays["part"], _ = members(np.array([len(part.lines) for part in parts]))
        return cls(**arrays)


class Route(NamedTuple):
    """The legs of a route in driving order, its gate, the place, (2,), near which sowing was to begin, ``None`` if that
    was the gate, or the first segment, and in which of the orders of `orders_of_visits` parts are driven.
    """

    legs: tuple[Leg, ...] = ()
    gate: Point = Point()
    begun_near: Array | None = None
    order: int = 0


def route(
    layout: Layout, sowings: tuple[Sowing, ...], rig: Rig, begun_near: Array | None = None, order: int = 0
) -> Route:
    """The route through all sowings, from the gate and back to it.

    Without a gate it is the corner of the outline from which this order takes about the least time.

    Parameters
    ----------
    sowings
        At least one of them must have a swath.
    begun_near
        (2,) where sowing starts; by default near the gate or, without one, at the first segment.
    """
    tracks, gate = _tracks(layout, sowings, rig, begun_near, order), layout.site.gate
    if gate is None:
        gate = Point(likely_gates(layout, tracks.sown)[0])
    return Route(tuple(_legs(layout, tracks, gate, rig)), gate, begun_near, order)


def in_other_orders(
    layout: Layout, sowings: tuple[Sowing, ...], rig: Rig, driven: Route
) -> Iterator[Route]:
    """A route with the parts of the field in other orders; none where it has one part."""
    for order in range(len(_orders(layout, sowings, driven.begun_near))):
        if order != driven.order:
            yield route(layout, sowings, rig, driven.begun_near, order)


def in_searched_order(layout: Layout, sowings: tuple[Sowing, ...], rig: Rig, driven: Route) -> Route:
    """A route with its passes in the order that the turns which fit take the least time in, as far as found."""
    tracks = _tracks(layout, sowings, rig, driven.begun_near, driven.order, searched_to=driven.gate)
    if np.array_equal(tracks.enter, SownLines.of(driven.legs).enter):
        return driven
    return driven._replace(legs=tuple(_legs(layout, tracks, driven.gate, rig)))


def sown_in_order(layout: Layout, sowings: tuple[Sowing, ...], rig: Rig, begun_near: Array) -> SownLines:
    """The sown lines of a route that is begun near a place, (2,)."""
    return _tracks(layout, sowings, rig, begun_near).sown


def from_gate(layout: Layout, driven: Route, gate: Point) -> Route:
    """The same route with another gate."""
    first, last = (
        next(i for i, leg in enumerate(some) if leg.sown) for some in (driven.legs, driven.legs[::-1])
    )
    sown = driven.legs[first : len(driven.legs) - last]
    enter, leave = poses(np.array([sown[0].line, sown[-1].line], dtype=object))
    at_gate = np.array([[gate.x, gate.y, np.nan]])
    found = transfers_at(layout.room, at_gate[0, :2]).between(
        np.concatenate([at_gate, leave[1:]]), np.concatenate([enter[:1], at_gate])
    )
    into, out = (
        [way.leg("transfer", 0, leg.sowing)] if way.length_m > _NOWHERE_M else []
        for way, leg in zip(found, (sown[0], sown[-1]), strict=True)
    )
    return driven._replace(legs=(*into, *sown, *out), gate=gate)


def _orders(layout: Layout, sowings: tuple[Sowing, ...], begun_near: Array | None) -> list[list[Visit]]:
    """The orders of visits to the parts of a field from its gate, or from where sowing is to begin."""
    site = layout.site
    kinds: tuple[LegKind, LegKind] = ("headland", "pass")
    if not site.working.headland_first:
        kinds = ("pass", "headland")
    here = site.gate_xy if begun_near is None else begun_near
    return orders_of_visits(sowings, kinds, layout.room, here)


def _tracks(
    layout: Layout,
    sowings: tuple[Sowing, ...],
    rig: Rig,
    begun_near: Array | None,
    order: int = 0,
    *,
    searched_to: Point | None = None,
) -> _Tracks:
    """The sown lines of all sowings; each visit to a part of the field begins near where the one before ended.

    Passes are ordered by what their turns take where they lie if it is known to which gate the last ones lead.
    """
    here = layout.site.gate_xy if begun_near is None else begun_near
    visits = _orders(layout, sowings, begun_near)[order]
    leave = None if here is None else np.array([*here, np.nan])
    driven: list[_Tracks] = []
    for visit in visits:
        number, part, kind = visit
        if kind == "pass" and searched_to is not None:
            ordered = _searching(layout, rig, leave, searched_to, at_last=visit is visits[-1])
            tracks = _passes(part, number, ordered)
        elif kind == "pass":
            tracks = _passes(part, number, partial(passes_in_turn, here=here, rig=rig))
        elif layout.headland_first and part.headland is layout.rounds and not driven and begun_near is None:
            tracks = _headland(layout.headland_first, number)
        else:
            tracks = _headland(segments_in_order(part.headland, here), number)
        if len(tracks.lines):
            driven.append(tracks)
            leave = tracks.leave[-1]
            here = leave[:2]
    return _Tracks.joined(driven)


def _searching(
    layout: Layout, rig: Rig, leave: Array | None, gate: Point, *, at_last: bool
) -> Callable[[Array, IntArray], InTurn]:
    """How passes are ordered that are come to from a pose, and left for the gate if they are the last."""
    home = np.array([gate.x, gate.y, np.nan])
    around, transfers = Ends(leave, home if at_last else None), transfers_at(layout.room, home[:2])
    return partial(passes_searched, around=around, rig=rig, transfers=transfers)


def route_s(legs: Sequence[Leg], rig: Rig) -> float:
    """Time to drive a route: Σ sown length / field speed + Σ lifted length / turning speed + time per turn.

    The time per turn is `Rig.turn_extra_s`, once for each turn.
    """
    return sum(leg_s(leg, rig) for leg in legs)


def leg_s(leg: Leg, rig: Rig) -> float:
    """Time to drive a leg: see `route_s`."""
    if leg.sown:
        return leg.length_m / rig.field_speed_m_per_s
    extra_s = rig.turn_extra_s if leg.kind == "turn" else 0.0
    return (leg.drive_s or leg.length_m / rig.turn_speed_m_per_s) + extra_s


def _headland(segments: SegmentsInTurn, number: int) -> _Tracks:
    n = len(segments.lines)
    return _Tracks.of(
        "headland", segments.lines, np.zeros(n, dtype=np.int64), np.full(n, -1), segments.over_gap, number
    )


def _passes(sowing: Sowing, number: int, ordered: Callable[[Array, IntArray], InTurn]) -> _Tracks:
    """The passes of all blocks, run by run, in the order that is found for their ends and columns."""
    lines = Swaths.of(block.runs for block in sowing.blocks).lines
    runs = np.concatenate(
        [np.zeros(0, dtype=np.int64), *(np.bincount(block.pass_of) for block in sowing.blocks)]
    )
    first = firsts(runs)
    last = first + runs - 1
    ends = np.stack([ends_of(lines[first])[:, 0], ends_of(lines[last])[:, 1]], axis=1)
    driven = ordered(ends, _columns(sowing.blocks, ends[..., :2]))
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
        station_m = block.stations_m(ends[first_pass : first_pass + block.n_passes])
        strip = block.strip[block.pass_of.searchsorted(np.arange(block.n_passes))]
        columns.append(first_column + column_of(strip, *station_m.T))
        first_pass += block.n_passes
        first_column = int(columns[-1].max()) + 1
    return np.concatenate(columns)


def _legs(layout: Layout, tracks: _Tracks, gate: Point, rig: Rig) -> Iterator[Leg]:
    """The tracks with what joins them: a straight lift over a gap, a turn, or a transfer."""
    length_m = shapely.length(tracks.lines).tolist()
    block, over_gap, of_sowing = tracks.block.tolist(), tracks.over_gap.tolist(), tracks.sowing.tolist()
    joints = _joints(layout.room, tracks, gate, rig) | _round_obstacles(layout, tracks, rig)
    numbers = dict.fromkeys(SOWING_KINDS, 0)
    for i, (line, kind) in enumerate(zip(tracks.lines, tracks.kind, strict=True)):
        if i in joints:
            yield joints[i]
        numbers[kind] += int(not over_gap[i])
        number = numbers[kind]
        yield Leg(
            kind=kind, line=line, length_m=length_m[i], block=block[i], sowing=of_sowing[i], number=number
        )
    if len(block) in joints:
        yield joints[len(block)]


def _joints(room: InsideFence, tracks: _Tracks, gate: Point, rig: Rig) -> dict[int, Leg]:
    """What is driven lifted before each track, and after the last one, by the number of the track."""
    at_gate = np.array([[gate.x, gate.y, np.nan]])
    leave, enter = np.concatenate([at_gate, tracks.leave]), np.concatenate([tracks.enter, at_gate])
    apart = (np.abs(leave[:, :2] - enter[:, :2]) > _NOWHERE_M).any(axis=1)
    over_gap = np.concatenate([tracks.over_gap, [False]])
    straight = {
        i: LineString([leave[i, :2], enter[i, :2]]) for i in (apart & over_gap).nonzero()[0].tolist()
    }
    between = _between(tracks)
    joints = {i: _lifted(line, *between[i]) for i, line in straight.items() if room.spans(line)}
    wanted = _turns_wanted(tracks, rig)
    turns = turns_between(leave[wanted], enter[wanted], rig, room)
    lines = turns.paths.lines(drawing_step_m(rig.radius_m))
    shapes, fits, drive_s = turns.shapes, turns.fits.tolist(), turns.turn_s.tolist()
    length_m, reverse_m = turns.paths.length_m.tolist(), turns.paths.reverse_m.tolist()
    for k, i in enumerate(wanted.tolist()):
        if length_m[k] > _NOWHERE_M and fits[k]:
            block, sowing = between[i]
            joints[i] = Leg(
                kind="turn",
                line=lines[k],
                length_m=length_m[k],
                block=block,
                sowing=sowing,
                shape=shapes[k],
                reverse_m=reverse_m[k] if shapes[k] == "backing" else 0.0,
                drive_s=drive_s[k],
            )
    rest = np.array([i for i in apart.nonzero()[0].tolist() if i not in joints], dtype=np.int64)
    no_turn = np.isin(rest, wanted)
    transfers = transfers_at(room, at_gate[0, :2]).between(leave[rest], enter[rest], no_turn)
    for i, found, as_turn in zip(rest.tolist(), transfers, no_turn.tolist(), strict=True):
        joints[i] = found.leg("turn" if as_turn else "transfer", *between[i])
    return joints


def _between(tracks: _Tracks) -> list[tuple[int, int]]:
    """The block and the sowing of what leads to each track, and of what leads home: 0 is between blocks."""
    block = np.concatenate([[0], np.where(tracks.block[1:] == tracks.block[:-1], tracks.block[1:], 0), [0]])
    return list(zip(block.tolist(), [*tracks.sowing.tolist(), int(tracks.sowing[-1])], strict=True))


def _round_obstacles(layout: Layout, tracks: _Tracks, rig: Rig) -> dict[int, Leg]:
    """The ways round obstacles that are gone by, by the number of the track behind."""
    found = legs_round(tracks.leave[:-1], tracks.enter[1:], layout.depths.gone_by, rig, layout.room)
    between = _between(tracks) if found else []
    return {
        i + 1: replace(leg, block=between[i + 1][0], sowing=between[i + 1][1]) for i, leg in found.items()
    }


def _lifted(line: LineString, block: int, sowing: int) -> Leg:
    return Leg(kind="transfer", line=line, length_m=line.length, block=block, sowing=sowing)


def _turns_wanted(tracks: _Tracks, rig: Rig) -> IntArray:
    """The tracks onto which the rig turns: those that begin near where the last one ends, or that are of its
    column.
    """
    column, part, enter, leave = tracks.column, tracks.part, tracks.enter, tracks.leave
    near = np.hypot(*(enter[1:, :2] - leave[:-1, :2]).T) <= rig.turn_reach_m
    same = (column[1:] == column[:-1]) & (column[1:] >= 0) & (part[1:] == part[:-1])
    return np.asarray(((near | same) & ~tracks.over_gap[1:]).nonzero()[0] + 1)
