"""The quickest turn that stays inside, among words begun and ended by straights.

A turn has five parts: a straight, the three parts of a word, a straight. The two lines may also be joined by
one arc between straights. Where the quickest of these fits, it is the turn; where none does, or only a slow
one, those with straights of given lengths before and after are tried in the order of time.
"""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.beside import Circle, arc_inside, beside, circles_of, shifted
from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.paths import (
    along_part,
    inside_until,
    path_inside,
    swings,
    swings_inside,
    swung_point,
)
from fieldplan.kernels.region import Region, inside
from fieldplan.kernels.words import (
    LEAST_TURNED,
    N_FORWARD,
    TURNS,
    angles_of,
    aside_m,
    least_turned,
    may_turn_less,
    straight_m,
    tangent_arc,
    words_of,
    write_word,
)
from fieldplan.model.coverage import Array, BoolArray, IntArray

_NOWHERE_M = 1e-6
_FIRST_STEP_RAD = 1.0
"""Few points of a path are looked at first: most that lead outside are seen to by these."""
_N_WORDS = 8
_ROUNDING_S = 1e-6


@compiled
def quickest_turns(
    leave: Array, enter: Array, straights: Array, pairs: IntArray, region: Region, rig: Handling
) -> tuple[BoolArray, Array, Array, Array]:
    """The quickest turn that fits of each pair of poses, (n, 3) each.

    Parameters
    ----------
    straights
        (k,) lengths of straights that are tried, meters; negative ones are driven in reverse.
    pairs
        (m, 2) which of them are tried before and after.

    Returns
    -------
    found, turn_s, turns, parts
        (n,), (n,), (n, 5), (n, 5); where nothing fits, the shortest way forward.
    """
    n, circles = len(leave), circles_of(rig)
    found, turn_s = np.zeros(n, dtype=np.bool_), np.full(n, np.inf)
    turns, parts = np.zeros((n, 5)), np.zeros((n, 5))
    for i in range(n):
        some_turns, some_parts, some_s, some_rank_s = _without_shifts(leave[i], enter[i], rig)
        shortest = _least(some_rank_s, N_FORWARD)
        least_s, rank_s = some_rank_s[shortest], np.inf
        best, best_rank_s = _quickest_that_fits(region, leave[i], some_turns, some_parts, some_rank_s, rig)
        _copy(some_turns, some_parts, best if best >= 0 else shortest, turns, parts, i)
        if best >= 0:
            found[i], turn_s[i], rank_s = True, some_s[best], best_rank_s
        if rank_s <= least_s + rig.slow_s:
            continue
        better_s = _shifted_if_quicker(
            leave[i], enter[i], straights, pairs, circles, region, rig, rank_s, turns[i], parts[i]
        )
        if np.isfinite(better_s):
            found[i], turn_s[i] = True, better_s
    return found, turn_s, turns, parts


@compiled
def with_shifts(
    leave: Array, enter: Array, shifts: Array, rig: Handling
) -> tuple[Array, Array, Array, Array]:
    """All words between straights, whether they fit or not.

    Returns
    -------
    turns, parts, turn_s, rank_s
        (k, 5), (k, 5), (k,), (k,); times are infinite for words that do not exist.
    """
    n = len(shifts) * _N_WORDS
    turns, parts, turn_s, rank_s = np.zeros((n, 5)), np.zeros((n, 5)), np.empty(n), np.empty(n)
    words, start, end = np.empty((_N_WORDS, 3)), np.empty(3), np.empty(3)
    for k in range(n):
        j, word = divmod(k, _N_WORDS)
        if word == 0:
            shifted(leave, shifts[j, 0], start)
            shifted(enter, -shifts[j, 1], end)
            words_of(start, end, rig.radius_m, words)
        _write(shifts[j, 0], words, word, shifts[j, 1], turns[k], parts[k])
        turn_s[k], rank_s[k] = _timed(parts[k], rig)
    return turns, parts, turn_s, rank_s


