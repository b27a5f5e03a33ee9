"""Transfers along lanes onto which the rig turns, and off again, backing where that is allowed: where no forward path
leads there.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.lanes import Lanes, nearest_station, pose_on, shortest_s
from fieldplan.kernels.region import Region
from fieldplan.kernels.turns import Search, a_search, quickest_turn
from fieldplan.kernels.words import tangent_arc
from fieldplan.model.coverage import Array, BoolArray, IntArray

_ROUNDING_S = 1e-6


class Tried(NamedTuple):
    """What is tried where the rig turns onto a lane and off.

    Parameters
    ----------
    ahead_m
        (m,) where a lane is joined and left, counted from the nearest point of it.
    straights, pairs
        As `kernels.turns` takes them.
    """

    ahead_m: Array
    straights: Array
    pairs: IntArray


class Known(NamedTuple):
    """Turns from a pose onto a lane, and off it to another, (2, m, 11) each: in its direction and against it, at each
    place where it is joined or left, the time, infinite if none fits, and both times five numbers of `kernels.turns`.

    The time is not a number where none was looked for.
    """

    onto: Array
    off: Array


class Opening(NamedTuple):
    """Where the region of a gate is other than that without one: within so far of a place."""

    x: float
    y: float
    within_m: float


class Joined(NamedTuple):
    """A way along a lane: in its direction (0) or against it (1), at which places it is joined and left, -1 if there is
    none, the pose (3,) in which it is left, from which station on, how far along it, and the time of the whole.
    """

    way: int
    at: int
    until: int
    left: Array
    since_m: float
    run_m: float
    drive_s: float


@compiled
def quickest_by_turns(
    leave: Array,
    enter: Array,
    lane: int,
    lanes: Lanes,
    known: Known,
    elsewhere: Known,
    opening: Opening,
    tried: Tried,
    region: Region,
    rig: Handling,
) -> Joined:
    """The quickest way from pose to pose along a lane onto which the rig turns, and off again.

    The direction that may be the shorter one counts; the other one if the rig can turn onto the lane and off in that
    alone. Turns are looked for one by one where, with the least time that those not looked for take, the
    whole may be quickest; ``known`` takes what is found. Turns that do not come near the opening of the gate are the
    same for all gates: ``elsewhere`` tells and takes them.
    """
    length_m = lanes.station_m[lanes.first[lane + 1] - 1]
    here_m, _ = nearest_station(lanes, lane, leave[0], leave[1])
    there_m, _ = nearest_station(lanes, lane, enter[0], enter[1])
    m = len(tried.ahead_m)
    run_m = np.empty((2, m, m))
    for way in range(2):
        for a in range(m):
            for b in range(m):
                back_m = tried.ahead_m[a] + tried.ahead_m[b]
                run_m[way, a, b] = ((1.0 - 2.0 * way) * (there_m - here_m) - back_m) % length_m
    first = 0 if run_m[0].min() <= run_m[1].min() else 1
    joined, left = np.empty((m, 3)), np.empty((m, 3))
    off_it, parts = np.empty((2, m), dtype=np.bool_), np.empty(5)
    # all turns onto the lane begin at one pose, and all off it end at one: what is known beside these stays
    turning = a_search(tried.straights, tried.pairs, rig), a_search(tried.straights, tried.pairs, rig)
    for way in (first, 1 - first):
        sign = 1.0 - 2.0 * way
        for k in range(m):
            pose_on(lanes, lane, here_m + sign * tried.ahead_m[k], sign, joined[k])
            pose_on(lanes, lane, there_m - sign * tried.ahead_m[k], sign, left[k])
            off_it[0, k] = _keeps_off(leave, joined[k], opening, tried, parts, rig)
            off_it[1, k] = _keeps_off(left[k], enter, opening, tried, parts, rig)
        _tell(elsewhere.onto[way], known.onto[way], off_it[0])
        _tell(elsewhere.off[way], known.off[way], off_it[1])
        a, b, drive_s = _joined(leave, enter, joined, left, run_m[way], known, way, turning, region, rig)
        _tell(known.onto[way], elsewhere.onto[way], off_it[0])
        _tell(known.off[way], elsewhere.off[way], off_it[1])
        if a >= 0:
            since_m = (here_m + sign * tried.ahead_m[a]) % length_m
            return Joined(way, a, b, left[b].copy(), since_m, run_m[way, a, b], drive_s)
    return Joined(0, -1, -1, left[0], 0.0, 0.0, np.inf)


@compiled_leaf
def _tell(known: Array, others: Array, which: BoolArray) -> None:
    """Write those of the turns that are known into others where they are not, (m, 11) each."""
    for k in range(len(which)):
        if which[k] and np.isnan(others[k, 0]):
            for column in range(known.shape[1]):
                others[k, column] = known[k, column]


@compiled_leaf
def _keeps_off(
    start: Array, end: Array, opening: Opening, tried: Tried, parts: Array, rig: Handling
) -> bool:
    """Whether no turn between two poses that may be looked at comes near an opening; ``parts``, (5,), is written on.

    All circles of a word lie within 4 radii of the poses between which it leads, and these as far from those given as
    straights are long. One arc between straights lies within a circle of the lines that it touches.
    """
    longest_m = 0.0
    for straight_m in tried.straights:
        longest_m = max(longest_m, abs(straight_m))
    beside_m = opening.within_m + rig.front_beyond_m + rig.look_m
    away_m = _away_m(opening, start[0], start[1], end[0] - start[0], end[1] - start[1])
    if not away_m > beside_m + longest_m + 4 * rig.radius_m:
        return False
    tangent_arc(start, end, rig.radius_m, rig.parallel, parts)
    if np.isnan(parts[0]):
        return True
    by_x, by_y = parts[0] * np.cos(start[2]), parts[0] * np.sin(start[2])
    back_x, back_y = -parts[4] * np.cos(end[2]), -parts[4] * np.sin(end[2])
    before_m = _away_m(opening, start[0], start[1], by_x, by_y)
    after_m = _away_m(opening, end[0], end[1], back_x, back_y)
    return bool(min(before_m, after_m) > beside_m + 2 * rig.radius_m)


@compiled_leaf
def _away_m(opening: Opening, x: float, y: float, by_x: float, by_y: float) -> float:
    """How far the middle of an opening is from a straight stretch."""
    to_x, to_y, square = opening.x - x, opening.y - y, by_x * by_x + by_y * by_y
    share = min(1.0, max(0.0, (to_x * by_x + to_y * by_y) / square)) if square > 0.0 else 0.0
    return float(np.hypot(to_x - share * by_x, to_y - share * by_y))


@compiled
def _joined(
    leave: Array,
    enter: Array,
    joined: Array,
    left: Array,
    run_m: Array,
    known: Known,
    way: int,
    turning: tuple[Search, Search],
    region: Region,
    rig: Handling,
) -> tuple[int, int, float]:
    """Where a lane is joined and left in one direction, and the time of the whole; -1 if no turns fit."""
    m, words = len(joined), np.empty((8, 3))
    turning_onto, turning_off = turning
    onto, off = known.onto[way], known.off[way]
    onto_s, off_s, off_fits = np.empty(m), np.empty(m), False
    for k in range(m):
        onto_s[k], off_s[k] = onto[k, 0], off[k, 0]
        if np.isnan(onto_s[k]):
            onto_s[k] = _least_s(leave, joined[k], words, rig)
        if np.isnan(off_s[k]):
            off_s[k] = _least_s(left[k], enter, words, rig)
        elif np.isfinite(off_s[k]):
            off_fits = True
    while True:
        a, b, best_s = -1, -1, np.inf
        for i in range(m):
            for j in range(m):
                total_s = onto_s[i] + off_s[j] + run_m[i, j] / rig.ahead_m_per_s
                if total_s < best_s:
                    a, b, best_s = i, j, total_s
        if a < 0:
            return -1, -1, np.inf
        # where nothing leads off, no turn onto the lane is looked for
        if np.isnan(off[b, 0]) and not (off_fits and np.isnan(onto[a, 0])):
            _look(left[b], enter, off[b], turning_off, region, rig)
            off_s[b] = off[b, 0]
            off_fits = off_fits or np.isfinite(off_s[b])
        elif np.isnan(onto[a, 0]):
            _look(leave, joined[a], onto[a], turning_onto, region, rig)
            onto_s[a] = onto[a, 0]
        else:
            return a, b, best_s


@compiled
def _look(leave: Array, enter: Array, known: Array, search: Search, region: Region, rig: Handling) -> None:
    """Write the quickest turn between two poses that fits, (3,) each, as `Known` has it."""
    known[0] = quickest_turn(leave, enter, search, region, rig, known[1:6], known[6:11])


@compiled_leaf
def _least_s(start: Array, end: Array, words: Array, rig: Handling) -> float:
    """What no turn takes less than: the shortest forward path, or one as straight with two changes of direction."""
    least_s = shortest_s(start, end, words, rig)
    if np.isfinite(rig.backing_ranks_s):
        turned = abs(np.arctan2(np.sin(end[2] - start[2]), np.cos(end[2] - start[2])))
        least_m = max(np.hypot(end[0] - start[0], end[1] - start[1]), turned * rig.radius_m)
        fastest_m_per_s = max(rig.ahead_m_per_s, rig.backing_m_per_s)
        least_s = min(least_s, least_m / fastest_m_per_s + 2 * rig.change_s)
    return float(least_s - _ROUNDING_S)
