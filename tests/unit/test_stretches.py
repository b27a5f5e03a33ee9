"""Costs lowered stretch by stretch, beside what the program of all days proves to be the least."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

pytest.importorskip("ortools")

from benchmarks.season import season

from fieldplan.season import schedule, stretches
from fieldplan.season.inserted import Bookings
from fieldplan.season.relaxed import least
from fieldplan.season.schedule import solve
from fieldplan.season.scheduling_problem import Run, SchedulingProblem, cost_of, served_by
from fieldplan.season.stretches import by_stretches


def _late(problem: SchedulingProblem) -> list[Run]:
    """All requests that find room, the latest days first."""
    options: dict[int, list[Run]] = {i: [] for (i,) in problem.priorities}
    for run in sorted(problem.runs, key=lambda run: (-run.first, run.drill)):
        options[run.requests[0]].append(run)
    bookings = Bookings(options)
    for (i,) in problem.priorities:
        bookings.insert(i)
    return bookings.runs


def _never_two_on_one_day(given: list[Run]) -> bool:
    days = [(run.drill, day) for run in given for day in range(run.first, run.end)]
    return len(days) == len(set(days))


def test_bookings_that_are_too_late_come_down_near_the_bound() -> None:
    """Twenty requests given their latest days: the same are served, nobody twice, within a tenth of the linear bound."""
    problem = season(20, 2, 60, random.Random(3))
    given = _late(problem)
    served = served_by(given)
    problem = replace(problem, runs=[run for run in problem.runs if served.issuperset(run.requests)])
    relaxed = least(problem.runs, [([i], 1) for i in sorted(served)], [], 0)
    assert relaxed is not None
    low, rises = relaxed
    found, used = by_stretches(problem, given, 0, low, rises, 20.0)
    assert served_by(found) == served
    assert _never_two_on_one_day(found)
    assert low - 1e-6 <= cost_of(found, 0) <= 1.1 * low + 1
    assert cost_of(found, 0) < cost_of(given, 0) / 2
    assert 0 < used <= 25
    assert by_stretches(problem, given, 0, low, rises, 20.0) == (found, used)


def test_no_earlier_cost_rises() -> None:
    """The second cost is least, 2, with request 0 on the fifth day, but that raises the first: 1 + 2 is what is left."""

    def run(request: int, first: int, costs: tuple[int, int]) -> Run:
        return Run(requests=(request,), drill=0, first=first, n_days=1, costs=costs)

    tempting = [run(0, 4, (2, 0)), run(1, 1, (0, 5))]
    given = [run(0, 1, (0, 9)), run(1, 2, (0, 9))]
    runs = [*tempting, *given, run(0, 3, (0, 1)), run(1, 0, (0, 2))]
    problem = SchedulingProblem(priorities=[[0], [1]], runs=runs, tow_m={})
    found, _ = by_stretches(problem, given, 1, 0.0, [0.0] * len(runs), 5.0)
    assert cost_of(found, 0) == 0
    assert cost_of(found, 1) == 3


def test_a_season_settled_by_stretches_is_as_good(monkeypatch: pytest.MonkeyPatch) -> None:
    """With stretches for every season, however small, waiting is proven to be the same."""
    problem = season(14, 2, 30, random.Random(5))
    usual = solve(problem)
    monkeypatch.setattr(schedule, "MANY_RUNS", 0)
    monkeypatch.setattr(stretches, "WIDTHS", (8, 14))
    found = solve(problem)
    assert cost_of(found.given, 0) == found.cost_bounds[0] == usual.cost_bounds[0]
    assert served_by(found.given) == served_by(usual.given)
