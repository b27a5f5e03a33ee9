"""The order of passes side by side by what each turn takes: exact for few passes, by search for many.

Every pass is driven the other way than the one before, so that turns are made at the ends of passes and at
their starts by turns. Whatever moves passes to other places of the order may move their turns to the other
side; running sums of what all turns take on either side tell at once what that costs.

``turn_s`` is (2, n + 1, n + 1) throughout: the turn between each two of n passes where the order turns first,
and at the other ends. Its last rows are the ways to each pass if it is the first, its last columns those from
each if it is the last; so the pass -1 is nowhere.
"""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.model.coverage import Array, IntArray

_MIN_GAIN_S = 1e-6
"""Improvements smaller than this are rounding."""
_MOVED = 3
"""At most so many passes are moved to another place at once."""
_LOOKS_PER_PASS = 40
"""A search ends after so many looks at each place, whatever it could still find."""


@compiled_leaf
def order_s(order: IntArray, turn_s: Array) -> float:
    """The time of all turns of an order and of the ways before and after."""
    total_s = turn_s[0, -1, order[0]] + turn_s[0, order[-1], -1]
    for k in range(len(order) - 1):
        total_s += turn_s[k & 1, order[k], order[k + 1]]
    return float(total_s)


@compiled
def exact_order(turn_s: Array) -> IntArray:
    """The order of n passes that takes the least time, by dynamic programming over the sets of passes driven so far
    (M. Held and R. M. Karp, Journal of the Society for Industrial and Applied Mathematics 10, 1962).

    Memory grows as n·2^n: for small n only.
    """
    n = turn_s.shape[1] - 1
    least_s = np.full((1 << n, n), np.inf)
    before = np.zeros((1 << n, n), dtype=np.int8)
    for first in range(n):
        least_s[1 << first, first] = turn_s[0, -1, first]
    members = np.empty(n, dtype=np.int64)
    for driven in range(1, 1 << n):
        count = 0
        for i in range(n):
            if (driven >> i) & 1:
                members[count] = i
                count += 1
        if count < 2:
            continue
        side_s = turn_s[count & 1]
        for nth in range(count):
            i = members[nth]
            until_s = least_s[driven & ~(1 << i)]
            best_s, best = np.inf, 0
            for k in range(count):  # the pass itself, too: nothing ends on it that has not driven it
                time_s = until_s[members[k]] + side_s[members[k], i]
                if time_s < best_s - _MIN_GAIN_S:
                    best_s, best = time_s, members[k]
            least_s[driven, i], before[driven, i] = best_s, best
    order, driven = np.empty(n, dtype=np.int64), (1 << n) - 1
    order[-1] = np.argmin(least_s[driven] + turn_s[0, :-1, -1])
    for k in range(n - 1, 0, -1):
        order[k - 1] = before[driven, order[k]]
        driven &= ~(1 << order[k])
    return order


@compiled
def improved_order(order: IntArray, turn_s: Array, reach: int) -> IntArray:
    """An order with stretches of it reversed, and few passes moved, as long as that saves time.

    These are the moves known as 2-opt and or-opt, tried where one of the new turns is over ``reach`` strips or
    fewer.
    """
    order = order.copy()
    n = len(order)
    place = np.empty(n, dtype=np.int64)
    other_s = np.zeros(n)
    _look_up(order, turn_s, place, other_s)
    since, k = 0, 0
    for _ in range(_LOOKS_PER_PASS * n):
        if since >= n:
            break
        if _reversed_here(order, turn_s, reach, place, other_s, k) or _moved_here(
            order, turn_s, reach, place, other_s, k
        ):
            _look_up(order, turn_s, place, other_s)
            since = 0
        else:
            since += 1
            k = (k + 1) % n
    return order


@compiled_leaf
def _look_up(order: IntArray, turn_s: Array, place: IntArray, other_s: Array) -> None:
    """Write the place of each pass in the order, and what the turns up to each place would take more on the
    other side, (n,) each.
    """
    place[order[0]] = 0
    for k in range(1, len(order)):
        place[order[k]] = k
        here_s = turn_s[(k - 1) & 1, order[k - 1], order[k]]
        other_s[k] = other_s[k - 1] + turn_s[k & 1, order[k - 1], order[k]] - here_s


