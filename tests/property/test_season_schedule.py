"""The solver against trying everything."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from strategies import claims_on_drills

pytest.importorskip("ortools")

from fieldplan.season.schedule import solve
from fieldplan.season.scheduling_problem import Run, SchedulingProblem, served_by, tow_of
from fieldplan.season.swaps import swapped


def _every(
    scheduling_problem: SchedulingProblem, request: int, given: list[Run], n: int
) -> Iterator[list[Run]]:
    """Every way to serve requests from this one on."""
    if request == n:
        yield given
        return
    yield from _every(scheduling_problem, request + 1, given, n)
    served = served_by(given)
    for run in scheduling_problem.runs:
        clear = all(
            other.drill != run.drill
            or run.first >= other.first + other.n_days
            or other.first >= run.first + run.n_days
            for other in given
        )
        if min(run.requests) == request and clear and not served & set(run.requests):
            yield from _every(scheduling_problem, request + 1, [*given, run], n)


def _worth(scheduling_problem: SchedulingProblem, given: list[Run]) -> tuple[int, ...]:
    served = served_by(given)
    return (
        *(-len(served & set(priority)) for priority in scheduling_problem.priorities),
        *(sum(run.costs[k] for run in given) for k in (0, 1)),
        tow_of(given, scheduling_problem.tow_m),
    )


@settings(max_examples=60, deadline=None)
@given(claims_on_drills())
def test_no_way_of_all_is_better(scheduling_problem: SchedulingProblem) -> None:
    """Served by level, two costs and towing are those of the best of every way there is; the bounds are
    met.
    """
    n = sum(map(len, scheduling_problem.priorities))
    best = min(_worth(scheduling_problem, given) for given in _every(scheduling_problem, 0, [], n))
    found = solve(scheduling_problem)
    assert found.served_proven
    assert _worth(scheduling_problem, list(found.given)) == best
    if found.given:
        assert found.cost_bounds == best[-3:-1]
        assert found.tow_bound_m == pytest.approx(best[-1])
    assert solve(scheduling_problem) == found


def test_two_that_stand_crosswise_change_places() -> None:
    """Near, far, near, far along one road: exchanging the middle two halves the road, at the same cost."""
    at = [1_000, 30_000, 2_000, 31_000, 0]
    runs = [Run(requests=(i,), drill=0, first=k, n_days=1, costs=(0,)) for i in range(4) for k in range(4)]
    scheduling_problem = SchedulingProblem(
        priorities=[[0, 1, 2, 3]], runs=runs, tow_m={0: [[abs(a - b) for b in at] for a in at]}
    )
    crossed = [run for run in runs if run.requests == (run.first,)]
    assert tow_of(crossed, scheduling_problem.tow_m) == 1_000 + 29_000 + 28_000 + 29_000 + 31_000
    better = swapped(scheduling_problem, crossed)
    assert sorted(served_by(better)) == [0, 1, 2, 3]
    assert len({run.first for run in better}) == 4
    assert tow_of(better, scheduling_problem.tow_m) == 2 * 31_000


def test_a_party_is_towed_from_its_first_to_its_last() -> None:
    """Home at 0, a party at 10 and 4 km, then one at 12 km: 10 + 6 + 8 + 12 km as given; the solver drives
    it the other way round.
    """
    at = [10_000, 4_000, 12_000, 0]
    runs = [Run(requests=own, drill=0, first=0, n_days=1, costs=(0,)) for own in ((0, 1), (1, 0))]
    runs += [
        Run(requests=(i,), drill=0, first=first, n_days=1, costs=(9 * (i < 2),))
        for i in range(3)
        for first in (0, 1)
    ]
    scheduling_problem = SchedulingProblem(
        priorities=[[0, 1, 2]], runs=runs, tow_m={0: [[abs(a - b) for b in at] for a in at]}
    )
    last = next(run for run in runs if run.requests == (2,) and run.first == 1)
    assert tow_of([last, runs[0]], scheduling_problem.tow_m) == 36_000
    found = solve(scheduling_problem)
    assert found.given == (runs[1], last)
    assert tow_of(found.given, scheduling_problem.tow_m) == found.tow_bound_m == 24_000
    assert set(swapped(scheduling_problem, [runs[0], last])) == {runs[1], last}


def test_the_driving_order_that_takes_fewer_days_leaves_room() -> None:
    """Three days hold a party for two of them and one more, but only if the party is driven the quicker way
    round.
    """
    shared_booking = [
        Run(requests=own, drill=0, first=0, n_days=duration, costs=(0,))
        for own, duration in (((0, 1), 3), ((1, 0), 2))
    ]
    last = Run(requests=(2,), drill=0, first=2, n_days=1, costs=(0,))
    found = solve(
        SchedulingProblem(priorities=[[0, 1, 2]], runs=[*shared_booking, last], tow_m={0: [[0] * 4] * 4})
    )
    assert found.given == (shared_booking[1], last)
