"""Corners of headland rounds as they are driven: where segments end, begin, and run on into each other.

No driver pulls a drill into a fenced corner: the tractor is in the way. What he does instead is chosen for all
corners of a field together (`corner_kinds`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from fieldplan.coverage.corner_kinds import (
    BACKED_BOTH,
    BACKED_IN,
    CURVED,
    LIFTED,
    RUN_OUT,
    Corners,
    curve_wedge_m2,
)
from fieldplan.coverage.curved import joined
from fieldplan.coverage.handling import PARALLEL
from fieldplan.coverage.headland import SAME_DEG, bands_about
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import moved, turns_between
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.words import tangent_arcs
from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.paths import Paths, drawing_step_m
from fieldplan.plane.ragged import begins, firsts
from fieldplan.plane.travel import stretches

_MIN_SEGMENT_M = 1.0
_STEP_M = 0.25
_HAIR_M = 1e-5
"""Segments end so far inside the edge of where the drill may stand: on it, rounding decides whether a turn fits."""


def round_corners(
    rounds: Sequence[HeadlandRound], rig: Rig, room: InsideFence
) -> tuple[HeadlandRound, ...]:
    """Rounds whose segments begin and end where the drill can be lowered and lifted, and are one where it sows on
    around the corner between them.
    """
    if not rounds:
        return ()
    laid = np.concatenate([one.segments.lines for one in rounds])
    lines = _reached(laid, room.while_sowing())
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
    outermost = np.array([one.round == 1 for one in rounds])[ring]
    corners = _corners(lines, short_m, following, outermost, rig, room)
    choice = np.where(closed, RUN_OUT, corners.chosen(rig, room.ground.area))
    lines = _driven(lines, following, corners, choice, rig)
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


def _corners(
    lines: Lines, short_m: Array, following: IntArray, outermost: BoolArray, rig: Rig, room: InsideFence
) -> Corners:
    """The corners between segments that follow each other."""
    enter, ends = poses(lines)
    enter = enter[following]
    turns, parts = tangent_arcs(numbers(ends), numbers(enter), rig.radius_m, PARALLEL)
    turn_rad = np.nan_to_num(parts[:, 2]) / rig.radius_m
    cut_end, cut_begin = np.maximum(-parts[:, 0], 0.0), np.maximum(-parts[:, 4], 0.0)
    fits = np.isfinite(parts).all(axis=1) & _long_enough(lines, following, cut_end, cut_begin)
    fits[fits] = room.holds(_arcs(ends[fits], turns[fits], parts[fits], rig.radius_m))
    curve_end, curve_begin, left_m2 = _curves(lines, ends, enter, following, outermost, rig, room)
    return Corners(
        turn_rad=turn_rad,
        cut_end_m=np.nan_to_num(cut_end),
        cut_begin_m=np.nan_to_num(cut_begin),
        short_m=short_m,
        reach_m=_reach_m(enter, rig.width_m, room.while_sowing()),
        fits=fits,
        full_s=turns_between(ends, enter, rig, room).turn_s,
        curve_end_m=curve_end,
        curve_begin_m=curve_begin,
        curve_left_m2=left_m2,
    )


def _long_enough(lines: Lines, following: IntArray, cut_end_m: Array, cut_begin_m: Array) -> BoolArray:
    """Whether segments before and after each corner keep some of their length between two arcs, (n,)."""
    before = np.empty_like(cut_begin_m)
    before[following] = cut_begin_m
    taken_m = np.nan_to_num(before, nan=0.0) + np.nan_to_num(cut_end_m, nan=np.inf)
    enough = taken_m + _MIN_SEGMENT_M <= shapely.length(lines)
    return np.asarray(enough & enough[following])


def _arcs(ends: Array, turns: Array, parts: Array, radius_m: float) -> Paths:
    """The arcs from where segments are left before their ends to where the next ones begin."""
    forward = parts.copy()
    start = np.where((parts[:, 0] > 0)[:, None], ends, moved(ends, parts[:, :1])[:, 0])
    forward[:, [0, 4]] = np.maximum(parts[:, [0, 4]], 0.0)
    return Paths(start, radius_m, turns, forward)


def _curves(
    lines: Lines,
    ends: Array,
    enter: Array,
    following: IntArray,
    outermost: BoolArray,
    rig: Rig,
    room: InsideFence,
) -> tuple[Array, Array, Array]:
    """What arcs with the openers in the ground take the place of, of the segments before and after, and the ground
    that they leave, (n,) each; infinite where the bend is more than the openers follow, or the arc does not fit.
    """
    radius_m = rig.sowing_radius_m
    turns, parts = tangent_arcs(numbers(ends), numbers(enter), radius_m, PARALLEL)
    turn_rad, cut_end, cut_begin = parts[:, 2] / radius_m, -parts[:, 0], -parts[:, 4]
    followed = np.isfinite(parts).all(axis=1) & (np.degrees(turn_rad) <= rig.follows_bend_deg + SAME_DEG)
    # arcs begin and end on straight steps: where a line bends before, it runs in another direction there
    first_m, last_m = _end_steps_m(lines)
    followed &= (cut_end <= last_m) & (cut_begin <= first_m[following])
    followed &= (np.minimum(cut_end, cut_begin) >= 0) & _long_enough(lines, following, cut_end, cut_begin)
    arcs = _arcs(ends[followed], turns[followed], parts[followed], radius_m)
    followed[followed] = room.while_sowing().holds(arcs)
    along_fence, beside_round = curve_wedge_m2(np.nan_to_num(turn_rad), radius_m, rig.width_m)
    left_m2 = np.where(followed, np.where(outermost, along_fence, beside_round), np.inf)
    return np.where(followed, cut_end, 0.0), np.where(followed, cut_begin, 0.0), left_m2


def _end_steps_m(lines: Lines) -> tuple[Array, Array]:
    """Lengths of the first and the last step of each line, (n,) each."""
    points, line_of = shapely.get_coordinates(lines, return_index=True)
    step_m, first = np.hypot(*np.diff(points, axis=0).T), begins(line_of).nonzero()[0]
    return step_m[first], step_m[np.append(first[1:], len(points)) - 2]


def _reach_m(enter: Array, width_m: float, room: InsideFence) -> Array:
    """How far behind each pose the drill can stand, in steps, up to two widths."""
    steps = np.arange(1, int(2 * width_m / _STEP_M) + 1) * _STEP_M
    points = moved(enter, np.broadcast_to(-steps, (len(enter), len(steps))))[..., :2]
    inside = room.contains(points)
    return np.asarray(np.cumprod(inside, axis=1).sum(axis=1) * _STEP_M)


def _driven(lines: Lines, following: IntArray, corners: Corners, choice: IntArray, rig: Rig) -> Lines:
    """The segments as they are sown between the corners before and after them, or on around them."""
    cut = _cut(lines, following, corners, choice)
    # nothing may be left of a short one that is cut at its other end, too
    some = shapely.length(cut) > 0
    curved = ((choice == CURVED) & some & some[following]).nonzero()[0]
    if not len(curved):
        return cut
    _, ends = poses(cut[curved])
    enter, _ = poses(cut[following[curved]])
    turns, parts = tangent_arcs(numbers(ends), numbers(enter), rig.sowing_radius_m, PARALLEL)
    parts[:, [0, 4]] = 0.0
    arcs = Paths(ends, rig.sowing_radius_m, turns, parts).lines(drawing_step_m(rig.sowing_radius_m))
    return joined(cut, following, dict(zip(curved.tolist(), arcs, strict=True)))


def _cut(lines: Lines, following: IntArray, corners: Corners, choice: IntArray) -> Lines:
    """The segments between the corners before and after them."""
    lifts = (choice == LIFTED) | (choice == BACKED_IN)
    backs = (choice == BACKED_IN) | (choice == BACKED_BOTH)
    curves = choice == CURVED
    end_m = np.select([lifts, curves], [corners.cut_end_m, corners.curve_end_m], 0.0)
    begin_m = np.zeros(len(lines))
    begin_m[following] = np.select(
        [choice == LIFTED, backs, curves],
        [corners.cut_begin_m, -corners.reach_m, corners.curve_begin_m],
        0.0,
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
