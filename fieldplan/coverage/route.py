"""The drive from gate to gate: sides, passes, turns and transfers as one ordered list of legs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point

from fieldplan.coverage.columns import column_of
from fieldplan.coverage.order import drive_order
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.model.coverage import Array, Block, Leg, LegKind, Loop, Pass, Sowing, Swath
from fieldplan.plane.travel import Ways

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Track:
    """A sown line in driving order: its points as driven, its column, and whether it goes on a pass over a gap."""

    kind: LegKind
    line: LineString
    points: Array
    block: int
    sowing: int
    column: int = -1
    over_gap: bool = False

    @property
    def start(self) -> Array:
        return np.asarray(self.points[0])

    @property
    def end(self) -> Array:
        return np.asarray(self.points[-1])


def route(
    ground: MultiPolygon, sowings: tuple[Sowing, ...], gate: Point | None, rig: Rig, *, headland_first: bool
) -> tuple[tuple[Leg, ...], Point]:
    """Every leg of the drive, from the gate through all sowings and back to the gate, and the gate.

    Without a gate, the corner of the outline with the least way to where sowing starts and from where it ends is taken.
    """
    here = None if gate is None else np.array([gate.x, gate.y])
    tracks: list[_Track] = []
    for number, sowing in enumerate(sowings, start=1):
        parts = [_headland, _blocks] if headland_first else [_blocks, _headland]
        for part in parts:
            for track in part(sowing, number, here, rig):
                tracks.append(track)
                here = track.end
    if gate is None:
        gate = _cheapest_corner(ground, tracks[0].start, tracks[-1].end)
    return tuple(_legs(ground, tracks, gate, rig)), gate


def _cheapest_corner(ground: MultiPolygon, first: Array, last: Array) -> Point:
    corners = np.vstack([shapely.get_coordinates(part.exterior) for part in ground.geoms])
    away = np.hypot(*(corners - first).T) + np.hypot(*(corners - last).T)
    return Point(corners[int(np.argmin(away))])


def _headland(sowing: Sowing, number: int, here: Array | None, rig: Rig) -> Iterator[_Track]:
    """Loops, the nearest next, each begun at its nearest side."""
    del rig
    loops = [(loop, _starts(loop)) for loop in sowing.headland]
    while loops:
        nearest = [(0.0, 0)] * len(loops) if here is None else [_nearest(starts, here) for _, starts in loops]
        index = min(range(len(loops)), key=lambda i: (round(nearest[i][0], 3), loops[i][0].round))
        loop, _ = loops.pop(index)
        first = nearest[index][1]
        for side in (*loop.sides[first:], *loop.sides[:first]):
            track = _track("headland", side, 0, number)
            here = track.end
            yield track


def _starts(loop: Loop) -> Array:
    return shapely.get_coordinates(shapely.get_point(np.array([side.line for side in loop.sides], dtype=object), 0))


def _nearest(places: Array, here: Array) -> tuple[float, int]:
    away = np.hypot(*(places - here).T)
    index = int(np.argmin(away))
    return float(away[index]), index


def _track(kind: LegKind, swath: Swath, block: int, sowing: int, *, backward: bool = False, over_gap: bool = False) -> _Track:
    points = shapely.get_coordinates(swath.line)
    line = swath.line.reverse() if backward else swath.line
    return _Track(kind, line, points[::-1] if backward else points, block, sowing, over_gap)


def _blocks(sowing: Sowing, number: int, here: Array | None, rig: Rig) -> Iterator[_Track]:
    """The columns of every block, the nearest next."""
    columns = [(block, passes, _corners(passes)) for block in sowing.blocks for passes in columns_of(block)]
    driven = 0
    while columns:
        if here is None:
            index, corner = 0, 0
        else:
            away = np.array([np.hypot(*(corners - here).T) for _, _, corners in columns])
            index, corner = (int(i) for i in np.unravel_index(np.argmin(away), away.shape))
        block, passes, _ = columns.pop(index)
        for track in _column(block, passes, number, rig, flip=corner >= 2, back=corner % 2 == 1):
            here = track.end
            yield replace(track, column=driven)
        driven += 1


def _corners(passes: Sequence[Pass]) -> Array:
    """Where a column can be begun, (4, 2): start and end of its first pass, start and end of its last."""
    first, last = passes[0], passes[-1]
    return np.array([(one.runs[0].line.coords[0], one.runs[-1].line.coords[-1]) for one in (first, last)]).reshape(4, 2)


def _column(block: Block, passes: Sequence[Pass], sowing: int, rig: Rig, *, flip: bool, back: bool) -> Iterator[_Track]:
    """Side-by-side passes in the order they are driven, every other one the other way."""
    for k, position in enumerate(drive_order(len(passes), rig.radius_m, rig.width_m, plain=rig.plain_order)):
        one = passes[len(passes) - 1 - position if flip else position]
        backward = back == (k % 2 == 0)
        for i, run in enumerate(reversed(one.runs) if backward else one.runs):
            yield _track("pass", run, block.block, sowing, backward=backward, over_gap=i > 0)


def columns_of(block: Block) -> list[list[Pass]]:
    """A block's passes grouped into columns of passes that lie side by side."""
    if not block.passes:
        return []
    lines = np.array([(one.runs[0].line, one.runs[-1].line) for one in block.passes], dtype=object)
    first = shapely.get_coordinates(shapely.get_point(lines[:, 0], 0))
    last = shapely.get_coordinates(shapely.get_point(lines[:, 1], -1))
    along = last[0] - first[0]
    along = along / max(float(np.hypot(*along)), 1e-9)
    strip = np.array([one.strip for one in block.passes])
    order = np.lexsort((first @ along, strip))
    column = column_of(strip[order], (first @ along)[order], (last @ along)[order])
    columns: list[list[Pass]] = [[] for _ in range(int(column.max()) + 1)]
    for i, number in zip(order.tolist(), column.tolist(), strict=True):
        columns[number].append(block.passes[i])
    return columns


