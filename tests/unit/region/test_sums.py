"""Estimates from samples, checked by drawing every sample that there is."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, product

import numpy as np
import pytest
import shapely

from fieldplan.region import squares as squares_module
from fieldplan.region.draw import Draw, drawn
from fieldplan.region.fingerprint import digest_of
from fieldplan.region.parts import cuts_of
from fieldplan.region.squares import SMALLEST_DEG, Squares
from fieldplan.region.sums import estimated

AMOUNTS = (3.0, 0.0, 7.5, 12.0, 1.0, 40.0)


def _one_stratum(n_rows: int, n_drawn: int) -> Draw:
    stratum = np.zeros(n_drawn, dtype=np.int64)
    return Draw(np.arange(n_drawn), stratum, np.array([n_rows]), np.array([n_drawn]))


def _estimate(rows: Sequence[tuple[float, ...]], draw: Draw) -> tuple[float, float]:
    """Total and error from the amounts drawn of each stratum."""
    sums, squares = (np.array([[sum(a**k for a in of)] for of in rows]) for k in (1, 2))
    total, error = estimated(sums, squares, draw)
    return float(total[0]), float(error[0])


def test_estimates_and_errors_are_right_on_average() -> None:
    """Over all samples of four of six, the mean estimate is the total, and the mean squared error of an estimate is
    what the standard errors say on average (W. G. Cochran, Sampling Techniques, 3rd edition (1977), theorems 2.1
    and 2.4).
    """
    found = [_estimate([some], _one_stratum(6, 4)) for some in combinations(AMOUNTS, 4)]
    assert np.mean([total for total, _ in found]) == pytest.approx(sum(AMOUNTS))
    squared = np.mean([(total - sum(AMOUNTS)) ** 2 for total, _ in found])
    assert np.mean([error**2 for _, error in found]) == pytest.approx(squared)


def test_estimates_by_strata_are_right_on_average() -> None:
    """All samples of two of four, three of five and both of two (Cochran, section 5.3)."""
    strata = (AMOUNTS[:4], (*AMOUNTS[4:], 2.0, 5.0, 9.0), (100.0, 300.0))
    counts, whole = (2, 3, 2), sum(map(sum, strata))
    draw = Draw(np.arange(7), np.arange(3).repeat(counts), np.array([4, 5, 2]), np.array(counts))
    each = [list(combinations(of, count)) for of, count in zip(strata, counts, strict=True)]
    found = [_estimate(some, draw) for some in product(*each)]
    assert np.mean([total for total, _ in found]) == pytest.approx(whole)
    squared = np.mean([(total - whole) ** 2 for total, _ in found])
    assert np.mean([error**2 for _, error in found]) == pytest.approx(squared)


def test_all_rows_have_no_error_and_one_for_several_has_no_end() -> None:
    """A total of all rows is no estimate; a single row does not tell how rows differ."""
    assert _estimate([AMOUNTS], Draw.of_all(6)) == (sum(AMOUNTS), 0.0)
    assert _estimate([(7.5,)], _one_stratum(6, 1)) == (45.0, np.inf)


def test_a_sample_holds_the_largest_rows_and_is_the_same_for_the_same_file() -> None:
    """Without repeats, in ascending order; strata hold every row, at least two of each are drawn, and large rows stand for
    fewer than small ones.
    """
    sizes = np.random.default_rng(5).lognormal(sigma=2.0, size=1000)
    draw = drawn(sizes, 200)
    assert draw.rows.tolist() == sorted(set(drawn(sizes, 200).rows.tolist()))
    assert len(draw.rows) == draw.n_drawn.sum() == 200
    assert draw.n_rows.sum() == 1000
    assert draw.n_drawn.min() >= 2
    assert set(np.argsort(-sizes)[:50].tolist()) <= set(draw.rows.tolist())
    assert draw.weight[draw.stratum] @ np.ones(200) == pytest.approx(1000.0)
    assert draw.weight[0] == 1.0 < draw.weight[-1]


@pytest.mark.parametrize("n", [1, 2, 3, 7, 999, 1000, 5000])
def test_a_sample_of_any_size_stands_for_all_rows(n: int) -> None:
    """Even where no row has an outline."""
    for sizes in (np.zeros(1000), np.arange(1000.0)):
        draw = drawn(sizes, n)
        assert len(draw.rows) == min(n, 1000)
        assert draw.weight[draw.stratum].sum() == pytest.approx(1000.0)


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
