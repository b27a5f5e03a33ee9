"""The quickest turn that stays inside, among words begun and ended by straights.

A turn has five parts: a straight, the three parts of a word, a straight. The two lines may also be joined by
one arc between straights. Where the quickest of these fits, it is the turn; where none does, or only a slow
one, those with straights of given lengths before and after are tried in the order of time.
"""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.beside import circles_of, none_beside, shifted
from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.driven import fits, timed
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.region import Region
from fieldplan.kernels.shifted import N_WORDS, a_desk, shifted_if_quicker, tried
from fieldplan.kernels.words import N_FORWARD, TURNS, tangent_arc, words_of
from fieldplan.model.coverage import Array, BoolArray, IntArray


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
    ways, begun, ended = (
        tried(straights, pairs, rig),
        none_beside(len(straights)),
        none_beside(len(straights)),
    )
    desk = a_desk(ways)
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
        better_s = shifted_if_quicker(
            leave[i],
            enter[i],
            ways,
            begun,
            ended,
            circles,
            region,
            rig,
            least_s,
            rank_s,
            desk,
            turns[i],
            parts[i],
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


@compiled_leaf
def _copy(turns: Array, parts: Array, k: int, to_turns: Array, to_parts: Array, i: int) -> None:
    for part in range(5):
        to_turns[i, part], to_parts[i, part] = turns[k, part], parts[k, part]
