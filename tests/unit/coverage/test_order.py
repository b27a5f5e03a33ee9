"""The order of passes by what each turn takes, against trying every order and every change."""

from __future__ import annotations

from itertools import pairwise, permutations, product

import numpy as np
import pytest

from fieldplan.coverage.order import pass_order, total_turning
from fieldplan.kernels.orders import exact_order, improved_order, order_s
from fieldplan.model.coverage import Array

BULBS_DEAR_S = (150.0, 145.0, 60.0, 45.0, 30.0, 26.0, 28.0)


def _turn_s(n: int, seed: int) -> Array:
    """Turns between n passes that are dear at random places, as beside a bent fence, and ways to each pass."""
    rng = np.random.default_rng(seed)
    apart = np.abs(np.subtract.outer(np.arange(n), np.arange(n)))
    level_s = np.array([0.0, 60, 55, 45, 30, 34, 38])[np.minimum(apart, 6)] + 4.0 * np.maximum(apart - 6, 0)
    dearer_s = rng.exponential(20.0, (2, n, n)) * (rng.random((2, n, n)) < 0.4)
    turn_s = np.zeros((2, n + 1, n + 1))
    turn_s[:, :n, :n] = level_s + dearer_s + dearer_s.transpose(0, 2, 1)
    turn_s[:, n, :n], turn_s[:, :n, n] = rng.uniform(0, 60, n), rng.uniform(0, 60, n)
    return turn_s


def _time_s(order: tuple[int, ...], turn_s: Array) -> float:
    turns_s = [turn_s[k % 2, i, j] for k, (i, j) in enumerate(pairwise(order))]
    return float(turn_s[0, -1, order[0]] + sum(turns_s) + turn_s[0, order[-1], -1])


@pytest.mark.parametrize(("n", "seed"), [(1, 0), (2, 1), (4, 2), (6, 3), (7, 4), (8, 5)])
def test_few_passes_are_ordered_as_by_trying_every_order(n: int, seed: int) -> None:
    """Turns that differ from pass to pass and from side to side, and ways before and after."""
    turn_s = _turn_s(n, seed)
    least_s = min(_time_s(order, turn_s) for order in permutations(range(n)))
    found = exact_order(turn_s)
    assert sorted(found.tolist()) == list(range(n))
    assert _time_s(tuple(found.tolist()), turn_s) == pytest.approx(least_s, abs=1e-9)
    assert order_s(found, turn_s) == pytest.approx(least_s, abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_no_reversal_and_no_move_saves_time_on_an_improved_order(seed: int) -> None:
    """Every change is timed anew: none that the search looks at, between near passes, was timed wrongly."""
    turn_s = _turn_s(9, seed)
    found = improved_order(np.arange(9), turn_s, 8)
    assert sorted(found.tolist()) == list(range(9))
    found_s = _time_s(tuple(found.tolist()), turn_s)
    for first, last in ((a, b) for a, b in product(range(9), repeat=2) if a < b):
        turned = np.concatenate([found[:first], found[first : last + 1][::-1], found[last + 1 :]])
        assert _time_s(tuple(turned.tolist()), turn_s) > found_s - 1e-5
    for first, n_moved, to in product(range(9), (1, 2, 3), range(9)):
        moved = found[first : first + n_moved]
        rest = np.delete(found, range(first, min(first + n_moved, 9)))
        for stretch in (moved, moved[::-1]):
            other = np.insert(rest, min(to, len(rest)), stretch)
            assert _time_s(tuple(other.tolist()), turn_s) > found_s - 1e-5


@pytest.mark.parametrize("n", [20, 33, 40])
def test_level_orders_are_within_a_percent_of_a_long_search(n: int) -> None:
    """The best of 300 searches, each from another random order that begins with the first pass."""
    turn_s = np.zeros((2, n + 1, n + 1))
    apart = np.abs(np.subtract.outer(np.arange(n), np.arange(n)))
    known = np.array([np.inf, *BULBS_DEAR_S, *(28.0 + 2.0 * np.arange(1, n))])
    turn_s[:, :n, :n] = known[apart]
    turn_s[:, n, 1:n] = np.inf
    rng = np.random.default_rng(n)
    starts = [np.concatenate([[0], 1 + rng.permutation(n - 1)]) for _ in range(300)]
    best_s = min(order_s(improved_order(start, turn_s, n), turn_s) for start in starts)
    order = pass_order(n, BULBS_DEAR_S)
    assert sorted(order) == list(range(n))
    assert total_turning(order, BULBS_DEAR_S) <= 1.01 * best_s
