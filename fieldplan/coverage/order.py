"""In which order the passes of a block are driven.

Driving next to the last pass takes bulb turns; moving over s >= 2R/w strips takes U turns, up to half the
turning distance (D. D. Bochtis and S. G. Vougioukas, Biosystems Engineering 101, 2008). Two patterns use
that: within 2s + 1 strips every jump of the sequence 0, s, 2s, … modulo 2s + 1 is s or s + 1 strips wide (1
5 9 4 8 3 7 2 6 for s = 4), which a driver can follow without guidance; and the strips 0, s, 2s, …, then
back by those beside them, over the whole block.
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

import numpy as np

from fieldplan.model.coverage import Array, IntArray

MAX_EXACT = 12
MAX_IMPROVED = 40
_MIN_GAIN_M = 1e-6


@lru_cache(maxsize=4096)
def pass_order(
    n_passes: int, radius_m: float, width_m: float, *, plain: bool = False, may_back_up: bool = False
) -> tuple[int, ...]:
    """Positions of n side-by-side passes in driving order, starting with the first, ends level with each
    other.

    Up to 12 passes the order of least turning is found exactly. Up to 40, the better of the patterns is
    improved by local search; longer ones stretch the middle of such an order, where all turns are U turns.
    ``plain`` takes the pattern that a driver can follow without guidance as it is.
    """
    skip = max(1, math.ceil(2 * radius_m / width_m - 1e-9))
    if n_passes <= MAX_EXACT:
        return min_turning(n_passes, radius_m, width_m, may_back_up)
    groups = _in_groups(n_passes, skip, radius_m, width_m, may_back_up)
    if plain:
        return groups
    orders = [groups, *(_in_sweeps(n_passes, step) for step in (skip, skip + 1))]
    if n_passes > MAX_IMPROVED:
        base = MAX_IMPROVED - skip + 1 + (n_passes - MAX_IMPROVED - 1) % skip
        stretched = _stretched(
            pass_order(base, radius_m, width_m, may_back_up=may_back_up), skip, (n_passes - base) // skip
        )
        orders += [] if stretched is None else [stretched]
    best = min(orders, key=lambda order: turning_m(order, radius_m, width_m, may_back_up))
    return (
        _improved(best, _table(n_passes, radius_m, width_m, may_back_up))
        if n_passes <= MAX_IMPROVED
        else best
    )


def _stretched(order: tuple[int, ...], skip: int, times: int) -> tuple[int, ...] | None:
    """The order with ``skip · times`` passes put in where it crosses its middle in ``skip`` jumps of
    ``skip`` passes each.
    """
    path = np.array(order)
    for middle in sorted(range(skip, len(order) - skip), key=lambda m: abs(m - len(order) // 2)):
        crossing = np.flatnonzero((path[:-1] < middle) != (path[1:] < middle))
        if len(crossing) == skip and (np.abs(path[crossing + 1] - path[crossing]) == skip).all():
            grown = np.where(path >= middle, path + skip * times, path)
            pieces, done = [], 0
            for k in crossing.tolist():
                between = np.arange(1, times + 1) * skip
                between = path[k] + between if path[k] < middle else path[k] + skip * times - between
                pieces += [grown[done : k + 1], between]
                done = k + 1
            return tuple(np.concatenate([*pieces, grown[done:]]).tolist())
    return None


def _in_groups(n: int, skip: int, radius_m: float, width_m: float, may_back_up: bool) -> tuple[int, ...]:
    """Groups of 2s + 1 passes one after the other, each in the order whose turns are all U turns."""
    group = 2 * skip + 1
    if n <= MAX_EXACT:
        return min_turning(n, radius_m, width_m, may_back_up)
    if n < group:
        return _in_groups(n, (n - 1) // 2, radius_m, width_m, may_back_up)
    full = n // group
    order = [b * group + (k * skip) % group for b in range(full) for k in range(group)]
    rest = _in_groups(n - full * group, skip, radius_m, width_m, may_back_up) if n % group else ()
    return (*order, *(full * group + k for k in rest))


def _in_sweeps(n: int, step: int) -> tuple[int, ...]:
    """Every ``step``-th pass from one side to the other, then back by those beside them, and so on."""
    order: list[int] = []
    for k in range(step):
        sweep = list(range(k, n, step))
        order += sweep if k % 2 == 0 else sweep[::-1]
    return tuple(order)


def level_turn_m(distance_m: float, radius_m: float, may_back_up: bool = False) -> float:
    """Length of a turn between passes whose ends are level: U or bulb, or backing up instead of the
    bulb.
    """
    if distance_m >= 2 * radius_m:
        return math.pi * radius_m + distance_m - 2 * radius_m
    if may_back_up:
        return math.pi * radius_m + 2 * radius_m - distance_m
    return radius_m * (3 * math.pi - 4 * math.asin((2 * radius_m + distance_m) / (4 * radius_m)))


def turning_m(order: tuple[int, ...], radius_m: float, width_m: float, may_back_up: bool = False) -> float:
    """Turning distance of an order, ends level."""
    return sum(level_turn_m(abs(b - a) * width_m, radius_m, may_back_up) for a, b in pairwise(order))


def _table(n: int, radius_m: float, width_m: float, may_back_up: bool) -> Array:
    return np.array([level_turn_m(d * width_m, radius_m, may_back_up) for d in range(n)])


@lru_cache(maxsize=1024)
def min_turning(n: int, radius_m: float, width_m: float, may_back_up: bool = False) -> tuple[int, ...]:
    """The order with the least turning distance that starts with the first pass and ends anywhere.

    Exact: dynamic programming over sets of passes driven (M. Held and R. M. Karp, 1962), for small n only.
    """
    if n <= 1:
        return tuple(range(n))
    turn = _table(n, radius_m, width_m, may_back_up)[np.abs(np.subtract.outer(np.arange(n), np.arange(n)))]
    best = np.full((1 << n, n), np.inf)
    best[1, 0] = 0.0
    before = np.zeros((1 << n, n), dtype=np.int8)
    bits = 1 << np.arange(n)
    for driven in range(1, 1 << n, 2):
        reach = best[driven][:, None] + turn
        last = np.argmin(reach, axis=0)
        cost = reach[last, np.arange(n)]
        free = (driven & bits) == 0
        following = driven | bits
        better = free & (cost < best[following, np.arange(n)] - 1e-12)
        best[following[better], np.flatnonzero(better)] = cost[better]
        before[following[better], np.flatnonzero(better)] = last[better]
    driven, position = (1 << n) - 1, int(np.argmin(best[-1]))
    order = [position]
    while driven > 1 and len(order) < n:
        previous = int(before[driven, position])
        driven &= ~(1 << position)
        position = previous
        order.append(position)
    return tuple(reversed(order))


def _improved(order: tuple[int, ...], turn: Array) -> tuple[int, ...]:
    """The order, ``turn`` (n,) being the turns by passes apart, with stretches of it reversed or moved as
    long as that shortens the turning (2-opt and or-opt).
    """
    n = len(order)
    path = np.array(order)
    for _ in range(4 * n):
        step = turn[np.abs(np.diff(path))]
        change, move = min(
            _best_reversal(path, step, turn), _best_shift(path, step, turn), key=lambda found: found[0]
        )
        if change > -_MIN_GAIN_M:
            break
        path = move
    return tuple(path.tolist())


def _best_reversal(path: IntArray, step: Array, turn: Array) -> tuple[float, IntArray]:
    """The reversal of a stretch i..j that shortens the path most: its change in m and the path with it."""
    n = len(path)
    i, j = np.triu_indices(n, k=1)
    i, j = i[i > 0], j[i > 0]
    inner = j < n - 1
    after = np.minimum(j + 1, n - 1)
    change = turn[np.abs(path[i - 1] - path[j])] - step[i - 1]
    change = change + np.where(inner, turn[np.abs(path[i] - path[after])] - step[np.minimum(j, n - 2)], 0.0)
    k = int(np.argmin(change))
    a, b = int(i[k]), int(j[k]) + 1
    return float(change[k]), np.concatenate([path[:a], path[a:b][::-1], path[b:]])


def _best_shift(path: IntArray, step: Array, turn: Array) -> tuple[float, IntArray]:
    """The move of one pass to another place in the order that shortens the path most."""
    n = len(path)
    best_change, best_path = 0.0, path
    for i in range(1, n):
        rest = np.delete(path, i)
        gain = step[i - 1] + (step[i] - turn[abs(path[i + 1] - path[i - 1])] if i < n - 1 else 0.0)
        between = (
            turn[np.abs(rest[:-1] - path[i])]
            + turn[np.abs(rest[1:] - path[i])]
            - turn[np.abs(np.diff(rest))]
        )
        change = np.append(between, turn[abs(rest[-1] - path[i])]) - gain
        k = int(np.argmin(change))
        if change[k] < best_change:
            best_change, best_path = float(change[k]), np.insert(rest, k + 1, path[i])
    return best_change, best_path