@compiled
def _shifted_if_quicker(
    leave: Array,
    enter: Array,
    straights: Array,
    pairs: IntArray,
    circles: tuple[Circle, Circle],
    region: Region,
    rig: Handling,
    below_s: float,
    turn: Array,
    part: Array,
) -> float:
    """The time of the quickest word between straights that fits and ranks below a time, and into ``turn`` and
    ``part`` what it is made of; infinite if there is none.

    Pairs of straights that cannot lead to a better one are passed over: a bound are their own time, and the
    straight line between them or the arcs that it takes to face the other way. So are words of which the first
    or the last arc leads outside, and those are found once for each straight.
    """
    if not (inside(region, leave[0], leave[1]) and inside(region, enter[0], enter[1])):
        return np.inf
    begun, ended = beside(leave, straights, 1.0, region, rig), beside(enter, straights, -1.0, region, rig)
    turns, parts, best_s = np.zeros(5), np.zeros(5), np.inf
    fastest_m_per_s = max(rig.ahead_m_per_s, rig.backing_m_per_s)
    angles, arcs_m = angles_of(leave[2], enter[2]), np.empty(_N_WORDS)
    for word in range(_N_WORDS):
        arcs_m[word] = rig.radius_m * least_turned(word, angles)
    for j in range(len(pairs)):
        before, after = pairs[j, 0], pairs[j, 1]
        if not (begun.inside[before] and ended.inside[after]):
            continue
        start, end = begun.poses[before], ended.poses[after]
        parts[0], parts[1], parts[2], parts[3], parts[4] = (
            straights[before],
            0.0,
            0.0,
            0.0,
            straights[after],
        )
        straights_s = _timed(parts, rig)[1]
        ahead_x, ahead_y = end[0] - start[0], end[1] - start[1]
        least_m = max(arcs_m[LEAST_TURNED], np.hypot(ahead_x, ahead_y))
        if straights_s + least_m / fastest_m_per_s >= below_s:
            continue
        for word in range(_N_WORDS):
            aside_x, aside_y = aside_m(word, angles, rig.radius_m)
            x, y = ahead_x + aside_x, ahead_y + aside_y
            middle_m = straight_m(word, np.sqrt(x * x + y * y), rig.radius_m)
            least_s = straights_s + (arcs_m[word] + abs(middle_m)) / fastest_m_per_s
            if not least_s < below_s + _ROUNDING_S:
                continue
            first_m = begun.until_m[before, 0 if TURNS[word, 0] > 0 else 1]
            last_m = ended.until_m[after, 0 if TURNS[word, 2] > 0 else 1]
            if arcs_m[word] >= first_m + last_m:
                continue
            if not may_turn_less(word, x, y, middle_m, angles, first_m, last_m, rig.radius_m):
                continue
            write_word(word, x, y, angles, rig.radius_m, parts[1:4])
            turn_s, rank_s = _timed(parts, rig)
            if not (rank_s < below_s and parts[1] < first_m and parts[3] < last_m):
                continue
            turns[1], turns[2], turns[3] = TURNS[word, 0], TURNS[word, 1], TURNS[word, 2]
            if (
                arc_inside(begun, before, turns[1], parts[1], 1.0, circles, region)
                and arc_inside(ended, after, turns[3], parts[3], -1.0, circles, region)
                and _middle_inside(region, start, turns, parts, rig)
                and fits(region, leave, turns, parts, rig)
            ):
                below_s, best_s = rank_s, turn_s
                for k in range(5):
                    turn[k], part[k] = turns[k], parts[k]
    return best_s


@compiled_leaf
def _middle_inside(region: Region, start: Array, turns: Array, parts: Array, rig: Handling) -> bool:
    """Whether the middle part of a path of which ``start`` is the first arc's beginning is inside."""
    x, y, angle = along_part(start[0], start[1], start[2], turns[1], parts[1], rig.radius_m)
    for step_m in (_FIRST_STEP_RAD * rig.radius_m, rig.look_m):
        until_m = inside_until(region, x, y, angle, turns[2], parts[2], rig.radius_m, step_m)
        if np.isfinite(until_m):
            return False
    return True


@compiled
def all_fit(region: Region, start: Array, turns: Array, parts: Array, rig: Handling) -> BoolArray:
    """Whether the whole rig stays inside along each path, (n,): (n, 3), (n, k), (n, k)."""
    held = np.empty(len(start), dtype=np.bool_)
    for i in range(len(start)):
        held[i] = fits(region, start[i], turns[i], parts[i], rig)
    return held


@compiled
def depths_beyond(
    start: Array, turns: Array, parts: Array, beyond_x: float, beyond_y: float, rig: Handling
) -> Array:
    """How far paths from one pose, (3,), with the front of the tractor, lead in a direction from the origin.

    Parameters
    ----------
    turns, parts
        (n, 5) each.
    beyond_x, beyond_y
        The direction as a unit vector.

    Returns
    -------
    depth_m
        (n,) at least 0; infinite for paths that lead no less far than one before them.
    """
    depth_m, least_m = np.empty(len(parts)), np.inf
    for i in range(len(parts)):
        depth_m[i] = _depth_beyond(start, turns[i], parts[i], beyond_x, beyond_y, least_m, rig)
        least_m = min(least_m, depth_m[i])
    return depth_m


