"""Which drill and which days each request gets: first whom to serve by priority, then the costs to renters,
then the least towing.

A request, or a shared booking of short ones, can get a run of working days of a drill. Choosing runs with
no day in common is an integer program with one yes or no for each run. Serving and costs (waiting, or being
moved) are solved on it and proven. Towing depends on who follows whom, so the last step adds a round trip
for each drill (`towing`) and reports the bound that it reached. The limits count the solver's work, never
the clock, so the same requests always give the same season.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import repeat

from fieldplan.facts import Fact, fact
from fieldplan.season.cheapest import LEAST_WORK, cheapest
from fieldplan.season.day_program import days_program, limited, solved
from fieldplan.season.scheduling_problem import (
    MANY_RUNS,
    Run,
    SchedulingProblem,
    cost_of,
    one_order,
    served_by,
    tow_of,
)
from fieldplan.season.serving import Counts, Serving, chunks_of
from fieldplan.season.swaps import swapped
from fieldplan.season.tow_bound import least_towing
from fieldplan.season.towing import towing

Steps = Callable[[Iterable[Fact]], Iterable[Fact]]
SERVING, DAYS, TOWING = fact("settling/who"), fact("settling/days"), fact("settling/towing")
REASONS = fact("settling/reasons")
"""What comes after the schedule: why some are not served, and what would change that."""
WORK, SERVING_WORK, COST_WORK, TOW_WORK = 80.0, 40.0, 60.0, 5.0
"""Limits of the solver's deterministic time, about seconds: for whom to serve and all costs together, for whom to serve, for
all costs, and for towing."""
MOST_LEGS = 400_000
"""Legs beyond which no bound of towing is looked for by the flow of drills."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """The runs given, and what is proven of them.

    Parameters
    ----------
    served_proven
        Whether it is proven that no schedule serves more by priority.
    cost_bounds
        For each cost, a value that no schedule serving as many can go below.
    tow_bound_m
        The same for meters of road.
    """

    given: tuple[Run, ...]
    served_proven: bool
    cost_bounds: tuple[int, ...]
    tow_bound_m: float


def solve(problem: SchedulingProblem, steps: Steps = iter) -> Solved:
    """The best schedule: serve by priority, then keep each cost low in turn, then tow little.

    Parameters
    ----------
    problem
        Priorities, runs and roads.
    steps
        Wraps the names of the steps, to show progress.

    Returns
    -------
    Solved
        The runs given, in order of drill and day.

    Raises
    ------
    MissingExtra
        If the solver is not installed.
    """
    any_order, problem = problem, replace(problem, runs=one_order(problem.runs))
    n_costs = _n_costs(problem)
    step = iter(
        steps([*(SERVING for _ in chunks_of(problem.priorities)), *(DAYS for _ in range(n_costs)), TOWING])
    )
    given, served_proven, counts, work = _serving(problem, step)
    if not given:
        return Solved(given=(), served_proven=served_proven, cost_bounds=(0,) * n_costs, tow_bound_m=0.0)
    problem = replace(problem, runs=_of_served(problem.runs, counts))
    bounds: list[int] = []
    left = min(COST_WORK, WORK - work)
    for k in range(n_costs):
        next(step)
        share = left if k == n_costs - 1 else left / 2
        found = cheapest(problem, counts, given, k, max(LEAST_WORK, share))
        given, problem, left = found.given, found.problem, left - found.work
        bounds.append(found.bound)
    next(step)
    any_order = replace(any_order, runs=_alike(any_order.runs, problem.runs))
    given, tow_bound = _least_towed(any_order, counts, given, n_costs)
    next(step, None)
    return Solved(
        given=tuple(sorted(given, key=lambda run: (run.drill, run.first))),
        served_proven=served_proven,
        cost_bounds=tuple(bounds),
        tow_bound_m=min(tow_bound, float(tow_of(given, any_order.tow_m))),
    )


def serving(problem: SchedulingProblem) -> set[int]:
    """The requests that the best schedule serves by priority, whatever days they get.

    Parameters
    ----------
    problem
        Priorities and runs.

    Raises
    ------
    MissingExtra
        If the solver is not installed.
    """
    problem = replace(problem, runs=one_order(problem.runs))
    return served_by(_serving(problem, repeat(SERVING))[0])


def _alike(runs: Sequence[Run], kept: Sequence[Run]) -> list[Run]:
    """The runs that are among those kept, whatever the order of those who share them."""
    left = {(frozenset(run.requests), run.drill, run.first, run.costs) for run in kept}
    return [run for run in runs if (frozenset(run.requests), run.drill, run.first, run.costs) in left]


def _serving(problem: SchedulingProblem, step: Iterator[Fact]) -> tuple[list[Run], bool, Counts, float]:
    """Runs that serve the most by priority, whether that is proven, how many are served of each priority, and the solver's
    work that it took.
    """
    left = [SERVING_WORK]

    def prove(
        runs: Sequence[Run], counts: Counts, groups: Sequence[Sequence[int]], known: Sequence[Run]
    ) -> tuple[list[Run], bool]:
        if left[0] < LEAST_WORK and len(runs) > MANY_RUNS:
            return list(known), False
        part = replace(problem, runs=runs)
        model, taken = days_program(part, counts)
        weight, terms = 1, []  # each priority outweighs all that come after it
        for group in reversed(groups):
            terms += [
                weight * taken[i]
                for i, run in enumerate(runs)
                for request in run.requests
                if request in set(group)
            ]
            weight *= len(group) + 1
        model.maximize(sum(terms))
        given, proven, _, work = solved(model, part, taken, max(LEAST_WORK, left[0] / 2), known)
        left[0] -= work
        return given, proven

    found = Serving(problem, prove)
    return found.all(step), found.proven, found.counts, SERVING_WORK - left[0]


def _least_towed(
    problem: SchedulingProblem, counts: Counts, given: Sequence[Run], n_costs: int
) -> tuple[list[Run], float]:
    """The schedule with the least towing that is found, no cost above those of the runs given, and a bound of it."""
    served = [(group, n) for group, n in counts if n]
    most = [cost_of(given, k) for k in range(n_costs)]
    flow = least_towing(problem, served, most, MOST_LEGS)
    found = [swapped(problem, given)]
    bound, whole = flow if flow is not None else (0.0, None)
    if whole is not None and sum(len(run.requests) for run in whole) == sum(n for _, n in served):
        found.append(whole)
    best = min(found, key=lambda runs: tow_of(runs, problem.tow_m))
    if tow_of(best, problem.tow_m) <= bound + 1:
        return best, bound
    if flow is None:  # so many legs that the solver would not get anywhere either
        return best, 0.0
    model, taken = limited(problem, counts, best, n_costs)
    model.minimize(towing(model, problem, taken, best))
    best, _, reached, _ = solved(model, problem, taken, TOW_WORK, best, probing=False)
    return swapped(problem, best), max(0.0, bound, reached)


def _of_served(runs: Sequence[Run], counts: Counts) -> list[Run]:
    """The runs of requests that are served: no run of one that is not can be given."""
    out = {request for group, n in counts if not n for request in group}
    return [run for run in runs if out.isdisjoint(run.requests)]


def _n_costs(problem: SchedulingProblem) -> int:
    return len(problem.runs[0].costs) if problem.runs else 0
