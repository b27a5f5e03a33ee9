"""Ground at corners bought back, and given back where more was bought than need be: corner by corner."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled
from fieldplan.model.coverage import Array, IntArray

_ALIKE = 1e6
"""Times that agree to so many parts of a second differ by rounding alone: outer rounds come first."""


@compiled
def bought_back(
    cost_s: Array, left_m2: Array, choice: IntArray, to_buy_m2: float, gain_m2: float
) -> IntArray:
    """What is done at each corner once so much ground is bought back, or all that can be, (n,).

    At each corner what buys ground at the least time comes first, so what follows there costs more.

    Parameters
    ----------
    cost_s, left_m2, choice, gain_m2
        As in `next_steps`.
    """
    n_kinds, n = cost_s.shape
    prices, saves_m2 = np.empty(n_kinds * n), np.empty(n_kinds * n)
    corners, kinds = np.empty(n_kinds * n, dtype=np.int64), np.empty(n_kinds * n, dtype=np.int64)
    n_steps, n_before, at = 0, -1, choice.copy()
    while n_steps != n_before:
        n_before = n_steps
        price, better, saved_m2 = next_steps(cost_s, left_m2, at, gain_m2)
        for corner in range(n):
            if np.isfinite(price[corner]):
                prices[n_steps], saves_m2[n_steps] = np.rint(price[corner] * _ALIKE), saved_m2[corner]
                corners[n_steps], kinds[n_steps] = corner, better[corner]
                at[corner], n_steps = better[corner], n_steps + 1
    bought, bought_m2 = choice.copy(), 0.0
    for step in np.argsort(prices[:n_steps], kind="mergesort"):
        bought[corners[step]] = kinds[step]  # of several at one corner the last
        bought_m2 += saves_m2[step]
        if bought_m2 >= to_buy_m2:
            break
    if n_steps == 0:
        return bought
    return given_back(cost_s, left_m2, bought, _dearest_first(cost_s, bought), bought_m2 - to_buy_m2)


@compiled
def _dearest_first(cost_s: Array, choice: IntArray) -> IntArray:
    """Corners at which something is possible, by what the choice takes more than the quickest, the most first."""
    saves_s, corners, n = np.empty(len(choice)), np.empty(len(choice), dtype=np.int64), 0
    for corner in range(len(choice)):
        now_s = cost_s[choice[corner], corner]
        if np.isfinite(now_s):
            saves_s[n], corners[n] = -np.rint((now_s - cost_s[:, corner].min()) * _ALIKE), corner
            n += 1
    return corners[np.argsort(saves_s[:n], kind="mergesort")]


@compiled
def next_steps(
    cost_s: Array, left_m2: Array, choice: IntArray, gain_m2: float
) -> tuple[Array, IntArray, Array]:
    """The time for each square meter bought back, by what is done instead, and how much it is, (n,) each; infinite
    time where nothing leaves less.

    Parameters
    ----------
    cost_s, left_m2
        (kinds, n) what each kind takes, infinite where it is not possible, and the ground that it leaves.
    choice
        (n,) what is done now.
    gain_m2
        Less ground than this is not bought.
    """
    n = len(choice)
    price, better, saved_m2 = np.full(n, np.inf), np.zeros(n, dtype=np.int64), np.zeros(n)
    for corner in range(n):
        now_s, now_m2 = cost_s[choice[corner], corner], left_m2[choice[corner], corner]
        for kind in range(len(cost_s)):
            saves_m2 = now_m2 - left_m2[kind, corner]
            if not (saves_m2 > gain_m2 and np.isfinite(cost_s[kind, corner]) and np.isfinite(now_s)):
                continue
            each_s = (cost_s[kind, corner] - now_s) / saves_m2
            if each_s < price[corner]:
                price[corner], better[corner], saved_m2[corner] = each_s, kind, saves_m2
    return price, better, saved_m2


@compiled
def given_back(
    cost_s: Array, left_m2: Array, choice: IntArray, order: IntArray, spare_m2: float
) -> IntArray:
    """What is done at each corner when ground that need not have been bought is left after all, (n,).

    Parameters
    ----------
    cost_s, left_m2, choice
        As in `next_steps`.
    order
        The corners that are looked at, one after the other.
    spare_m2
        So much more may be left.
    """
    found = choice.copy()
    for corner in order:
        now = choice[corner]
        best = now
        for kind in range(len(cost_s)):
            more_m2 = left_m2[kind, corner] - left_m2[now, corner]
            if more_m2 <= spare_m2 and cost_s[kind, corner] < cost_s[best, corner]:
                best = kind
        if best != now:
            spare_m2 -= left_m2[best, corner] - left_m2[now, corner]
            found[corner] = best
    return found
