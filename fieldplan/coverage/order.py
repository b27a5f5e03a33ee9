"""In which order the passes of a block are driven.

Driving next to the last pass takes bulb turns; moving over s >= 2R/w strips takes U turns, up to half the turning
distance (D. D. Bochtis and S. G. Vougioukas, Biosystems Engineering 101, 2008). Within 2s + 1 strips every jump of the
sequence 0, s, 2s, … modulo 2s + 1 is s or s + 1 strips wide, so all its turns are U turns: 1 5 9 4 8 3 7 2 6 for s = 4.
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

MOST_EXACT = 10


def drive_order(n_passes: int, radius_m: float, width_m: float) -> tuple[int, ...]:
    """Positions of n side-by-side passes in driving order, starting with the first, ends level with each other.

    Up to 10 passes the order of least turning is found exactly; longer blocks repeat the U-turn pattern and finish with
    an order of what is left.
    """
    skip = max(1, math.ceil(2 * radius_m / width_m - 1e-9))
    return _pattern(n_passes, skip, radius_m, width_m)


def _pattern(n: int, skip: int, radius_m: float, width_m: float) -> tuple[int, ...]:
    if n <= MOST_EXACT:
        return least_turning(n, radius_m, width_m)
    group = 2 * skip + 1
    if n < group:
        return _pattern(n, (n - 1) // 2, radius_m, width_m)
    full = n // group
    order = [b * group + (k * skip) % group for b in range(full) for k in range(group)]
    rest = _pattern(n - full * group, skip, radius_m, width_m) if n % group else ()
    return (*order, *(full * group + k for k in rest))


def level_turn_m(distance_m: float, radius_m: float) -> float:
    """Length of a forward turn between passes whose ends are level: U or bulb."""
    if distance_m >= 2 * radius_m:
        return math.pi * radius_m + distance_m - 2 * radius_m
    return radius_m * (3 * math.pi - 4 * math.asin((2 * radius_m + distance_m) / (4 * radius_m)))


def turning_m(order: tuple[int, ...], radius_m: float, width_m: float) -> float:
    """Turning distance of an order, ends level."""
    return sum(level_turn_m(abs(b - a) * width_m, radius_m) for a, b in pairwise(order))


@lru_cache(maxsize=1024)
def least_turning(n: int, radius_m: float, width_m: float) -> tuple[int, ...]:
    """The order with the least turning distance that starts with the first pass and ends anywhere.

    Exact: dynamic programming over sets of passes driven (M. Held and R. M. Karp, 1962), for small n only.
    """
    if n <= 1:
        return tuple(range(n))
    turn = [level_turn_m(d * width_m, radius_m) for d in range(n)]
    best: dict[tuple[int, int], tuple[float, int]] = {(1, 0): (0.0, -1)}
    for driven in range(1, 1 << n, 2):
        for last in range(n):
            state = best.get((driven, last))
            if state is None:
                continue
            for following in range(1, n):
                if driven >> following & 1:
                    continue
                key = (driven | 1 << following, following)
                cost = state[0] + turn[abs(following - last)]
                if key not in best or cost < best[key][0] - 1e-12:
                    best[key] = (cost, last)
    driven = (1 << n) - 1
    last = min((j for j in range(n) if (driven, j) in best), key=lambda j: best[driven, j][0])
    order = []
    while last >= 0:
        order.append(last)
        driven, last = driven & ~(1 << last), best[driven, last][1]
    return tuple(reversed(order))
