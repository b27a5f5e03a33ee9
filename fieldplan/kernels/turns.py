"""The quickest turn that stays inside, among words begun and ended by straights.

A turn has five parts: a straight, the three parts of a word, a straight. The two lines may also be joined by
one arc between straights. Where the quickest of these fits, it is the turn; where none does, or only a slow
one, those with straights of given lengths before and after are tried in the order of time.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.beside import Beside, Circle, circles_of, none_beside, shifted
from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.driven import fits, timed
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.region import Region
from fieldplan.kernels.shifted import N_WORDS, Desk, Tried, a_desk, shifted_if_quicker, tried
from fieldplan.kernels.words import N_FORWARD, TURNS, tangent_arc, words_of
from fieldplan.model.coverage import Array, IntArray


class Search(NamedTuple):
    """What turns are searched with: straights that are tried, what is known beside the last poses, and room to reckon in."""

    tried: Tried
    begun: Beside
    ended: Beside
    circles: tuple[Circle, Circle]
    desk: Desk


@compiled
def a_search(straights: Array, pairs: IntArray, rig: Handling) -> Search:
    """A search for turns of which nothing is known; ``straights`` and ``pairs`` as `quickest_turns` takes them."""
    ways, n = tried(straights, pairs, rig), len(straights)
    return Search(ways, none_beside(n), none_beside(n), circles_of(rig), a_desk(ways))


@compiled
def quickest_turns(
    leave: Array, enter: Array, straights: Array, pairs: IntArray, region: Region, rig: Handling
) -> Array:
    """The quickest turn that fits of each pair of poses, (n, 3) each.

    Parameters
    ----------
    straights
        (k,) lengths of straights that are tried, meters; negative ones are driven in reverse.
    pairs
        (m, 2) which of them are tried before and after.

    Returns
    -------
    Array
        (n, 11) the time, what the five parts of the turn are, and their lengths; where nothing fits, the time is
        infinite, and the rest the shortest way forward.
    """
    n, search = len(leave), a_search(straights, pairs, rig)
    found = np.zeros((n, 11))
    for i in range(n):
        one = found[i]
        one[0] = quickest_turn(leave[i], enter[i], search, region, rig, one[1:6], one[6:11])
    return found


@compiled
def quickest_turn(
    leave: Array, enter: Array, search: Search, region: Region, rig: Handling, turn: Array, part: Array
) -> float:
    """The time of the quickest turn that fits between two poses, (3,) each, and into ``turn`` and ``part``, (5,) each,
    what it is made of; infinite, with the shortest way forward, if nothing fits.
    """
    some_turns, some_parts, some_s, some_rank_s = _without_shifts(leave, enter, rig)
    shortest = _least(some_rank_s, N_FORWARD)
    least_s, rank_s, turn_s = some_rank_s[shortest], np.inf, np.inf
    best, best_rank_s = _quickest_that_fits(region, leave, some_turns, some_parts, some_rank_s, rig)
    chosen = best if best >= 0 else shortest
    for k in range(5):
        turn[k], part[k] = some_turns[chosen, k], some_parts[chosen, k]
    if best >= 0:
        turn_s, rank_s = some_s[best], best_rank_s
    if rank_s <= least_s + rig.slow_s:
        return float(turn_s)
    better_s = shifted_if_quicker(
        leave,
        enter,
        search.tried,
        search.begun,
        search.ended,
        search.circles,
        region,
        rig,
        least_s,
        rank_s,
        search.desk,
        turn,
        part,
    )
    return float(better_s if np.isfinite(better_s) else turn_s)


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
    n = len(shifts) * N_WORDS
    turns, parts, turn_s, rank_s = np.zeros((n, 5)), np.zeros((n, 5)), np.empty(n), np.empty(n)
    words, start, end = np.empty((N_WORDS, 3)), np.empty(3), np.empty(3)
    for k in range(n):
        j, word = divmod(k, N_WORDS)
        if word == 0:
            shifted(leave, shifts[j, 0], start)
            shifted(enter, -shifts[j, 1], end)
            words_of(start, end, rig.radius_m, words)
        _write(shifts[j, 0], words, word, shifts[j, 1], turns[k], parts[k])
        turn_s[k], rank_s[k] = timed(parts[k], rig)
    return turns, parts, turn_s, rank_s


@compiled
def _without_shifts(leave: Array, enter: Array, rig: Handling) -> tuple[Array, Array, Array, Array]:
    """All words, and one arc between straights, as `with_shifts` returns them."""
    turns, parts = np.zeros((N_WORDS + 1, 5)), np.zeros((N_WORDS + 1, 5))
    turn_s, rank_s = np.empty(N_WORDS + 1), np.empty(N_WORDS + 1)
    words = np.empty((N_WORDS, 3))
    words_of(leave, enter, rig.radius_m, words)
    for word in range(N_WORDS):
        _write(0.0, words, word, 0.0, turns[word], parts[word])
    turns[N_WORDS, 2] = tangent_arc(leave, enter, rig.radius_m, rig.parallel, parts[N_WORDS])
    for k in range(N_WORDS + 1):
        turn_s[k], rank_s[k] = timed(parts[k], rig)
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
