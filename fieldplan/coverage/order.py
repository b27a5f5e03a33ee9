"""In which order the passes of a block are driven.

With turning radius R and strips w wide, the pass beside the last one takes a bulb turn. Moving over
s >= 2R/w strips takes a U turn, which saves up to half the turning distance (D. D. Bochtis and S. G.
Vougioukas, Biosystems Engineering 101, 2008). Two patterns use that:

- groups of 2s + 1 strips, in the sequence 0, s, 2s, … modulo 2s + 1: every move is s or s + 1 strips wide
  (1 5 9 4 8 3 7 2 6 for s = 4), and a driver can follow it without guidance;
- sweeps over the whole block: strips 0, s, 2s, … one way, then back over the strips beside them.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from fieldplan.kernels.orders import exact_order, improved_order
from fieldplan.model.coverage import Array

MAX_EXACT = 12
"""Up to this many passes the order with the least turning is found exactly."""
MAX_IMPROVED = 40
"""Up to this many passes an order is improved by local search."""

Turning = tuple[float, ...]
"""What the turn costs to the pass 1, 2, 3, … on, in seconds or meters; beyond the last one each pass costs as much more
as the last one did. The cheapest turn is the pattern's."""


@lru_cache(maxsize=4096)
def pass_order(n_passes: int, turning: Turning, *, plain: bool = False) -> tuple[int, ...]:
    """The order in which n side-by-side passes, all with level ends, are driven.

    Up to `MAX_EXACT` passes it is the order with the least turning. Up to `MAX_IMPROVED`, patterns are
    improved by local search, and the best of them is taken. A longer order stretches the middle of such an
    order, where all turns are the cheapest, if that beats the patterns.

    Parameters
    ----------
    turning
        What the turns cost by passes apart; what they cost depends on the room for them.
    plain
        Whether to keep to the pattern that a driver can follow without guidance.

    Returns
    -------
    tuple of int
        Positions of the passes, counted from 0 across the block; the first one is 0.

    Examples
    --------
    >>> pass_order(9, (37.7, 32.9, 27.3, 18.8, 21.8))
    (0, 4, 8, 3, 7, 2, 6, 1, 5)
    """
    if n_passes <= MAX_EXACT:
        return min_turning(n_passes, turning)
    skip = turning.index(min(turning)) + 1
    groups = _in_groups(n_passes, skip, turning)
    if plain:
        return groups
    found = [groups, *(_in_sweeps(n_passes, step) for step in range(max(1, skip - 1), skip + 3))]
    if n_passes > MAX_IMPROVED:
        # the longest order found by search whose length differs from n by whole moves of skip passes
        base = MAX_IMPROVED - skip + 1 + (n_passes - MAX_IMPROVED - 1) % skip
        searched = pass_order(base, turning)
        stretched = _stretched(searched, skip, (n_passes - base) // skip)
        found += [] if stretched is None else [stretched]
    else:
        level = _level(n_passes, turning)
        found = [tuple(improved_order(np.array(order), level, len(turning)).tolist()) for order in found]
    return min(found, key=lambda order: total_turning(order, turning))


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


def _in_groups(n: int, skip: int, turning: Turning) -> tuple[int, ...]:
    """Groups of 2s + 1 passes one after the other, each in the order whose turns are all U turns.

    The passes left over are ordered in the same manner, with a smaller skip if they are fewer than a group.
    """
    group = 2 * skip + 1
    if n <= MAX_EXACT:
        return min_turning(n, turning)
    if n < group:
        return _in_groups(n, (n - 1) // 2, turning)
    n_groups = n // group
    order = [nth * group + (k * skip) % group for nth in range(n_groups) for k in range(group)]
    rest = _in_groups(n - n_groups * group, skip, turning) if n % group else ()
    return (*order, *(n_groups * group + k for k in rest))


def _in_sweeps(n: int, step: int) -> tuple[int, ...]:
    """Every ``step``-th pass from one side to the other, then back over those beside them, and so on."""
    order: list[int] = []
    for k in range(step):
        sweep = list(range(k, n, step))
        order += sweep if k % 2 == 0 else sweep[::-1]
    return tuple(order)


def total_turning(order: tuple[int, ...], turning: Turning) -> float:
    """What all turns of an order cost, as `pass_order` takes and gives them."""
    by_apart = _by_passes_apart(max(order, default=0) + 1, turning)
    return float(by_apart[np.abs(np.diff(order))].sum())


def _by_passes_apart(n: int, turning: Turning) -> Array:
    """What the turn costs between passes that are 0, 1, … n − 1 passes apart, (n,)."""
    known = np.array([np.inf, *turning])
    if n <= len(known):
        return known[:n]
    more = np.arange(1, n - len(known) + 1) * (turning[-1] - turning[-2])
    return np.concatenate([known, turning[-1] + more])


@lru_cache(maxsize=1024)
def min_turning(n: int, turning: Turning) -> tuple[int, ...]:
    """The order with the least turning that starts with the first pass and may end on any.

    Exact, and memory grows as n·2^n: for small n only.

    Returns
    -------
    tuple of int
        Positions of the passes, as `pass_order` gives them.

    Examples
    --------
    >>> min_turning(4, (9.4, 6.3, 8.3))
    (0, 2, 3, 1)
    """
    if n <= 1:
        return tuple(range(n))
    return tuple(exact_order(_level(n, turning)).tolist())


def _level(n: int, turning: Turning) -> Array:
    """Turns as the search takes them: the same at both ends of n passes, begun with the first pass."""
    turn_s = np.zeros((2, n + 1, n + 1))
    turn_s[:, :n, :n] = _by_passes_apart(n, turning)[np.abs(np.subtract.outer(np.arange(n), np.arange(n)))]
    turn_s[:, n, 1:n] = np.inf
    return turn_s
