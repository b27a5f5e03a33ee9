"""The sown lines of a route in driving order and direction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
import shapely
from shapely import Point

from fieldplan.coverage.apart import Visit, orders_of_visits
from fieldplan.coverage.gate import SownLines
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.passes_laid import PassesLaid, passes_laid
from fieldplan.coverage.search import Ends, passes_searched
from fieldplan.coverage.sequence import InTurn, SegmentsInTurn, passes_in_turn, segments_in_order
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import transfers_at
from fieldplan.model.coverage import Array, BoolArray, IntArray, LegKind, Lines, Sowing
from fieldplan.plane.ragged import members


@dataclass(frozen=True, slots=True)
class Tracks:
    """Sown lines in driving order and direction, (n,) each.

    ``laid`` are the lines as they are laid out, ``backward`` is true for those driven from end to start.
    ``column`` is -1 on the headland. ``over_gap`` is true for a line that continues a pass after a gap.
    ``part`` counts the headlands and the sets of passes in driving order. ``enter`` and ``leave``, (n, 3),
    are poses: x, y and the direction of the first and the last step.
    """

    laid: Lines
    backward: BoolArray
    block: IntArray
    column: IntArray
    over_gap: BoolArray
    sowing: IntArray
    part: IntArray
    enter: Array
    leave: Array
    length_m: Array

    @property
    def lines(self) -> Lines:
        """The lines as they are driven."""
        lines = self.laid.copy()
        lines[self.backward] = shapely.reverse(lines[self.backward])
        return lines

    @property
    def sown(self) -> SownLines:
        """Poses and lengths alone."""
        return SownLines(self.enter, self.leave, self.length_m)

    @classmethod
    def joined(cls, parts: Sequence[Tracks]) -> Tracks:
        """All parts, one after the other."""
        return cls(*(np.concatenate([getattr(part, name) for part in parts]) for name in _COLUMNS))


_COLUMNS = tuple(one.name for one in fields(Tracks))


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
        if not (part.blocks if kind == "pass" else part.headland):
            continue
        if kind == "pass":
            passes = passes_laid(part.blocks)
            if searched_to is None:
                in_turn = passes_in_turn(passes.ends, passes.column, here, rig)
            else:
                in_turn = _searched(layout, passes, rig, leave, searched_to, at_last=visit is visits[-1])
            tracks = _passes(passes, in_turn, number, len(driven))
        elif layout.headland_first and part.headland is layout.rounds and not driven and begun_near is None:
            tracks = _headland(layout.headland_first, number, len(driven))
        else:
            tracks = _headland(segments_in_order(part.headland, here), number, len(driven))
        driven.append(tracks)
        leave = tracks.leave[-1]
        here = leave[:2]
    return Tracks.joined(driven)


def _searched(
    layout: Layout, passes: PassesLaid, rig: Rig, leave: Array | None, gate: Point, *, at_last: bool
) -> InTurn:
    """Passes in the order found that are come to from a pose, and left for the gate if they are the last."""
    home = np.array([gate.x, gate.y, np.nan])
    around, transfers = Ends(leave, home if at_last else None), transfers_at(layout.room, home[:2])
    return passes_searched(passes.passes, passes.column, around, rig, transfers)


def _headland(segments: SegmentsInTurn, number: int, part: int) -> Tracks:
    n = len(segments.lines)
    none = np.zeros(n, dtype=np.int64)
    return Tracks(
        laid=segments.lines,
        backward=np.zeros(n, dtype=bool),
        block=none,
        column=none - 1,
        over_gap=segments.over_gap,
        sowing=none + number,
        part=none + part,
        enter=segments.enter,
        leave=segments.leave,
        length_m=segments.length_m,
    )


def _passes(passes: PassesLaid, driven: InTurn, number: int, part: int) -> Tracks:
    """Passes in driving order, run by run: one that is driven backward has its runs in reverse, too."""
    n_runs = passes.n_runs[driven.order]
    position, nth = members(n_runs)
    order, backward = driven.order[position], driven.backward[position]
    run = passes.first[order] + np.where(backward, n_runs[position] - 1 - nth, nth)
    begun = backward.astype(np.int64)
    none = np.zeros(len(run), dtype=np.int64)
    return Tracks(
        laid=passes.lines[run],
        backward=backward,
        block=passes.block[order],
        column=driven.column[position],
        over_gap=nth > 0,
        sowing=none + number,
        part=none + part,
        enter=passes.runs.enter[run, begun],
        leave=passes.runs.leave[run, 1 - begun],
        length_m=passes.length_m[run],
    )
