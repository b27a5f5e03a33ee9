"""Transfers along lanes: closed lines that are joined a little ahead of the nearest point, followed, and left, each on the
shortest forward path.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.paths import path_inside
from fieldplan.kernels.region import Region
from fieldplan.kernels.words import TURNS, shortest_of
from fieldplan.model.coverage import Array, BoolArray, IntArray

NONE, DIRECT, ALONG = range(3)
"""How a transfer goes: not found, straight across, along a lane."""
_FIRST_STEP_M = 12.0


class Lanes(NamedTuple):
    """Closed lines, lane after lane.

    Parameters
    ----------
    points, station_m
        (n, 2) vertices, the last of each lane at its first, and how far along the lane each is, (n,).
    first
        (k + 1,) where the vertices of each lane begin.
    """

    points: Array
    station_m: Array
    first: IntArray


class Joining(NamedTuple):
    """How lanes are joined, and when.

    Parameters
    ----------
    ahead_m
        (m,) where a lane is joined and left, counted from the nearest point of it.
    near_m
        Transfers no longer than this go straight.
    saves_frac
        Others go straight if that saves this share of the time along the lane.
    roundabout
        They are roundabout if they are so many times as long as the straight way and a circle.
    """

    ahead_m: Array
    near_m: float
    saves_frac: float
    roundabout: float


class Found(NamedTuple):
    """Transfers of n pairs, (n,) each: how, along which lane, in its direction (1) or against it (-1), from which
    station on and how far, the poses (n, 3) at which it is joined and left, the time of the whole, and whether it is
    roundabout.

    Where none was found, it is, and the lane is that nearest to both poses, -1 without lanes.
    """

    how: IntArray
    lane: IntArray
    sign: Array
    since_m: Array
    run_m: Array
    joined: Array
    left: Array
    drive_s: Array
    roundabout: BoolArray


@compiled
def quickest_transfers(
    leave: Array, enter: Array, stay_off: Array, lanes: Lanes, region: Region, rig: Handling, join: Joining
) -> Found:
    """The quickest transfer of each pair of poses, (n, 3) each, straight or along a lane.

    Parameters
    ----------
    stay_off
        (n,) no lane is tried for pairs that are nearer to each other than this.
    """
    n = len(leave)
    found = Found(
        np.zeros(n, dtype=np.int64),
        np.zeros(n, dtype=np.int64),
        np.ones(n),
        np.zeros(n),
        np.zeros(n),
        np.zeros((n, 3)),
        np.zeros((n, 3)),
        np.full(n, np.inf),
        np.ones(n, dtype=np.bool_),
    )
    for i in range(n):
        _find(i, leave[i], enter[i], stay_off[i], lanes, region, rig, join, found)
        straight_m = np.hypot(enter[i, 0] - leave[i, 0], enter[i, 1] - leave[i, 1])
        most_m = join.roundabout * (straight_m + 2 * np.pi * rig.radius_m)
        found.roundabout[i] = found.drive_s[i] * rig.ahead_m_per_s > most_m
    return found


@compiled
def _find(
    i: int,
    leave: Array,
    enter: Array,
    stay_off_m: float,
    lanes: Lanes,
    region: Region,
    rig: Handling,
    join: Joining,
    found: Found,
) -> None:
    """Take the quickest transfer of one pair of poses, (3,) each."""
    across_s = _forward_s(leave, enter, region, rig)
    if np.isfinite(across_s):
        found.how[i], found.drive_s[i] = DIRECT, across_s
    if across_s * rig.ahead_m_per_s <= join.near_m:
        return
    lane, about_m = _nearest_lane(lanes, leave, enter)
    found.lane[i] = lane
    if np.hypot(enter[0] - leave[0], enter[1] - leave[1]) < stay_off_m:
        return
    if lane >= 0 and across_s > (1 - join.saves_frac) * about_m / rig.ahead_m_per_s:
        _along(i, lane, leave, enter, lanes, region, rig, join, found)


@compiled
def _along(
    i: int,
    lane: int,
    leave: Array,
    enter: Array,
    lanes: Lanes,
    region: Region,
    rig: Handling,
    join: Joining,
    found: Found,
) -> None:
    """Take the quickest transfer along a lane, in either direction, if it is to be driven rather than across."""
    length_m = lanes.station_m[lanes.first[lane + 1] - 1]
    here_m, _ = nearest_station(lanes, lane, leave[0], leave[1])
    there_m, _ = nearest_station(lanes, lane, enter[0], enter[1])
    n = len(join.ahead_m)
    joined, left, onto_s, off_s = np.empty((n, 3)), np.empty((n, 3)), np.empty(n), np.empty(n)
    words = np.empty((8, 3))
    across_s, best_s = found.drive_s[i], np.inf
    for sign in (1.0, -1.0):
        for k in range(n):
            pose_on(lanes, lane, here_m + sign * join.ahead_m[k], sign, joined[k])
            pose_on(lanes, lane, there_m - sign * join.ahead_m[k], sign, left[k])
            onto_s[k] = shortest_s(leave, joined[k], words, rig)
            off_s[k] = shortest_s(left[k], enter, words, rig)
        onto_known, off_known = np.zeros(n, dtype=np.bool_), np.zeros(n, dtype=np.bool_)
        while True:
            # the quickest way if all lead inside: those that are looked at and do not are passed over
            a, b, run_m, total_s = -1, -1, 0.0, best_s
            for j in range(n):
                for k in range(n):
                    back_m = join.ahead_m[j] + join.ahead_m[k]
                    on_m = (sign * (there_m - here_m) - back_m) % length_m
                    each_s = onto_s[j] + off_s[k] + on_m / rig.ahead_m_per_s
                    once_around = on_m > max(length_m - 2 * back_m, length_m / 2)
                    if once_around or each_s >= total_s or across_s <= (1 - join.saves_frac) * each_s:
                        continue
                    a, b, run_m, total_s = j, k, on_m, each_s
            if a < 0:
                break
            if not onto_known[a]:
                onto_s[a], onto_known[a] = _forward_s(leave, joined[a], region, rig), True
                continue
            if not off_known[b]:
                off_s[b], off_known[b] = _forward_s(left[b], enter, region, rig), True
                continue
            best_s = total_s
            found.how[i], found.lane[i], found.sign[i], found.drive_s[i] = ALONG, lane, sign, total_s
            found.since_m[i] = (here_m + sign * join.ahead_m[a]) % length_m
            found.run_m[i] = run_m
            for axis in range(3):
                found.joined[i, axis], found.left[i, axis] = joined[a, axis], left[b, axis]
            break


@compiled_leaf
def shortest_s(start: Array, end: Array, words: Array, rig: Handling) -> float:
    """The time of the shortest forward path, wherever it leads; ``words``, (8, 3), takes the lengths of all words."""
    word = shortest_of(start, end, rig.radius_m, words)
    return float((words[word, 0] + words[word, 1] + words[word, 2]) / rig.ahead_m_per_s)


@compiled
def _forward_s(start: Array, end: Array, region: Region, rig: Handling) -> float:
    """The time of the shortest forward path; infinite if it leads outside."""
    words, turns = np.empty((8, 3)), np.empty(3)
    word = shortest_of(start, end, rig.radius_m, words)
    turns[:] = TURNS[word]  # a kernel is compiled once more for what may not be written
    length_m = words[word, 0] + words[word, 1] + words[word, 2]
    for step_m in (_FIRST_STEP_M, rig.look_m):
        if not path_inside(region, start, turns, words[word], rig.radius_m, step_m):
            return np.inf
    return float(length_m / rig.ahead_m_per_s)


@compiled_leaf
def _nearest_lane(lanes: Lanes, leave: Array, enter: Array) -> tuple[int, float]:
    """The lane nearest to both poses, and at least how far it is along it; -1 without lanes."""
    best, least_m, about_m = -1, np.inf, np.inf
    for lane in range(len(lanes.first) - 1):
        here_m, away_m = nearest_station(lanes, lane, leave[0], leave[1])
        there_m, more_m = nearest_station(lanes, lane, enter[0], enter[1])
        if away_m + more_m < least_m:
            length_m = lanes.station_m[lanes.first[lane + 1] - 1]
            apart_m = abs(here_m - there_m)
            best, least_m = lane, away_m + more_m
            about_m = least_m + min(apart_m, length_m - apart_m)
    return best, about_m


@compiled_leaf
def nearest_station(lanes: Lanes, lane: int, x: float, y: float) -> tuple[float, float]:
    """Where on a lane it is nearest to a point, and how near."""
    at_m, least = 0.0, np.inf
    for k in range(lanes.first[lane], lanes.first[lane + 1] - 1):
        from_x, from_y = lanes.points[k, 0], lanes.points[k, 1]
        step_x, step_y = lanes.points[k + 1, 0] - from_x, lanes.points[k + 1, 1] - from_y
        square = step_x * step_x + step_y * step_y
        share = 0.0
        if square > 0.0:
            share = min(1.0, max(0.0, ((x - from_x) * step_x + (y - from_y) * step_y) / square))
        off = (x - from_x - share * step_x) ** 2 + (y - from_y - share * step_y) ** 2
        if off < least:
            least = off
            at_m = lanes.station_m[k] + share * (lanes.station_m[k + 1] - lanes.station_m[k])
    return at_m, np.sqrt(least)


@compiled_leaf
def pose_on(lanes: Lanes, lane: int, station_m: float, sign: float, pose: Array) -> None:
    """Write the pose at a station of a lane, facing along it or against it."""
    since, until = lanes.first[lane], lanes.first[lane + 1]
    at_m = station_m % lanes.station_m[until - 1]
    k, beyond = since, until - 1  # at_m lies from k on, and before beyond
    while beyond - k > 1:
        middle = (k + beyond) // 2
        if lanes.station_m[middle] <= at_m:
            k = middle
        else:
            beyond = middle
    step_x = lanes.points[k + 1, 0] - lanes.points[k, 0]
    step_y = lanes.points[k + 1, 1] - lanes.points[k, 1]
    length_m = lanes.station_m[k + 1] - lanes.station_m[k]
    share = (at_m - lanes.station_m[k]) / length_m if length_m > 0.0 else 0.0
    pose[0], pose[1] = lanes.points[k, 0] + share * step_x, lanes.points[k, 1] + share * step_y
    pose[2] = np.arctan2(sign * step_y, sign * step_x)
