"""The bound of towing against a season solved by hand, and against what the search finds."""

from __future__ import annotations

import random

import pytest

pytest.importorskip("ortools")

from benchmarks.season import season

from fieldplan.season.schedule import solve
from fieldplan.season.scheduling_problem import Run, SchedulingProblem, cost_of, served_by, tow_of
from fieldplan.season.tow_bound import least_towing

# places on one road: 0 at 10 km, 1 at 20 km, 2 at 12 km; the drill's home is at 0
ROAD_KM = (10, 20, 12, 0)
TOW_M = {0: [[abs(a - b) * 1000 for b in ROAD_KM] for a in ROAD_KM]}


def _run(request: int, first: int, wait: int = 0) -> Run:
    return Run(requests=(request,), drill=0, first=first, n_days=2, costs=(wait,))


def test_the_order_with_the_least_road_is_found_by_hand() -> None:
    """All three on free days: out and home again is 2 × 20 = 40 km, in the order of the road. If 1 must be first, then 0 and
    2: 20 + 8 + 2 + 10 = 40 km too (2 before 0). If 1 comes between them: 10 + 10 + 8 + 12 = 40. If 0 comes between 1 and
    2: 20 + 10 + 2 + 12 = 44 km.
    """
    free = [_run(request, first) for request in range(3) for first in (0, 2, 4)]
    groups = [([0], 1), ([1], 1), ([2], 1)]
    bound, _ = least_towing(
        SchedulingProblem(priorities=[], runs=free, tow_m=TOW_M), groups, [0], 1000
    ) or (0, None)
    assert bound == pytest.approx(40_000)
    fixed = [_run(1, 0), _run(0, 2), _run(2, 4)]
    bound, whole = least_towing(
        SchedulingProblem(priorities=[], runs=fixed, tow_m=TOW_M), groups, [0], 1000
    ) or (0, None)
    assert bound == pytest.approx(44_000)
    assert whole is not None
    assert set(whole) == set(fixed)


def test_waiting_that_is_not_allowed_is_not_used() -> None:
    """0 and 2 are 22 km apart by way of 1 if 1 is last: 10 + 2 + 8 + 20 = 40 km, but that costs 1 four days of waiting. With
    none allowed 1 is first and 0 second: 44 km.
    """
    runs = [_run(1, 0), _run(1, 4, 4), _run(0, 2), _run(0, 0, 0), _run(2, 4), _run(2, 2, 2)]
    problem = SchedulingProblem(priorities=[], runs=runs, tow_m=TOW_M)
    groups = [([0], 1), ([1], 1), ([2], 1)]
    few = least_towing(problem, groups, [0], 1000)
    many = least_towing(problem, groups, [6], 1000)
    assert few is not None
    assert many is not None
    assert (few[0], many[0]) == (pytest.approx(44_000), pytest.approx(40_000))


def test_a_flow_with_too_many_legs_is_not_begun() -> None:
    """The bound is then not known."""
    problem = SchedulingProblem(priorities=[], runs=[_run(0, 0)], tow_m=TOW_M)
    assert least_towing(problem, [([0], 1)], [0], 0) is None


def test_towing_is_within_a_tenth_of_its_bound() -> None:
    """Sixteen requests and two drills: served and waiting are proven, and no less road than nine tenths would do. Larger
    seasons are in the benchmark.
    """
    problem = season(16, 2, 30, random.Random(0))
    solved = solve(problem)
    assert solved.served_proven
    assert cost_of(solved.given, 0) == solved.cost_bounds[0]
    assert len(served_by(solved.given)) > 12
    found = tow_of(solved.given, problem.tow_m)
    assert found * 0.9 <= solved.tow_bound_m <= found
