"""The sown lines of a route in driving order and direction."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import partial

import numpy as np
import shapely
from shapely import Point

from fieldplan.coverage.apart import Visit, orders_of_visits
from fieldplan.coverage.columns import column_of
from fieldplan.coverage.gate import SownLines
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.poses import ends_of, poses
from fieldplan.coverage.search import Ends, passes_searched
from fieldplan.coverage.sequence import InTurn, SegmentsInTurn, passes_in_turn, segments_in_order
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import transfers_at
from fieldplan.model.coverage import (
    Array,
    Block,
    BoolArray,
    IntArray,
    LegKind,
    Lines,
    Sowing,
    Swaths,
)
from fieldplan.plane.ragged import firsts, members


@dataclass(frozen=True, slots=True)
class Tracks:
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
    length_m: Array

    @classmethod
    def of(
        cls,
        kind: LegKind,
        lines: Lines,
        block: IntArray,
        column: IntArray,
        over_gap: BoolArray,
        sowing: int,
    ) -> Tracks:
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
            length_m=shapely.length(lines),
        )

    @property
    def sown(self) -> SownLines:
        """Poses and lengths alone."""
        return SownLines(self.enter, self.leave, self.length_m)

    @classmethod
    def joined(cls, parts: Sequence[Tracks]) -> Tracks:
        """All parts, one after the other."""
        arrays = {
            field.name: np.concatenate([getattr(part, field.name) for part in parts])
            for field in fields(cls)
        }
        arrays["part"], _ = members(np.array([len(part.lines) for part in parts]))
        return cls(**arrays)


def orders_of(layout: Layout, sowings: tuple[Sowing, ...], begun_near: Array | None) -> list[list[Visit]]:
    """The orders of visits to the parts of a field from its gate, or from where sowing is to begin."""
    site = layout.site
    kinds: tuple[LegKind, LegKind] = ("headland", "pass")
    if not site.working.headland_first:
        kinds = ("pass", "headland")
    here = site.gate_xy if begun_near is None else begun_near
    return orders_of_visits(sowings, kinds, layout.room, here)


def tracks_of(
    layout: Layout,
    sowings: tuple[Sowing, ...],
    rig: Rig,
    begun_near: Array | None,
    order: int = 0,
    *,
    searched_to: Point | None = None,
) -> Tracks:
    """The sown lines of all sowings; each visit to a part of the field begins near where the one before ended.

    Passes are ordered by what their turns take where they lie if it is known to which gate the last ones lead.
    """
    here = layout.site.gate_xy if begun_near is None else begun_near
    visits = orders_of(layout, sowings, begun_near)[order]
    leave = None if here is None else np.array([*here, np.nan])
    driven: list[Tracks] = []
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
    return Tracks.joined(driven)


def _searching(
    layout: Layout, rig: Rig, leave: Array | None, gate: Point, *, at_last: bool
) -> Callable[[Array, IntArray], InTurn]:
    """How passes are ordered that are come to from a pose, and left for the gate if they are the last."""
    home = np.array([gate.x, gate.y, np.nan])
    around, transfers = Ends(leave, home if at_last else None), transfers_at(layout.room, home[:2])
    return partial(passes_searched, around=around, rig=rig, transfers=transfers)


def _headland(segments: SegmentsInTurn, number: int) -> Tracks:
    n = len(segments.lines)
    return Tracks.of(
        "headland", segments.lines, np.zeros(n, dtype=np.int64), np.full(n, -1), segments.over_gap, number
    )


def _passes(sowing: Sowing, number: int, ordered: Callable[[Array, IntArray], InTurn]) -> Tracks:
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
    return Tracks.of(
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
