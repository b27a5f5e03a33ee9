"""The drive from gate to gate: sides, passes, turns and transfers as one ordered list of legs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from shapely import LineString, MultiPolygon, Point

from fieldplan.coverage.order import drive_order
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.model.coverage import Array, Block, Leg, LegKind, Pass, Sowing, Swath
from fieldplan.plane.travel import way_across

Line = Array
"""Points of a line in driving order, (n, 2)."""


@dataclass(slots=True)
class _Drive:
    """The legs so far and the line last driven."""

    ground: MultiPolygon
    rig: Rig
    gate: Point
    legs: list[Leg] = field(default_factory=list)
    last: Line | None = None

    def sow(self, kind: LegKind, line: Line, block: int, sowing: int) -> None:
        """Drive a line with the openers in the ground, after getting to its start."""
        self._get_to(line, block, sowing)
        self._add(kind, LineString(line), block, sowing)
        self.last = line

    def cross_gap(self, line: Line, block: int, sowing: int) -> None:
        """Drive straight on, lifted, to the start of the next run of the same pass."""
        assert self.last is not None
        self._add("transfer", LineString([self.last[-1], line[0]]), block, sowing)
        self._add("pass", LineString(line), block, sowing)
        self.last = line

    def home(self, sowing: int) -> None:
        """Drive back to the gate."""
        if self.last is not None:
            self._transfer(tuple(self.last[-1]), (self.gate.x, self.gate.y), sowing)

    def _get_to(self, line: Line, block: int, sowing: int) -> None:
        if self.last is None:
            self._transfer((self.gate.x, self.gate.y), tuple(line[0]), sowing)
            return
        near = np.hypot(*(line[0] - self.last[-1])) <= 4 * self.rig.radius_m + (self.rig.skip + 1) * self.rig.width_m
        same_block = bool(self.legs) and self.legs[-1].block == block and block > 0
        if not near and not same_block:
            self._transfer(tuple(self.last[-1]), tuple(line[0]), sowing)
            return
        turn = turns_between(_pose(self.last, end=True)[None], _pose(line, end=False)[None], self.rig)
        self._add("turn", turn.lines[0], block if same_block else 0, sowing, float(turn.length_m[0]))

    def _transfer(self, start: tuple[float, ...], end: tuple[float, ...], sowing: int) -> None:
        way = way_across(self.ground, (start[0], start[1]), (end[0], end[1]))
        if way.length > 0:
            self._add("transfer", way, 0, sowing)

    def _add(self, kind: LegKind, line: LineString, block: int, sowing: int, length_m: float | None = None) -> None:
        length = float(line.length) if length_m is None else length_m
        self.legs.append(Leg(kind=kind, line=line, length_m=length, block=block, sowing=sowing))


def route(ground: MultiPolygon, sowings: tuple[Sowing, ...], gate: Point, rig: Rig, *, headland_first: bool) -> tuple[Leg, ...]:
    """Every leg of the drive, from the gate through all sowings and back to the gate."""
    drive = _Drive(ground, rig, gate)
    for number, sowing in enumerate(sowings, start=1):
        if headland_first:
            _drive_headland(drive, sowing.headland, number)
        _drive_blocks(drive, sowing.blocks, number)
        if not headland_first:
            _drive_headland(drive, tuple(reversed(sowing.headland)), number)
    drive.home(len(sowings))
    return tuple(drive.legs)


def _drive_headland(drive: _Drive, rounds: Iterable[tuple[Swath, ...]], sowing: int) -> None:
    for sides in rounds:
        for side in sides:
            drive.sow("headland", np.asarray(side.line.coords), 0, sowing)


def _drive_blocks(drive: _Drive, blocks: tuple[Block, ...], sowing: int) -> None:
    """Drive the columns of every block, the nearest next."""
    columns = [(block.block, column) for block in blocks for column in columns_of(block.passes)]
    while columns:
        here = drive.last[-1] if drive.last is not None else np.array([drive.gate.x, drive.gate.y])
        away, index, flip, back = min(
            (float(np.hypot(*(_entry(column, flip, back) - here))), index, flip, back)
            for index, (_, column) in enumerate(columns)
            for flip in (False, True)
            for back in (False, True)
        )
        del away
        block, column = columns.pop(index)
        _drive_column(drive, block, column, sowing, flip=flip, back=back)


def _entry(column: list[Pass], flip: bool, back: bool) -> Array:
    one = column[-1] if flip else column[0]
    return np.asarray(one.runs[-1].line.coords[-1] if back else one.runs[0].line.coords[0])


def _drive_column(drive: _Drive, block: int, column: list[Pass], sowing: int, *, flip: bool, back: bool) -> None:
    """Drive side-by-side passes in their order, every other one the other way."""
    order = drive_order(len(column), drive.rig.radius_m, drive.rig.width_m)
    for k, position in enumerate(order):
        one = column[len(column) - 1 - position if flip else position]
        lines = [np.asarray(run.line.coords) for run in one.runs]
        if back == (k % 2 == 0):
            lines = [line[::-1] for line in reversed(lines)]
        drive.sow("pass", lines[0], block, sowing)
        for line in lines[1:]:
            drive.cross_gap(line, block, sowing)


def columns_of(passes: tuple[Pass, ...]) -> list[list[Pass]]:
    """Passes grouped into columns: neighbours in a column lie side by side on strips next to each other.

    A column ends where a pass splits in two, where two become one, or where the next strip has no pass beside it.
    """
    strips: dict[int, list[int]] = {}
    for index, one in enumerate(passes):
        strips.setdefault(one.strip, []).append(index)
    extent = [_extent(passes[0], one) for one in passes]
    above = [[j for j in strips.get(one.strip + 1, []) if _overlap(extent[i], extent[j])] for i, one in enumerate(passes)]
    below = [[j for j in strips.get(one.strip - 1, []) if _overlap(extent[i], extent[j])] for i, one in enumerate(passes)]
    columns: list[list[Pass]] = []
    column_of: dict[int, int] = {}
    for i, one in enumerate(passes):
        under = below[i]
        if len(under) == 1 and len(above[under[0]]) == 1:
            column_of[i] = column_of[under[0]]
            columns[column_of[i]].append(one)
        else:
            column_of[i] = len(columns)
            columns.append([one])
    return columns


def _extent(axis: Pass, one: Pass) -> tuple[float, float]:
    """Start and end of a pass along the direction of another."""
    a, b = np.asarray(axis.runs[0].line.coords)[[0, -1]]
    along = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
    return float(along @ one.runs[0].line.coords[0]), float(along @ one.runs[-1].line.coords[-1])


def _overlap(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return a[0] < b[1] and b[0] < a[1]


def _pose(line: Line, *, end: bool) -> Array:
    """Pose at the start or end of a line, in its driving direction."""
    a, b = (line[-2], line[-1]) if end else (line[0], line[1])
    at = b if end else a
    return np.array([at[0], at[1], np.arctan2(b[1] - a[1], b[0] - a[0])])
