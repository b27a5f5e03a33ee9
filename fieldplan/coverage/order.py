"""In which order the passes of a block are driven.

With turning radius R and strips w wide, the pass beside the last one takes a bulb turn. Moving over
s >= 2R/w strips takes a U turn, which saves up to half the turning distance (D. D. Bochtis and S. G.
Vougioukas, Biosystems Engineering 101, 2008). Two patterns use that:

- groups of 2s + 1 strips, in the sequence 0, s, 2s, … modulo 2s + 1: every move is s or s + 1 strips wide
  (1 5 9 4 8 3 7 2 6 for s = 4), and a driver can follow it without guidance;
- sweeps over the whole block: strips 0, s, 2s, … one way, then back over the strips beside them.
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

import numpy as np

from fieldplan.model.coverage import Array, IntArray

MAX_EXACT = 12
"""Up to this many passes the order with the least turning is found exactly."""
MAX_IMPROVED = 40
"""Up to this many passes an order is improved by local search."""
_MIN_GAIN_M = 1e-6
"""Improvements smaller than this are rounding."""


@lru_cache(maxsize=4096)
def pass_order(
    n_passes: int, radius_m: float, width_m: float, *, plain: bool = False, may_back_up: bool = False
) -> tuple[int, ...]:
    """The order in which n side-by-side passes, all with level ends, are driven.

    Up to `MAX_EXACT` passes it is the order with the least turning. Up to `MAX_IMPROVED`, the better of the
    two patterns is improved by local search. A longer order stretches the middle of such an order, where
    all turns are U turns, if that beats both patterns.

    Parameters
    ----------
    width_m
        Distance between two passes side by side.
    plain
        Whether to keep to the pattern that a driver can follow without guidance.
    may_back_up
        Whether a turn between near passes may back up instead of making a bulb.

    Returns
    -------
    tuple of int
        Positions of the passes, counted from 0 across the block; the first one is 0.

    Examples
    --------
    >>> pass_order(9, 6.0, 3.0)
    (0, 4, 8, 3, 7, 2, 6, 1, 5)
    """
    if n_passes <= MAX_EXACT:
        return min_turning(n_passes, radius_m, width_m, may_back_up)
    skip = max(1, math.ceil(2 * radius_m / width_m - 1e-9))
    groups = _in_groups(n_passes, skip, radius_m, width_m, may_back_up)
    if plain:
        return groups
    orders = [groups, _in_sweeps(n_passes, skip), _in_sweeps(n_passes, skip + 1)]
    if n_passes > MAX_IMPROVED:
        # the longest order found by search whose length differs from n by whole moves of skip passes
        base = MAX_IMPROVED - skip + 1 + (n_passes - MAX_IMPROVED - 1) % skip
        searched = pass_order(base, radius_m, width_m, may_back_up=may_back_up)
        stretched = _stretched(searched, skip, (n_passes - base) // skip)
        orders += [] if stretched is None else [stretched]
    best = min(orders, key=lambda order: turning_m(order, radius_m, width_m, may_back_up))
    if n_passes > MAX_IMPROVED:
        return best
    return _improved(best, _turns_by_passes_apart(n_passes, radius_m, width_m, may_back_up))


def _stretched(order: tuple[int, ...], skip: int, times: int) -> tuple[int, ...] | None:
    """The order with ``skip · times`` passes added in its middle; ``None`` if no place there fits.

    A place fits if the order crosses it in exactly ``skip`` moves of ``skip`` passes: each such move is
    then made ``times + 1`` times, and together they visit every added pass once.
    """
    positions = np.array(order)
    for middle in sorted(range(skip, len(order) - skip), key=lambda m: abs(m - len(order) // 2)):
        crossing = np.flatnonzero((positions[:-1] < middle) != (positions[1:] < middle))
        if len(crossing) == skip and (np.abs(positions[crossing + 1] - positions[crossing]) == skip).all():
            grown = np.where(positions >= middle, positions + skip * times, positions)
            pieces, n_copied = [], 0
            for k in crossing.tolist():
                upward = positions[k] < middle
                added = np.arange(1, times + 1) * skip
                added = positions[k] + added if upward else positions[k] + skip * times - added
                pieces += [grown[n_copied : k + 1], added]
                n_copied = k + 1
            return tuple(np.concatenate([*pieces, grown[n_copied:]]).tolist())
    return None


def _in_groups(n: int, skip: int, radius_m: float, width_m: float, may_back_up: bool) -> tuple[int, ...]:
    """Groups of 2s + 1 passes one after the other, each in the order whose turns are all U turns.

    The passes left over are ordered in the same manner, with a smaller skip if they are fewer than a group.
    """
    group = 2 * skip + 1
    if n <= MAX_EXACT:
        return min_turning(n, radius_m, width_m, may_back_up)
    if n < group:
        return _in_groups(n, (n - 1) // 2, radius_m, width_m, may_back_up)
    n_groups = n // group
    order = [nth * group + (k * skip) % group for nth in range(n_groups) for k in range(group)]
    rest = _in_groups(n - n_groups * group, skip, radius_m, width_m, may_back_up) if n % group else ()
    return (*order, *(n_groups * group + k for k in rest))


def _in_sweeps(n: int, step: int) -> tuple[int, ...]:
    """Every ``step``-th pass from one side to the other, then back over those beside them, and so on."""
    order: list[int] = []
    for k in range(step):
        sweep = list(range(k, n, step))
        order += sweep if k % 2 == 0 else sweep[::-1]
    return tuple(order)


def level_turn_m(distance_m: float, radius_m: float, may_back_up: bool = False) -> float:
    """Length of a turn between two passes with level ends, a distance d apart.

    U turn, d >= 2R: π·R + d − 2R. Bulb turn, d < 2R: R·(3π − 4·asin((2R + d)/4R)). With a stretch in
    reverse instead of the bulb: π·R + 2R − d.

    Examples
    --------
    >>> round(level_turn_m(12.0, 5.0), 2), round(level_turn_m(3.0, 5.0), 2)
    (17.71, 32.97)
    """
    if distance_m >= 2 * radius_m:
        return math.pi * radius_m + distance_m - 2 * radius_m
    if may_back_up:
        return math.pi * radius_m + 2 * radius_m - distance_m
    return radius_m * (3 * math.pi - 4 * math.asin((2 * radius_m + distance_m) / (4 * radius_m)))


def turning_m(order: tuple[int, ...], radius_m: float, width_m: float, may_back_up: bool = False) -> float:
    """Length of all turns of an order of passes with level ends.

    Parameters
    ----------
    order
        Positions of the passes in driving order, as `pass_order` gives them.
    """
    return sum(level_turn_m(abs(b - a) * width_m, radius_m, may_back_up) for a, b in pairwise(order))


def _turns_by_passes_apart(n: int, radius_m: float, width_m: float, may_back_up: bool) -> Array:
    """Length of the turn between passes that are 0, 1, … n − 1 passes apart, (n,)."""
    return np.array([level_turn_m(apart * width_m, radius_m, may_back_up) for apart in range(n)])


@lru_cache(maxsize=1024)
def min_turning(n: int, radius_m: float, width_m: float, may_back_up: bool = False) -> tuple[int, ...]:
    """The order with the least turning distance that starts with the first pass and may end on any.

    Exact, by dynamic programming over the sets of passes driven so far (M. Held and R. M. Karp, Journal of
    the Society for Industrial and Applied Mathematics 10, 1962). Memory grows as n·2^n: for small n only.

    Returns
    -------
    tuple of int
        Positions of the passes, as `pass_order` gives them.

    Examples
    --------
    >>> min_turning(4, 2.0, 2.0)
    (0, 2, 3, 1)
    """
    if n <= 1:
        return tuple(range(n))
    apart = np.abs(np.subtract.outer(np.arange(n), np.arange(n)))
    turn_m = _turns_by_passes_apart(n, radius_m, width_m, may_back_up)[apart]
    # least_m[s, i]: the least turning after the passes of bit set s, when pass i was the last one
    least_m = np.full((1 << n, n), np.inf)
    least_m[1, 0] = 0.0
    before = np.zeros((1 << n, n), dtype=np.int8)
    bits = 1 << np.arange(n)
    for driven in range(1, 1 << n, 2):  # odd: the first pass is in every set
        by_last_m = least_m[driven][:, None] + turn_m
        last = np.argmin(by_last_m, axis=0)
        cost_m = by_last_m[last, np.arange(n)]
        free = (driven & bits) == 0
        grown = driven | bits
        better = free & (cost_m < least_m[grown, np.arange(n)] - 1e-12)
        least_m[grown[better], np.flatnonzero(better)] = cost_m[better]
        before[grown[better], np.flatnonzero(better)] = last[better]
    driven, position = (1 << n) - 1, int(np.argmin(least_m[-1]))
    order = [position]
    while driven > 1 and len(order) < n:
        previous = int(before[driven, position])
        driven &= ~(1 << position)
        position = previous
        order.append(position)
    return tuple(reversed(order))


def _improved(order: tuple[int, ...], turn_m: Array) -> tuple[int, ...]:
    """The order with stretches of it reversed or moved as long as that shortens the turning.

    These are the moves known as 2-opt and or-opt; ``turn_m`` (n,) holds the turns by passes apart.
    """
    n = len(order)
    positions = np.array(order)
    for _ in range(4 * n):
        step_m = turn_m[np.abs(np.diff(positions))]
        moves = (
            _best_reversal(positions, step_m, turn_m),
            _best_shift(positions, step_m, turn_m),
        )
        change_m, moved = min(moves, key=lambda move: move[0])
        if change_m > -_MIN_GAIN_M:
            break
        positions = moved
    return tuple(positions.tolist())


def _best_reversal(positions: IntArray, step_m: Array, turn_m: Array) -> tuple[float, IntArray]:
    """The reversal of a stretch i..j that saves most: the change of turning in m, and the new order.

    Only the turns into and out of the stretch change; at the end of the order there is none out of it.
    """
    n = len(positions)
    i, j = np.triu_indices(n, k=1)
    i, j = i[i > 0], j[i > 0]
    inner = j < n - 1
    after = np.minimum(j + 1, n - 1)
    change_m = turn_m[np.abs(positions[i - 1] - positions[j])] - step_m[i - 1]
    out_m = turn_m[np.abs(positions[i] - positions[after])] - step_m[np.minimum(j, n - 2)]
    change_m = change_m + np.where(inner, out_m, 0.0)
    k = int(np.argmin(change_m))
    first, end = int(i[k]), int(j[k]) + 1
    reversed_stretch = positions[first:end][::-1]
    return float(change_m[k]), np.concatenate([positions[:first], reversed_stretch, positions[end:]])


def _best_shift(positions: IntArray, step_m: Array, turn_m: Array) -> tuple[float, IntArray]:
    """The move of one pass to another place that saves most: the change of turning in m, and the new order."""
    n = len(positions)
    best_change_m, best_positions = 0.0, positions
    for i in range(1, n):
        rest = np.delete(positions, i)
        gain_m = step_m[i - 1]
        if i < n - 1:
            gain_m = gain_m + (step_m[i] - turn_m[abs(positions[i + 1] - positions[i - 1])])
        to_pass_m = turn_m[np.abs(rest - positions[i])]
        between_m = to_pass_m[:-1] + to_pass_m[1:] - turn_m[np.abs(np.diff(rest))]
        change_m = np.append(between_m, to_pass_m[-1]) - gain_m
        k = int(np.argmin(change_m))
        if change_m[k] < best_change_m:
            best_change_m, best_positions = float(change_m[k]), np.insert(rest, k + 1, positions[i])
    return best_change_m, best_positions
