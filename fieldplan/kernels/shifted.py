"""The quickest word between straights, of all pairs of straights that are tried before and after it.

Of many hundred candidates few fit, and all are seen to in the order of what tells soonest: what they take at least, by
closed forms; whether the middle of their middle part is outside; whether their first or their last arc is.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.beside import Beside, Circle, arc_inside, look_beside
from fieldplan.kernels.compiled import compiled, compiled_leaf, compiled_within
from fieldplan.kernels.driven import FIRST_STEP_RAD, NOWHERE_M, fits, timed
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.paths import along_part, inside_until
from fieldplan.kernels.region import Region, cell_clear_m, inside
from fieldplan.kernels.words import (
    LEAST_TURNED,
    LRL,
    LSR,
    N_FORWARD,
    ONE_CIRCLE,
    RLR,
    RSL,
    TURNS,
    Angles,
    angles_of,
    aside_m,
    bends_of,
    least_angle,
    least_turned,
    write_word,
)
from fieldplan.model.coverage import Array, BoolArray, IntArray

N_WORDS = 8
MORE_S = (20.0, 45.0, np.inf)
"""Words that take at most so much more than the shortest way without edges are looked at first, then others."""
_ROUNDING_S, _ROUNDING_BEND = 1e-6, 1e-9


class Tried(NamedTuple):
    """Straights before and after a word that are tried.

    Parameters
    ----------
    straights
        (k,) lengths, meters; negative ones are driven in reverse.
    pairs
        (m, 2) which of them are tried before and after.
    ahead_s, back_s
        (m,) the time by which they rank with a word that is driven ahead, and with one that backs.
    """

    straights: Array
    pairs: IntArray
    ahead_s: Array
    back_s: Array


class Desk(NamedTuple):
    """Room to reckon in: the turns and the lengths of a candidate, (5,) each; of each word what both of its arcs turn
    together at least, (8,), meters, and what is added to the way from pose to pose, (8, 2), as `aside_m` says; and of
    which pairs of straights it is known, (m,), by what time words between them rank at least, (m, 8), infinite for
    those that are refused; and the share of the middle part of each word, (8,), at which the last one that was seen to
    lead outside did: the next one mostly does there, too.
    """

    turns: Array
    parts: Array
    arcs_m: Array
    aside_m: Array
    known: BoolArray
    least_s: Array
    outside: Array


@compiled
def tried(straights: Array, pairs: IntArray, rig: Handling) -> Tried:
    """Straights with what they take."""
    ahead_s, back_s, parts = np.empty(len(pairs)), np.empty(len(pairs)), np.zeros(5)
    for j in range(len(pairs)):
        parts[0], parts[4] = straights[pairs[j, 0]], straights[pairs[j, 1]]
        backs = parts[0] < -NOWHERE_M or parts[4] < -NOWHERE_M
        ahead_s[j] = timed(parts, rig)[1]
        back_s[j] = ahead_s[j] + 2 * rig.change_s + (0.0 if backs else rig.backing_ranks_s)
    return Tried(straights, pairs, ahead_s, back_s)


@compiled
def a_desk(tried: Tried) -> Desk:
    """Room to reckon in."""
    known, least_s = np.zeros(len(tried.pairs), dtype=np.bool_), np.empty((len(tried.pairs), N_WORDS))
    arcs_m, outside = np.zeros(N_WORDS), np.full(N_WORDS, 0.5)
    return Desk(np.zeros(5), np.zeros(5), arcs_m, np.zeros((N_WORDS, 2)), known, least_s, outside)


@compiled_leaf
def shifted_if_quicker(
    leave: Array,
    enter: Array,
    tried: Tried,
    begun: Beside,
    ended: Beside,
    circles: tuple[Circle, Circle],
    region: Region,
    rig: Handling,
    shortest_s: float,
    below_s: float,
    desk: Desk,
    turn: Array,
    part: Array,
) -> float:
    """The time of the quickest word between straights that fits and ranks below a time, and into ``turn`` and
    ``part`` what it is made of; infinite if there is none.

    Those are looked at first that may take little more than the shortest way without edges.
    """
    if not (inside(region, leave[0], leave[1]) and inside(region, enter[0], enter[1])):
        return np.inf
    look_beside(begun, leave, tried.straights, 1.0, region, rig)
    look_beside(ended, enter, tried.straights, -1.0, region, rig)
    angles, best_s, most_s = angles_of(leave[2], enter[2]), np.inf, below_s
    for word in range(N_WORDS):
        desk.arcs_m[word] = rig.radius_m * least_turned(word, angles)
        desk.aside_m[word, 0], desk.aside_m[word, 1] = aside_m(word, angles, rig.radius_m)
    fastest_m_per_s = max(rig.ahead_m_per_s, rig.backing_m_per_s)
    arcs_m, desk.known[:] = desk.arcs_m[LEAST_TURNED], False
    for more_s in MORE_S:
        below_s = min(most_s, shortest_s + more_s)
        for j in range(len(tried.pairs)):
            before, after = tried.pairs[j, 0], tried.pairs[j, 1]
            room_m = (below_s - tried.ahead_s[j]) * fastest_m_per_s
            if not (arcs_m < room_m and begun.inside[before] and ended.inside[after]):
                continue
            if not desk.known[j]:
                ahead_x, ahead_y = ended.x[after] - begun.x[before], ended.y[after] - begun.y[before]
                if not ahead_x * ahead_x + ahead_y * ahead_y < room_m * room_m:
                    continue
                _write_least(j, ahead_x, ahead_y, tried, rig, desk)
            for word in range(N_WORDS):
                if not desk.least_s[j, word] < below_s + _ROUNDING_S:
                    continue
                x = ended.x[after] - begun.x[before] + desk.aside_m[word, 0]
                y = ended.y[after] - begun.y[before] + desk.aside_m[word, 1]
                more_m = _more_m(word, before, after, x, y, begun, ended, angles, region, rig, desk)
                if more_m == np.inf:
                    desk.least_s[j, word] = np.inf
                if not desk.least_s[j, word] + more_m / rig.ahead_m_per_s < below_s + _ROUNDING_S:
                    continue
                turn_s, rank_s = _written(word, before, after, x, y, tried, angles, rig, desk)
                if not rank_s < below_s:
                    continue
                desk.least_s[j, word] = np.inf
                if _fits(leave, word, before, after, begun, ended, circles, region, rig, desk):
                    below_s, best_s = rank_s, turn_s
                    for k in range(5):
                        turn[k], part[k] = desk.turns[k], desk.parts[k]
        if best_s < np.inf or below_s == most_s:
            break
    return best_s


@compiled_within
def _write_least(j: int, ahead_x: float, ahead_y: float, tried: Tried, rig: Handling, desk: Desk) -> None:
    """Write by what time each word between two straights ranks at least: so far is it from pose to pose."""
    radius_m, ahead_s, back_s = rig.radius_m, tried.ahead_s[j], tried.back_s[j]
    desk.known[j] = True
    for word in range(LRL + 1):
        x, y = ahead_x + desk.aside_m[word, 0], ahead_y + desk.aside_m[word, 1]
        square, arcs_m = x * x + y * y, desk.arcs_m[word]
        if word in (RLR, LRL):
            share = np.sqrt(square) / (4 * radius_m)
            least_m = np.pi * radius_m * (2 - share) if share <= 1 else np.inf
        elif word in (LSR, RSL):
            least_m = arcs_m + np.sqrt(square - 4 * radius_m * radius_m)
        else:
            apart_m = np.sqrt(square)
            least_m = arcs_m + apart_m
            back = N_FORWARD + word
            desk.least_s[j, back] = back_s + arcs_m / rig.ahead_m_per_s + apart_m / rig.backing_m_per_s
        desk.least_s[j, word] = ahead_s + least_m / rig.ahead_m_per_s


@compiled_within
def _more_m(
    word: int,
    before: int,
    after: int,
    x: float,
    y: float,
    begun: Beside,
    ended: Beside,
    angles: Angles,
    region: Region,
    rig: Handling,
    desk: Desk,
) -> float:
    """How much longer than thought the arcs of a word between a pair of straights are at least, meters; infinite if it
    does not fit, by some points of its middle part and by what is known of arcs; ``x, y`` as `write_word` has them.
    """
    radius_m, (a_x, a_y) = rig.radius_m, angles.along_a
    first_side, last_side = 0 if TURNS[word, 0] > 0 else 1, 0 if TURNS[word, 2] > 0 else 1
    first_turn = TURNS[word, 0]
    if desk.arcs_m[word] >= begun.until_m[before, first_side] + ended.until_m[after, last_side]:
        return np.inf
    square = x * x + y * y
    at_x = begun.x[before] - first_turn * radius_m * a_y
    at_y = begun.y[before] + first_turn * radius_m * a_x
    if word in (LSR, RSL):
        if cell_clear_m(region, at_x + x / 2, at_y + y / 2) < 0.0:
            return np.inf
        middle_m = np.sqrt(square - 4 * radius_m * radius_m)
        across = first_turn * 2 * radius_m
        ahead_x, ahead_y = (x * middle_m - y * across) / square, (x * across + y * middle_m) / square
    else:
        apart_m = np.sqrt(square)
        if not apart_m > ONE_CIRCLE * radius_m:
            return 0.0
        ahead_x, ahead_y = x / apart_m, y / apart_m
        if word in (RLR, LRL):
            share = apart_m / (4 * radius_m)
            out_m = 2 * np.sqrt(1 - share * share) * radius_m
            at_x, at_y = (
                at_x + x / 2 - first_turn * out_m * ahead_y,
                at_y + y / 2 + first_turn * out_m * ahead_x,
            )
            x, y = ahead_x * radius_m, ahead_y * radius_m
            if (
                cell_clear_m(region, at_x - first_turn * y, at_y + first_turn * x) < 0.0
                or cell_clear_m(region, at_x + x, at_y + y) < 0.0
                or cell_clear_m(region, at_x - x, at_y - y) < 0.0
            ):
                return np.inf
            return 0.0
        middle_m = apart_m
        if word >= N_FORWARD:
            ahead_x, ahead_y, middle_m = -ahead_x, -ahead_y, -apart_m
    first, last = bends_of(word, ahead_x, ahead_y, angles)
    if first > begun.until[before, first_side] + _ROUNDING_BEND:
        return np.inf
    if last > ended.until[after, last_side] + _ROUNDING_BEND:
        return np.inf
    at_x, at_y = at_x + first_turn * radius_m * ahead_y, at_y - first_turn * radius_m * ahead_x
    by_x, by_y = ahead_x * middle_m, ahead_y * middle_m
    if (
        cell_clear_m(region, at_x + by_x / 2, at_y + by_y / 2) < 0.0
        or cell_clear_m(region, at_x + by_x, at_y + by_y) < 0.0
        or cell_clear_m(region, at_x, at_y) < 0.0
        or cell_clear_m(region, at_x + by_x / 4, at_y + by_y / 4) < 0.0
        or cell_clear_m(region, at_x + by_x * 0.75, at_y + by_y * 0.75) < 0.0
    ):
        return np.inf
    # one of the points by which the part would be judged
    n = np.ceil(abs(middle_m) / rig.look_m)
    share = np.rint(desk.outside[word] * n) / max(n, 1.0)
    if not inside(region, at_x + by_x * share, at_y + by_y * share):
        return np.inf
    return float(max(0.0, radius_m * least_angle(first + last, 2) - desk.arcs_m[word]))


@compiled_within
def _written(
    word: int,
    before: int,
    after: int,
    x: float,
    y: float,
    tried: Tried,
    angles: Angles,
    rig: Handling,
    desk: Desk,
) -> tuple[float, float]:
    """Write a word between a pair of straights; the time of it, and that by which it ranks."""
    desk.parts[0], desk.parts[4] = tried.straights[before], tried.straights[after]
    write_word(word, x, y, angles, rig.radius_m, desk.parts[1:4])
    for k in range(3):
        desk.turns[1 + k] = TURNS[word, k]
    return timed(desk.parts, rig)


@compiled_within
def _fits(
    leave: Array,
    word: int,
    before: int,
    after: int,
    begun: Beside,
    ended: Beside,
    circles: tuple[Circle, Circle],
    region: Region,
    rig: Handling,
    desk: Desk,
) -> bool:
    """Whether what is written fits between two straights: its arcs first, as each is looked at once."""
    turns, parts = desk.turns, desk.parts
    first_side, last_side = 0 if turns[1] > 0 else 1, 0 if turns[3] > 0 else 1
    return bool(
        parts[1] < begun.until_m[before, first_side]
        and parts[3] < ended.until_m[after, last_side]
        and arc_inside(begun, before, turns[1], parts[1], 1.0, circles, region)
        and arc_inside(ended, after, turns[3], parts[3], -1.0, circles, region)
        and _middle_inside(begun, word, before, desk, region, rig)
        and fits(region, leave, turns, parts, rig)
    )


@compiled_leaf
def _middle_inside(
    begun: Beside, word: int, before: int, desk: Desk, region: Region, rig: Handling
) -> bool:
    """Whether the middle part of what is written is inside, behind a straight; else it is kept where it is not."""
    turns, parts = desk.turns, desk.parts
    start_x, start_y, start_angle = begun.x[before], begun.y[before], begun.facing[0]
    x, y, angle = along_part(start_x, start_y, start_angle, turns[1], parts[1], rig.radius_m)
    for step_m in (FIRST_STEP_RAD * rig.radius_m, rig.look_m):
        until_m = inside_until(region, x, y, angle, turns[2], parts[2], rig.radius_m, step_m)
        if np.isfinite(until_m):
            desk.outside[word] = until_m / max(abs(parts[2]), NOWHERE_M)
            return False
    return True