def _legs(ground: MultiPolygon, tracks: list[_Track], gate: Point, rig: Rig) -> Iterator[Leg]:
    """The tracks with what joins them: a straight lift over a gap, a turn, or a transfer that keeps to the ground."""
    ways = Ways(ground)
    turns = _turns(ground, tracks, rig)
    yield from _transfer(ways, (gate.x, gate.y), _place(tracks[0].start), tracks[0].sowing)
    for i, track in enumerate(tracks):
        yield Leg(kind=track.kind, line=track.line, length_m=float(track.line.length), block=track.block, sowing=track.sowing)
        if i + 1 == len(tracks):
            break
        following = tracks[i + 1]
        if following.over_gap:
            gap = LineString([track.end, following.start])
            yield Leg(kind="transfer", line=gap, length_m=float(gap.length), block=following.block, sowing=following.sowing)
        elif i in turns:
            line, length = turns[i]
            block = track.block if track.block == following.block else 0
            yield Leg(kind="turn", line=line, length_m=length, block=block, sowing=following.sowing)
        else:
            yield from _transfer(ways, _place(track.end), _place(following.start), following.sowing)
    yield from _transfer(ways, _place(tracks[-1].end), (gate.x, gate.y), tracks[-1].sowing)


def _turns(ground: MultiPolygon, tracks: list[_Track], rig: Rig) -> dict[int, tuple[LineString, float]]:
    """The turn after each track that is followed by a near one, or by one of its column that a turn reaches on the field."""
    if len(tracks) < 2:
        return {}
    ends = _poses(np.array([track.points[-2:] for track in tracks[:-1]]), at=1)
    starts = _poses(np.array([track.points[:2] for track in tracks[1:]]), at=0)
    away = np.hypot(*(starts[:, :2] - ends[:, :2]).T)
    near = away <= 4 * rig.radius_m + (rig.skip + 1) * rig.width_m
    same = np.array([a.column == b.column >= 0 and a.sowing == b.sowing for a, b in pairwise(tracks)])
    joined = np.array([track.over_gap for track in tracks[1:]])
    wanted = np.flatnonzero((near | same) & ~joined)
    made = turns_between(ends[wanted], starts[wanted], rig)
    lines = np.array(made.lines, dtype=object)
    reached = near[wanted].copy()
    if not reached.all():
        roomy = shapely.buffer(ground, 2 * rig.radius_m + rig.width_m)
        shapely.prepare(roomy)
        reached |= shapely.covers(roomy, lines)
    return {int(i): (lines[k], float(made.length_m[k])) for k, i in enumerate(wanted) if reached[k]}


def _transfer(ways: Ways, start: Place, end: Place, sowing: int) -> Iterator[Leg]:
    way = ways.between(start, end)
    if way.length > 0:
        yield Leg(kind="transfer", line=way, length_m=float(way.length), sowing=sowing)


def _place(point: Array) -> Place:
    return float(point[0]), float(point[1])


def _poses(steps: Array, *, at: int) -> Array:
    """Poses, (n, 3), at the first or second point of steps, (n, 2, 2), in the direction of the step."""
    along = steps[:, 1] - steps[:, 0]
    return np.column_stack([steps[:, at], np.arctan2(along[:, 1], along[:, 0])])