@compiled_leaf
def _depth_beyond(
    start: Array, turns: Array, parts: Array, beyond_x: float, beyond_y: float, most_m: float, rig: Handling
) -> float:
    """How far one path leads; infinite if that is no less than the most that counts."""
    x, y, angle, depth_m = start[0], start[1], start[2], 0.0
    for k in range(len(parts)):
        n = int(np.ceil(abs(parts[k]) / rig.look_m))
        for nth in range(1, n + 1):
            at_x, at_y, _ = along_part(x, y, angle, turns[k], parts[k] * nth / n, rig.radius_m)
            depth_m = max(depth_m, at_x * beyond_x + at_y * beyond_y)
            if depth_m >= most_m:
                return np.inf
        if rig.front_beyond_m > 0.0:
            n, since_m, apart_m = swings(turns, parts, k, rig.radius_m, rig.look_m, rig.swing_from_rad)
            for nth in range(n):
                at_m = since_m + nth * apart_m
                at_x, at_y = swung_point(x, y, angle, turns[k], at_m, rig.radius_m, rig.front_beyond_m)
                depth_m = max(depth_m, at_x * beyond_x + at_y * beyond_y)
        x, y, angle = along_part(x, y, angle, turns[k], parts[k], rig.radius_m)
    return depth_m if depth_m < most_m else np.inf


@compiled_leaf
def fits(region: Region, start: Array, turns: Array, parts: Array, rig: Handling) -> bool:
    """Whether the drill and the front of the tractor stay inside along a path."""
    if not path_inside(region, start, turns, parts, rig.radius_m, _FIRST_STEP_RAD * rig.radius_m):
        return False
    step_m = rig.look_m
    if not path_inside(region, start, turns, parts, rig.radius_m, step_m):
        return False
    return rig.front_beyond_m <= 0.0 or swings_inside(
        region, start, turns, parts, rig.radius_m, step_m, rig.front_beyond_m, rig.swing_from_rad
    )


@compiled
def _without_shifts(leave: Array, enter: Array, rig: Handling) -> tuple[Array, Array, Array, Array]:
    """All words, and one arc between straights, as `with_shifts` returns them."""
    turns, parts = np.zeros((_N_WORDS + 1, 5)), np.zeros((_N_WORDS + 1, 5))
    turn_s, rank_s = np.empty(_N_WORDS + 1), np.empty(_N_WORDS + 1)
    words = np.empty((_N_WORDS, 3))
    words_of(leave, enter, rig.radius_m, words)
    for word in range(_N_WORDS):
        _write(0.0, words, word, 0.0, turns[word], parts[word])
    turns[_N_WORDS, 2] = tangent_arc(leave, enter, rig.radius_m, rig.parallel, parts[_N_WORDS])
    for k in range(_N_WORDS + 1):
        turn_s[k], rank_s[k] = _timed(parts[k], rig)
    return turns, parts, turn_s, rank_s


@compiled_leaf
def _quickest_that_fits(
    region: Region, leave: Array, turns: Array, parts: Array, rank_s: Array, rig: Handling
) -> tuple[int, float]:
    """The candidate of least rank that fits, -1 if none does, and its rank."""
    passed_s, passed = -np.inf, -1
    for _ in range(len(rank_s)):
        best, least_s = -1, np.inf
        for k in range(len(rank_s)):
            later = rank_s[k] > passed_s or (rank_s[k] == passed_s and k > passed)
            if later and rank_s[k] < least_s:
                best, least_s = k, rank_s[k]
        if best < 0 or fits(region, leave, turns[best], parts[best], rig):
            return best, least_s
        passed_s, passed = least_s, best
    return -1, np.inf


@compiled_leaf
def _least(values: Array, n: int) -> int:
    """The first of the least of the first n values; -1 if none is finite."""
    best, least = -1, np.inf
    for k in range(n):
        if values[k] < least:
            best, least = k, values[k]
    return best


@compiled_leaf
def _write(before_m: float, words: Array, word: int, after_m: float, turn: Array, part: Array) -> None:
    """Write a word between straights as a candidate, (5,) each."""
    part[0], part[4] = before_m, after_m
    for k in range(3):
        part[1 + k] = words[word, k]
        turn[1 + k] = TURNS[word, k]


@compiled_leaf
def _copy(turns: Array, parts: Array, k: int, to_turns: Array, to_parts: Array, i: int) -> None:
    for part in range(5):
        to_turns[i, part], to_parts[i, part] = turns[k, part], parts[k, part]


@compiled_leaf
def _timed(parts: Array, rig: Handling) -> tuple[float, float]:
    """The time of a turn and that by which it ranks; infinite where it does not exist."""
    ahead_m, back_m, changes = 0.0, 0.0, 0
    for k in range(len(parts)):
        length_m = parts[k]
        if length_m < 0.0:
            back_m -= length_m
            if length_m < -_NOWHERE_M:
                changes += 2
        else:
            ahead_m += length_m
    turn_s = ahead_m / rig.ahead_m_per_s + back_m / rig.backing_m_per_s + changes * rig.change_s
    if not np.isfinite(turn_s):
        return np.inf, np.inf
    return turn_s, turn_s + (rig.backing_ranks_s if changes else 0.0)
