"""Ground at corners bought back, and given back where more was bought than need be: corner by corner."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled
from fieldplan.model.coverage import Array, IntArray


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
