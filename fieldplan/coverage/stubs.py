"""Short segments of the headland that are not worth the turns to them and on from them; what they alone cover is
left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.coverage.level_turns import NO_TURN_S
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.coverage.worth import missed_s
from fieldplan.kernels.overlaid import alone_m2
from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.overlaid import Outlines
from fieldplan.plane.ragged import firsts, lasts

MAX_LEFT_FRAC = 0.0022
"""So much of a field stubs may leave: under half a percent with what corners leave."""
_SHORT_W = 2.0
"""Segments no longer than so many drill widths may be stubs."""
_FEWEST = 3
"""A ring of fewer segments has none: there is nothing to go on to past one."""


def without_stubs(
    rounds: Sequence[HeadlandRound], inside: MultiPolygon, rig: Rig, room: InsideFence
) -> tuple[HeadlandRound, ...]:
    """Rounds without the short segments whose turns take longer than what they alone cover is worth.

    Parameters
    ----------
    inside
        The ground inside all rounds, which passes cover.
    """
    lines = np.concatenate([np.zeros(0, dtype=object), *(one.segments.lines for one in rounds)])
    short = shapely.length(lines) <= _SHORT_W * rig.width_m
    if not short.any():
        return tuple(rounds)
    segments = _Segments.of(rounds, inside, room)
    kept, spare_m2, n_kept = np.ones(len(short), dtype=bool), MAX_LEFT_FRAC * room.ground.area, -1
    # what a segment alone covers grows with those that are left out: if it was too much it stays so
    own_m2 = dict[int, float]()
    while n_kept != kept.sum():
        n_kept = kept.sum()
        for stub, saved_s in segments.passed(short, kept, rig):
            if _worth_it(own_m2.get(stub, 0.0), saved_s, spare_m2, rig):
                own_m2[stub] = segments.own_m2(stub, kept)
                if _worth_it(own_m2[stub], saved_s, spare_m2, rig):
                    kept[stub] = False
                    spare_m2 -= own_m2[stub]
    of_round = np.split(kept, segments.count.cumsum())
    left = [(one, own) for one, own in zip(rounds, of_round, strict=False) if own.any()]
    return tuple(replace(one, segments=one.segments[own]) for one, own in left)


def _worth_it(own_m2: float, saved_s: float, spare_m2: float, rig: Rig) -> bool:
    """Whether ground may be left for the time that this saves."""
    return missed_s(own_m2, rig) < saved_s and own_m2 <= spare_m2


@dataclass(frozen=True, slots=True)
class _Segments:
    """All n segments, ring after ring, and how many each ring has.

    Parameters
    ----------
    enter, leave
        (n, 3) their poses.
    edges
        The edges of their grounds, of the ground inside all rounds, and of the whole field: a kind each.
    """

    lines: Lines
    count: IntArray
    enter: Array
    leave: Array
    edges: Outlines
    room: InsideFence

    @classmethod
    def of(cls, rounds: Sequence[HeadlandRound], inside: MultiPolygon, room: InsideFence) -> _Segments:
        """Those of rounds."""
        swaths = Swaths.of(one.segments for one in rounds)
        count = np.array([len(one.segments) for one in rounds])
        grounds = np.concatenate([swaths.grounds, [inside, room.ground]])
        edges = Outlines.of(grounds, np.arange(len(grounds)))
        return cls(swaths.lines, count, *poses(swaths.lines), edges, room)

    def passed(self, short: BoolArray, kept: BoolArray, rig: Rig) -> list[tuple[int, float]]:
        """Short segments that are kept, no two of them neighbors, and the time that is saved where the drill goes on
        past each: the most first.
        """
        left, ring = kept.nonzero()[0], np.repeat(np.arange(len(self.count)), self.count)[kept]
        n = np.bincount(ring, minlength=len(self.count))
        before, following = np.arange(len(left)) - 1, np.arange(len(left)) + 1
        before[firsts(n)[n > 0]], following[lasts(n)[n > 0]] = lasts(n)[n > 0], firsts(n)[n > 0]
        some = (short[left] & (n[ring] >= _FEWEST)).nonzero()[0]
        saved_s = self._saved_s(left[before[some]], left[some], left[following[some]], rig)
        found, taken = list[tuple[int, float]](), set[int]()
        for k in np.argsort(-saved_s, kind="stable").tolist():
            beside = {int(before[some[k]]), int(following[some[k]])}
            if saved_s[k] > 0 and not beside & taken:
                taken.add(int(some[k]))
                found.append((int(left[some[k]]), float(saved_s[k])))
        return found

    def _saved_s(self, before: IntArray, stub: IntArray, following: IntArray, rig: Rig) -> Array:
        """The turns to segments and on from them, and sowing them, against the turns past them, (n,)."""
        left, entered = np.concatenate([before, stub, before]), np.concatenate([stub, following, following])
        turns = turns_between(self.leave[left], self.enter[entered], rig, self.room)
        to_s, on_s, past_s = np.where(turns.fits, turns.turn_s, NO_TURN_S).reshape(3, -1)
        sown_s = shapely.length(self.lines[stub]) / rig.field_speed_m_per_s
        return np.asarray(to_s + on_s - past_s + rig.turn_extra_s + sown_s)

    def own_m2(self, stub: int, kept: BoolArray) -> float:
        """The ground of the field that a segment alone covers."""
        # passes cover the ground inside, which like the field comes after all segments
        return alone_m2(self.edges.ends, self.edges.kind, stub, np.append(kept, [True, True]))