@compiled_leaf
def _at(order: IntArray, k: int) -> int:
    return order[k] if 0 <= k < len(order) else -1


@compiled
def _reversed_here(
    order: IntArray, turn_s: Array, reach: int, place: IntArray, other_s: Array, first: int
) -> bool:
    """Reverse the stretch from a place on that ends where the time falls, if there is one."""
    n = len(order)
    before, head = _at(order, first - 1), order[first]
    before_s = turn_s[(first - 1) & 1, before, head]
    for step in range(-reach, reach + 1):
        last = n - 1
        if step:
            near = (before if before >= 0 else head) + step
            if near < 0 or near >= n:
                continue
            last = place[near]
        if last <= first:
            continue
        tail, after = order[last], _at(order, last + 1)
        change_s = turn_s[(first - 1) & 1, before, tail] + turn_s[last & 1, head, after]
        change_s -= before_s + turn_s[last & 1, tail, after]
        if (first + last) & 1 == 0:
            change_s += other_s[last] - other_s[first]
        if change_s < -_MIN_GAIN_S:
            order[first : last + 1] = order[first : last + 1][::-1].copy()
            return True
    return False


@compiled
def _moved_here(
    order: IntArray, turn_s: Array, reach: int, place: IntArray, other_s: Array, first: int
) -> bool:
    """Move up to so many passes from a place on to where the time falls, if there is such a place."""
    n = len(order)
    for last in range(first, min(first + _MOVED, n)):
        for turned in range(2 if last > first else 1):
            head, tail = (order[last], order[first]) if turned else (order[first], order[last])
            for step in range(-2 * reach, 2 * reach + 2):
                # behind a pass that the first of them is near to, or before one that the last of them is near to
                near = (head if step & 1 else tail) + (step >> 1)
                if near < 0 or near >= n:
                    continue
                after = place[near] if step & 1 else place[near] - 1
                if first - 1 <= after <= last:
                    continue
                if _move_s(order, turn_s, other_s, first, last, after, turned) < -_MIN_GAIN_S:
                    _move(order, first, last, after, turned)
                    return True
    return False


@compiled_leaf
def _move_s(
    order: IntArray, turn_s: Array, other_s: Array, first: int, last: int, after: int, turned: int
) -> float:
    """By how much the time changes if passes are moved behind the place ``after``, turned or not."""
    n_moved = last - first + 1
    head, tail = (order[last], order[first]) if turned else (order[first], order[last])
    left, right = _at(order, first - 1), _at(order, last + 1)
    to_left, to_right = _at(order, after), _at(order, after + 1)
    begin = after + 1 if after < first else after + 1 - n_moved
    change_s = turn_s[(first - 1 if after > last else last) & 1, left, right]
    change_s += turn_s[(begin - 1) & 1, to_left, head] + turn_s[(begin + n_moved - 1) & 1, tail, to_right]
    change_s -= turn_s[(first - 1) & 1, left, order[first]] + turn_s[last & 1, order[last], right]
    change_s -= turn_s[after & 1, to_left, to_right]
    if n_moved & 1:  # passes between change places by an odd number
        low, high = (last + 1, after) if after > last else (after + 1, first - 1)
        change_s += other_s[high] - other_s[low]
    for k in range(n_moved - 1):
        old = first + k
        nth = begin + (n_moved - 2 - k if turned else k)
        change_s += turn_s[nth & 1, order[old], order[old + 1]]
        change_s -= turn_s[old & 1, order[old], order[old + 1]]
    return float(change_s)


@compiled
def _move(order: IntArray, first: int, last: int, after: int, turned: int) -> None:
    moved = order[first : last + 1].copy()
    if turned:
        moved = moved[::-1].copy()
    n = len(moved)
    if after > last:
        order[first : after + 1 - n] = order[last + 1 : after + 1].copy()
        order[after + 1 - n : after + 1] = moved
    else:
        order[after + 1 + n : last + 1] = order[after + 1 : first].copy()
        order[after + 1 : after + 1 + n] = moved
