"""Estimates from samples, checked by drawing every sample that there is."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely

from fieldplan.region import squares as squares_module
from fieldplan.region.dataset import chosen_by_chance
from fieldplan.region.fingerprint import digest_of
from fieldplan.region.parts import cuts_of
from fieldplan.region.squares import SMALLEST_DEG, Squares
from fieldplan.region.sums import Scale

AMOUNTS = (3.0, 0.0, 7.5, 12.0, 1.0, 40.0)


def test_estimates_and_errors_are_right_on_average() -> None:
    """Over all samples of four of six, the mean estimate is the total, and the mean squared error of an estimate is
    what the standard errors say on average (W. G. Cochran, Sampling Techniques, 3rd edition (1977), theorems 2.1
    and 2.4).
    """
    scale = Scale.of(np.ones(6), np.ones(4))
    found = [
        scale.amount(sum(drawn), sum(one * one for one in drawn), sum(drawn))
        for drawn in combinations(AMOUNTS, 4)
    ]
    assert np.mean([one.total for one in found]) == pytest.approx(sum(AMOUNTS))
    squared = np.mean([(one.total - sum(AMOUNTS)) ** 2 for one in found])
    assert np.mean([one.error**2 for one in found]) == pytest.approx(squared)


def test_all_rows_have_no_error() -> None:
    """A total of all rows is no estimate."""
    assert Scale.of(np.ones(6), np.ones(6)).amount(63.5, 1e4, 63.5).error == 0.0


def test_samples_are_the_same_for_the_same_file() -> None:
    """Without repeats, in ascending order, and each row as likely as any other as far as one can see."""
    drawn = chosen_by_chance(1000, 200)
    assert drawn.tolist() == sorted(set(chosen_by_chance(1000, 200).tolist()))
    assert len(drawn) == 200
    assert 400 < drawn.mean() < 600  # 4 standard errors of 18.3 about 499.5 are 426 to 573


def test_cuts_hold_every_row_once() -> None:
    """In order, within row groups."""
    cuts = cuts_of((120, 0, 7))
    assert np.concatenate(cuts).tolist() == list(range(127))
    assert not [cut for cut in cuts if cut[0] < 120 <= cut[-1]]


def test_squares_stay_few(monkeypatch: pytest.MonkeyPatch) -> None:
    """They are doubled when they become too many, and none of their parcels is lost."""
    monkeypatch.setattr(squares_module, "MOST", most := 300)
    squares = Squares()

    for number in range(2 * most):
        x, y = number % 20 * SMALLEST_DEG, number // 20 * SMALLEST_DEG
        row = {"geometry": shapely.to_wkb(shapely.Point(x, y)), "code": "", "job_s": 1.0}
        squares.add(row)
    cells = squares.cells()
    assert len(cells) <= most
    assert sum(one.n_planned for one in cells) == 2 * most
    assert sum(one.job_s for one in cells) == 2 * most


def test_digest_tells_values_apart() -> None:
    """The same for the same content in any order of sets and mappings; another for any other."""
    same = digest_of({"a": frozenset("xyz"), "b": (1, np.arange(3))})
    assert same == digest_of({"b": (1, np.arange(3)), "a": frozenset("zyx")})
    assert same != digest_of({"b": (1, np.arange(4)), "a": frozenset("zyx")})
