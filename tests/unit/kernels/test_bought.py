"""Ground at corners bought back and given back, in numbers that can be reckoned on paper."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.bought import bought_back, given_back, next_steps

COST_S = np.array([[10.0, 10.0, np.inf], [16.0, 30.0, 50.0], [40.0, 22.0, 60.0]])
LEFT_M2 = np.array([[9.0, 8.0, 7.0], [6.0, 4.0, 2.0], [0.0, 4.0, 2.0]])
"""Three kinds at three corners; the first is impossible at the last of them."""


def test_each_corner_is_offered_what_costs_least_a_square_meter() -> None:
    """6 s for 3 m² against 30 s for 9 m²; 12 s for 4 m² against 20 s; nothing leaves less at the last corner."""
    price, better, saved_m2 = next_steps(COST_S, LEFT_M2, np.array([0, 0, 1]), 1e-6)
    assert price.tolist() == [2.0, 3.0, np.inf]
    assert (better[:2].tolist(), saved_m2[:2].tolist()) == ([1, 2], [3.0, 4.0])


def test_what_is_not_possible_now_is_not_bought_from() -> None:
    """A corner at which nothing that is done is possible has no price."""
    price, _, _ = next_steps(COST_S, LEFT_M2, np.array([2, 1, 0]), 1e-6)
    assert price.tolist() == [np.inf, np.inf, np.inf]


def test_spare_ground_is_given_back_in_order_as_far_as_it_reaches() -> None:
    """The first corner takes 6 of 9 m² for its second kind; what is left over buys nothing more."""
    choice, order = np.array([2, 2, 1]), np.array([0, 1, 2])
    assert given_back(COST_S, LEFT_M2, choice, order, 8.0).tolist() == [1, 2, 1]
    assert given_back(COST_S, LEFT_M2, choice, order[::-1].copy(), 8.0).tolist() == [2, 0, 1]
    assert given_back(COST_S, LEFT_M2, choice, order, 14.0).tolist() == [0, 0, 1]


def test_ground_is_bought_where_it_costs_least_until_it_is_enough() -> None:
    """3 m² at the first corner, then 4 m² at the second one, then 6 m² more at the first; the last has nothing to sell."""
    choice = np.array([0, 0, 1])
    for to_buy_m2, bought in ((2.0, [1, 0, 1]), (5.0, [1, 2, 1]), (10.0, [2, 2, 1]), (99.0, [2, 2, 1])):
        assert bought_back(COST_S, LEFT_M2, choice, to_buy_m2, 1e-6).tolist() == bought


def test_what_was_bought_too_much_is_given_back() -> None:
    """3 and 4 and 6 m² are bought where 9 m² are wanted: the 4 m² were not needed."""
    assert bought_back(COST_S, LEFT_M2, np.array([0, 0, 1]), 9.0, 1e-6).tolist() == [2, 0, 1]
