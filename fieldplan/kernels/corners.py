"""Corners between segments of the headland: how far the drill comes, and which arcs fit there."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.driven import fits
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.region import Region, inside, since_inside
from fieldplan.kernels.segments import Chains, lengths_m, stretched, swept_rad
from fieldplan.kernels.words import tangent_arc
from fieldplan.model.coverage import Array, BoolArray, IntArray


class Reached(NamedTuple):
    """Lines as far as the drill may stand on them: those that are left, the line that each is of, and how far short of
    its end it stops, (n,) each.
    """

    chains: Chains
    of: IntArray
    short_m: Array


class Found(NamedTuple):
    """What is found at each corner, (n,) each: see `coverage.corner_kinds.Corners`; and whether openers follow the arc
    that they would sow on.
    """

    turn_rad: Array
    cut_end_m: Array
    cut_begin_m: Array
    fits: BoolArray
    curve_rad: Array
    curve_end_m: Array
    curve_begin_m: Array
    followed: BoolArray
    reach_m: Array


class Bounds(NamedTuple):
    """What bounds what is done at corners.

    Parameters
    ----------
    sowing_radius_m, follows_rad
        The arc that openers are pulled around on, and the largest turn that they follow.
    least_m
        So much of a segment remains between two arcs.
    look_m, most_m
        Behind a pose it is looked in such steps, so far, whether the drill can stand.
    """

    sowing_radius_m: float
    follows_rad: float
    least_m: float
    look_m: float
    most_m: float


@compiled
def reached(region: Region, chains: Chains, step_m: float, hair_m: float, least_m: float) -> Reached:
    """Lines from the first to the last point on which the drill may stand, and a hair less; those that are longer than
    the least.
    """
    n = len(chains.first) - 1
    since_m = since_inside(region, chains.points, chains.first, step_m)
    reverse = chains.first[n] - chains.first[::-1]
    back_m = since_inside(region, chains.points[::-1].copy(), reverse, step_m)[::-1]
    trimmed = stretched(chains, since_m + hair_m, lengths_m(chains) - back_m - hair_m)
    points, first = np.empty((len(chains.points) + len(trimmed.points), 2)), np.zeros(n + 1, dtype=np.int64)
    of, short_m, n_left = np.empty(n, dtype=np.int64), np.empty(n), 0
    whole_m, left_m = lengths_m(chains), lengths_m(trimmed)
    for line in range(n):
        whole = since_m[line] == 0.0 and back_m[line] == 0.0
        source = chains if whole else trimmed
        length_m = whole_m[line] if whole else left_m[line]
        if np.isinf(since_m[line]) or not length_m > least_m:
            continue
        at = first[n_left]
        for k in range(source.first[line], source.first[line + 1]):
            points[at] = source.points[k]
            at += 1
        end = chains.points[chains.first[line + 1] - 1]
        short_m[n_left] = np.hypot(end[0] - points[at - 1, 0], end[1] - points[at - 1, 1])
        of[n_left], n_left = line, n_left + 1
        first[n_left] = at
    left = Chains(points[: first[n_left]].copy(), first[: n_left + 1].copy())
    return Reached(left, of[:n_left].copy(), short_m[:n_left].copy())


@compiled
def at_corners(
    chains: Chains,
    leave: Array,
    enter: Array,
    following: IntArray,
    hard: Region,
    sowing: Region,
    bounds: Bounds,
    rig: Handling,
) -> Found:
    """What is found at the corner after each of n segments.

    Parameters
    ----------
    leave, enter
        (n, 3) the poses at the end of each segment, and at the start of the following one.
    hard, sowing
        Where the middle of the drill may be, and where it may while it sows.
    """
    n, length_m = len(leave), lengths_m(chains)
    lifted_m, lifted, held = _arcs(leave, enter, rig.radius_m, rig.parallel)
    long_enough = _long_enough(lifted_m, following, length_m, bounds.least_m, True)
    for k in range(n):
        held[k] = held[k] and long_enough[k] and _arc_fits(hard, leave[k], lifted[k], lifted_m[k], rig)
    sown_m, sown, followed = _arcs(leave, enter, bounds.sowing_radius_m, rig.parallel)
    long_enough = _long_enough(sown_m, following, length_m, bounds.least_m, False)
    curve_rad, reach_m = np.zeros(n), np.zeros(n)
    for k in range(n):
        curve_rad[k] = sown_m[k, 2] / bounds.sowing_radius_m
        end_m, begin_m = -sown_m[k, 0], -sown_m[k, 4]
        followed[k] = followed[k] and long_enough[k] and curve_rad[k] <= bounds.follows_rad
        # arcs begin and end on straight steps: where a line bends before, it runs in another direction there
        followed[k] = followed[k] and 0.0 <= end_m <= _step_m(chains, chains.first[k + 1] - 2)
        followed[k] = followed[k] and 0.0 <= begin_m <= _step_m(chains, chains.first[following[k]])
        followed[k] = followed[k] and _arc_fits(sowing, leave[k], sown[k], sown_m[k], rig)
        if followed[k]:
            side, radius_m = sown[k, 2], bounds.sowing_radius_m
            bent_rad = swept_rad(chains, k, side, True, radius_m)
            bent_rad += swept_rad(chains, following[k], side, False, radius_m)
            followed[k] = bent_rad + curve_rad[k] <= bounds.follows_rad
        reach_m[k] = _reach_m(sowing, enter[k], bounds)
    turn_rad, ends_m, begins_m = np.zeros(n), np.zeros(n), np.zeros(n)
    for k in range(n):
        if np.isfinite(lifted_m[k, 2]):
            turn_rad[k] = lifted_m[k, 2] / rig.radius_m
        if np.isfinite(lifted_m[k, 0]):
            ends_m[k] = max(-lifted_m[k, 0], 0.0)
        if np.isfinite(lifted_m[k, 4]):
            begins_m[k] = max(-lifted_m[k, 4], 0.0)
    curve_end_m, curve_begin_m = (
        np.where(followed, -sown_m[:, 0], 0.0),
        np.where(followed, -sown_m[:, 4], 0.0),
    )
    return Found(turn_rad, ends_m, begins_m, held, curve_rad, curve_end_m, curve_begin_m, followed, reach_m)


@compiled
def _arcs(leave: Array, enter: Array, radius_m: float, parallel: float) -> tuple[Array, Array, BoolArray]:
    """The parts of the arc between each two poses, (n, 5), its turns, (n, 5), and whether there is one, (n,)."""
    parts, turns, exists = (
        np.zeros((len(leave), 5)),
        np.zeros((len(leave), 5)),
        np.ones(len(leave), dtype=np.bool_),
    )
    for k in range(len(leave)):
        turns[k, 2] = tangent_arc(leave[k], enter[k], radius_m, parallel, parts[k])
        for part in range(5):
            exists[k] = exists[k] and np.isfinite(parts[k, part])
    return parts, turns, exists


@compiled
def _long_enough(
    parts: Array, following: IntArray, length_m: Array, least_m: float, clipped: bool
) -> BoolArray:
    """Whether segments before and after each corner keep some of their length between two arcs, (n,)."""
    n = len(parts)
    taken_m = np.zeros(n)
    for k in range(n):
        end_m, begin_m = -parts[k, 0], -parts[k, 4]
        if clipped:
            end_m, begin_m = max(end_m, 0.0), max(begin_m, 0.0)
        taken_m[k] += np.inf if np.isnan(parts[k, 0]) else end_m
        taken_m[following[k]] += 0.0 if np.isnan(parts[k, 4]) else begin_m
    enough, both = np.empty(n, dtype=np.bool_), np.empty(n, dtype=np.bool_)
    for k in range(n):
        enough[k] = taken_m[k] + least_m <= length_m[k]
    for k in range(n):
        both[k] = enough[k] and enough[following[k]]
    return both


@compiled
def _arc_fits(region: Region, leave: Array, turns: Array, parts: Array, rig: Handling) -> bool:
    """Whether the arc from where a segment is left before its end to where the next one begins fits."""
    start, ahead = leave.copy(), parts.copy()
    back_m = min(parts[0], 0.0)
    start[0] += np.cos(leave[2]) * back_m
    start[1] += np.sin(leave[2]) * back_m
    ahead[0], ahead[4] = max(parts[0], 0.0), max(parts[4], 0.0)
    return fits(region, start, turns, ahead, rig)


@compiled_leaf
def _step_m(chains: Chains, k: int) -> float:
    """The length of the step after a point."""
    return float(
        np.hypot(
            chains.points[k + 1, 0] - chains.points[k, 0], chains.points[k + 1, 1] - chains.points[k, 1]
        )
    )


@compiled_leaf
def _reach_m(region: Region, pose: Array, bounds: Bounds) -> float:
    """How far behind a pose the drill can stand, in steps."""
    n = 0
    while n < int(bounds.most_m / bounds.look_m):
        back_m = -(n + 1) * bounds.look_m
        if not inside(region, pose[0] + np.cos(pose[2]) * back_m, pose[1] + np.sin(pose[2]) * back_m):
            break
        n += 1
    return n * bounds.look_m
