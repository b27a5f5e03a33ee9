"""Segments of the headland that end sooner or begin later, where no turn leads from the end of one to the start of the
next: a driver lifts before a nook that he could only leave by a way round half the field.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.coverage.headland import bands_about
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import transfers_at
from fieldplan.coverage.turns import turns_between
from fieldplan.coverage.worth import missed_s
from fieldplan.model.coverage import Array, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.ragged import firsts, lasts
from fieldplan.plane.travel import stretches

MAX_LEFT_FRAC = 0.005
"""So much of a field may be left so in all."""
_LONG_WAY_S = 60.0
"""Ways from a segment to the next that take less are driven."""
_COS_ALIKE = 0.9
"""Segments that run on in about the same direction are joined by shunting a little."""
_STEPS_W = np.arange(7.0)
"""What a segment may lose at an end, in drill widths; at least one width of it remains."""


def shortened(
    rounds: Sequence[HeadlandRound],
    inside: MultiPolygon,
    rig: Rig,
    room: InsideFence,
    gate_xy: Array | None,
) -> tuple[HeadlandRound, ...]:
    """Rounds whose segments end and begin where a turn leads from one to the next, as far as what is left is worth less
    than the way that is saved.

    Parameters
    ----------
    inside
        The ground inside all rounds, which passes cover.
    gate_xy
        The gate, (2,), if it is known.
    """
    count = np.array([len(one.segments) for one in rounds], dtype=np.int64)
    if not len(count):
        return ()
    segments = Swaths.of(one.segments for one in rounds)
    ring = np.repeat(np.arange(len(count)), count)
    following = np.arange(len(segments)) + 1
    following[lasts(count)] = firsts(count)
    way_s = _ways_s(segments.lines, following, count[ring], rig, room, gate_xy)
    if not (way_s > _LONG_WAY_S).any():
        return tuple(rounds)
    lines, grounds = segments.lines.copy(), segments.grounds.copy()
    spare_m2 = MAX_LEFT_FRAC * room.ground.area
    # the longest ways first, and those that differ by rounding alone in their order
    for i in np.argsort(-way_s.round(3), kind="stable")[: int((way_s > _LONG_WAY_S).sum())].tolist():
        corner = _Corner.of(lines, grounds, i, int(following[i]), inside, rig, room)
        found = corner.quickest(float(way_s[i]), spare_m2, rig, room)
        if found is not None:
            lines[i], lines[following[i]], left_m2 = found
            grounds[[i, following[i]]] = bands_about(lines[[i, following[i]]], rig.width_m)
            spare_m2 -= left_m2
    cut = Swaths(lines=lines, grounds=grounds)
    return tuple(replace(one, segments=cut[ring == k]) for k, one in enumerate(rounds))


def _ways_s(
    lines: Lines, following: IntArray, n: IntArray, rig: Rig, room: InsideFence, gate_xy: Array | None
) -> Array:
    """Time of the ways from each segment to the next of its ring between which no turn fits, (n,); 0 at others."""
    way_s = np.zeros(len(lines))
    enter, leave = poses(lines)
    enter = enter[following]
    near = (n > 1) & (np.hypot(*(enter - leave)[:, :2].T) <= rig.turn_reach_m)
    none = (near & (np.cos(enter[:, 2] - leave[:, 2]) < _COS_ALIKE)).nonzero()[0]
    none = none[~turns_between(leave[none], enter[none], rig, room).fits]
    if len(none):
        gate = np.full(2, np.nan) if gate_xy is None else gate_xy
        ways = transfers_at(room, gate).between(leave[none], enter[none], np.ones(len(none), dtype=bool))
        way_s[none] = [way.drive_s for way in ways]
    return way_s


@dataclass(frozen=True, slots=True)
class _Corner:
    """What may remain of the segments before and after a corner, (a,) and (b,), and the ground that is left with each
    of the one and each of the other, (a, b).
    """

    before: Lines
    after: Lines
    left_m2: Array

    @classmethod
    def of(
        cls,
        lines: Lines,
        grounds: Lines,
        i: int,
        following: int,
        inside: MultiPolygon,
        rig: Rig,
        room: InsideFence,
    ) -> _Corner:
        """What may remain of two segments, longest first."""
        before = _remaining(lines[i], rig.width_m, at_end=True)
        after = _remaining(lines[following], rig.width_m, at_end=False)
        others = np.ones(len(lines), dtype=bool)
        others[[i, following]] = False
        both = shapely.union(grounds[i], grounds[following])
        beside = grounds[others & shapely.intersects(grounds, both)]
        alone = shapely.difference(both, shapely.union_all([inside, *beside]))
        alone = shapely.intersection(alone, room.ground)
        left = shapely.difference(alone, bands_about(before, rig.width_m))
        left = shapely.difference(left[:, None], bands_about(after, rig.width_m)[None])
        return cls(before, after, shapely.area(left))

    def quickest(
        self, way_s: float, spare_m2: float, rig: Rig, room: InsideFence
    ) -> tuple[shapely.LineString, shapely.LineString, float] | None:
        """The two segments between which a turn fits that takes least with what is left, and the ground that is left;
        ``None`` if none is better than a way of so many seconds.
        """
        worth_s = missed_s(1.0, rig) * self.left_m2
        a, b = ((worth_s < way_s) & (self.left_m2 <= spare_m2)).nonzero()
        if not len(a):
            return None
        turns = turns_between(poses(self.before)[1][a], poses(self.after)[0][b], rig, room)
        cost_s = (turns.turn_s + worth_s[a, b]).round(3)
        k = int(cost_s.argmin())
        if not cost_s[k] < way_s:
            return None
        return self.before[a[k]], self.after[b[k]], float(self.left_m2[a[k], b[k]])


def _remaining(line: shapely.LineString, width_m: float, *, at_end: bool) -> Lines:
    """A segment, and what of it remains without steps of its end or its start, (k,)."""
    lost_m = _STEPS_W * width_m
    lost_m = lost_m[(lost_m == 0.0) | (lost_m <= line.length - width_m)]
    none = np.zeros(len(lost_m))
    begin_m, end_m = (none, lost_m) if at_end else (lost_m, none)
    lines = np.array([line] * len(lost_m), dtype=object)
    lines[1:] = stretches(lines[1:], begin_m[1:], line.length - end_m[1:])
    return lines
