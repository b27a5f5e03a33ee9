"""What is done at the corners of headland rounds.

No driver pulls a drill into a fenced corner: the tractor is in the way. He lifts before it, turns in one
arc and lowers after it; or backs in behind the arc, up to the fence, and sows on from there; or sows on as
far as the drill comes, backs out, turns and backs in. Each costs time or ground. Corners start with what
takes the least time; then the ground that they leave is bought back, dearest ground first, until no more
than a share of the field is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from fieldplan.coverage.handling import PARALLEL
from fieldplan.coverage.headland import bands_about
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import moved
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.words import tangent_arcs
from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.paths import Paths
from fieldplan.plane.ragged import begins, firsts
from fieldplan.plane.travel import stretches

MAX_LEFT_FRAC = 0.003
"""So much of a field corners may leave, if nothing else was said: half a percent with what is missed elsewhere."""
_MIN_SEGMENT_M = 1.0
_STEP_M = 0.25
_HAIR_M = 1e-5
"""Segments end so far inside the edge of where the drill may stand: on it, rounding decides whether a turn fits."""
LIFTED, BACKED_IN, BACKED_BOTH, AS_FAR = range(4)
"""Lift, turn, lower; lift, turn, back in; back out, turn, back in; or no arc fits and the segments end as far as
the drill comes."""


@dataclass(frozen=True, slots=True)
class Corners:
    """The corner after each of n segments: n each.

    Parameters
    ----------
    cut_end_m, cut_begin_m
        What lifting before and lowering after one arc leaves of the arriving and the leaving segment.
    short_m
        How far short of its end the arriving segment stops, because the drill stands at a fence.
    reach_m
        How far behind its start the leaving segment could be backed in.
    covers_m
        What the leaving segment, backed in, covers of the length of the arriving one: w/sin θ for a turn of θ.
    fits
        Whether the arc fits inside the fence.
    """

    cut_end_m: Array
    cut_begin_m: Array
    short_m: Array
    reach_m: Array
    covers_m: Array
    fits: BoolArray

    def chosen(self, rig: Rig, ground_m2: float) -> IntArray:
        """What is done at each, of the four."""
        choice = np.where(self.fits, LIFTED, AS_FAR)
        if rig.reverse == "never":
            return choice
        lost = self._lost_m2(rig.width_m)
        back_s = np.stack([self.cut_begin_m + self.reach_m, self.cut_end_m]) / rig.backing_speed_m_per_s
        extra_s = back_s + 2 * rig.change_s
        left_m2 = float(lost[0][self.fits].sum())
        for better in (BACKED_IN, BACKED_BOTH):
            saved_m2 = lost[better - 1] - lost[better]
            for k in np.argsort(-saved_m2 / extra_s[better - 1], kind="stable").tolist():
                if left_m2 <= MAX_LEFT_FRAC * ground_m2:
                    return choice
                if self.fits[k]:
                    choice[k] = better
                    left_m2 -= float(saved_m2[k])
        return choice

    def _lost_m2(self, width_m: float) -> Array:
        """About the ground that lifting, backing in, and backing out and in leave, (3, n).

        Backed in, the leaving segment covers so much of the arriving one's length, but for a strip behind the
        drill that it cannot back over.
        """
        end_m = self.cut_end_m + self.short_m
        behind_m = np.maximum(width_m - self.reach_m, 0.0)
        lifted = width_m * (end_m + self.cut_begin_m)
        backed_in = width_m * np.maximum(end_m - self.covers_m, 0.0) + behind_m * np.minimum(
            end_m, self.covers_m
        )
        return np.stack([lifted, backed_in, behind_m * np.minimum(self.short_m, self.covers_m)])


def round_corners(
    rounds: Sequence[HeadlandRound], rig: Rig, room: InsideFence
) -> tuple[HeadlandRound, ...]:
    """Rounds whose segments begin and end where the drill can be lowered and lifted."""
    if not rounds:
        return ()
    laid = np.concatenate([one.segments.lines for one in rounds])
    lines = _reached(laid, room)
    ring = np.repeat(np.arange(len(rounds)), [len(one.segments) for one in rounds])
    kept = shapely.length(lines) > _MIN_SEGMENT_M
    laid, lines, ring = laid[kept], lines[kept], ring[kept]
    if len(lines) == 0:
        return ()
    n = np.bincount(ring, minlength=len(rounds))
    following = np.arange(len(lines)) + 1
    last = firsts(n)[n > 0] + n[n > 0] - 1
    following[last] = firsts(n)[n > 0]
    closed = np.array([one.segments.lines[0].is_closed for one in rounds])[ring]
    short_m = shapely.distance(shapely.get_point(laid, -1), shapely.get_point(lines, -1))
    corners = _corners(lines, short_m, following, rig, room)
    choice = np.where(closed, AS_FAR, corners.chosen(rig, room.ground.area))
    lines = _cut(lines, following, corners, choice)
    kept = shapely.length(lines) > _MIN_SEGMENT_M
    bands = bands_about(lines[kept], rig.width_m)
    swaths, ring = Swaths(lines=lines[kept], grounds=bands), ring[kept]
    return tuple(
        replace(one, segments=swaths[ring == i]) for i, one in enumerate(rounds) if (ring == i).any()
    )


def _reached(lines: Lines, room: InsideFence) -> Lines:
    """Lines from the first to the last point on which the drill may stand; empty where there is none."""
    since_m, until_m = room.reached(lines)
    inside = (since_m == 0.0) & (until_m == shapely.length(lines))
    some, never = np.isfinite(since_m) & ~inside, np.isinf(since_m)
    trimmed = lines.copy()
    trimmed[some] = stretches(lines[some], since_m[some] + _HAIR_M, until_m[some] - _HAIR_M)
    trimmed[never] = shapely.LineString()
    return trimmed


def _corners(lines: Lines, short_m: Array, following: IntArray, rig: Rig, room: InsideFence) -> Corners:
    """The corners between segments that follow each other."""
    enter, ends = poses(lines)
    enter = enter[following]
    turns, parts = tangent_arcs(numbers(ends), numbers(enter), rig.radius_m, PARALLEL)
    cut_end, cut_begin = np.maximum(-parts[:, 0], 0.0), np.maximum(-parts[:, 4], 0.0)
    length_m = shapely.length(lines)
    before = np.empty_like(cut_begin)
    before[following] = cut_begin
    long_enough = (
        np.nan_to_num(before, nan=0.0) + np.nan_to_num(cut_end, nan=np.inf) + _MIN_SEGMENT_M <= length_m
    )
    fits = np.isfinite(parts).all(axis=1) & long_enough & long_enough[following]
    some = fits.nonzero()[0]
    start = moved(ends[some], parts[some, :1])[:, 0] if len(some) else ends[some]
    arc = np.zeros((len(some), 5))
    arc[:, 2] = parts[some, 2]
    arc[:, 0], arc[:, 4] = np.maximum(parts[some, 0], 0), np.maximum(parts[some, 4], 0)
    start = np.where((parts[some, 0] > 0)[:, None], ends[some], start)
    fits[some] = room.holds(Paths(start, rig.radius_m, turns[some], arc))
    sin_theta = np.maximum(np.abs(np.sin(np.nan_to_num(parts[:, 2]) / rig.radius_m)), 0.5)
    return Corners(
        cut_end_m=np.nan_to_num(cut_end),
        cut_begin_m=np.nan_to_num(cut_begin),
        short_m=short_m,
        reach_m=_reach_m(enter, rig.width_m, room),
        covers_m=rig.width_m / sin_theta,
        fits=fits,
    )


def _reach_m(enter: Array, width_m: float, room: InsideFence) -> Array:
    """How far behind each pose the drill can stand, in steps, up to two widths."""
    steps = np.arange(1, int(2 * width_m / _STEP_M) + 1) * _STEP_M
    points = moved(enter, np.broadcast_to(-steps, (len(enter), len(steps))))[..., :2]
    inside = room.contains(points)
    return np.asarray(np.cumprod(inside, axis=1).sum(axis=1) * _STEP_M)


def _cut(lines: Lines, following: IntArray, corners: Corners, choice: IntArray) -> Lines:
    """The segments as they are sown between the corners before and after them."""
    end_m = np.where((choice == LIFTED) | (choice == BACKED_IN), corners.cut_end_m, 0.0)
    begin_m = np.zeros(len(lines))
    begin_m[following] = np.where(
        choice == LIFTED,
        corners.cut_begin_m,
        np.where((choice == BACKED_IN) | (choice == BACKED_BOTH), -corners.reach_m, 0.0),
    )
    cut, some = lines.copy(), (end_m > 0) | (begin_m != 0)
    cut[some] = _between(lines[some], begin_m[some], end_m[some])
    return cut


def _between(lines: Lines, begin_m: Array, end_m: Array) -> Lines:
    """Lines begun so much after their starts, or before them, and ended so much before their ends, (n,) each;
    empty where nothing remains.
    """
    points, line_of = shapely.get_coordinates(lines, return_index=True)
    first = begins(line_of)
    step = points[1:][first[:-1]] - points[:-1][first[:-1]]
    points[first] += step * (np.minimum(begin_m, 0.0) / np.hypot(*step.T))[:, None]
    longer = np.asarray(shapely.linestrings(points, indices=line_of))
    begin_m, length_m = np.maximum(begin_m, 0.0), shapely.length(longer)
    remains = begin_m + end_m < length_m
    longer[remains] = stretches(longer[remains], begin_m[remains], (length_m - end_m)[remains])
    longer[~remains] = shapely.LineString()
    return longer
