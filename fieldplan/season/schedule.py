"""Which drill and which days each request gets: first whom to serve by priority, then the costs to renters,
then the least towing.

A request, or a shared booking of short ones, can get a run of working days of a drill. Choosing runs with
no day in common is an integer program with one yes or no for each run. Serving and costs (waiting, or being
moved) are solved on it and proven. Towing depends on who follows whom, so the last step adds a round trip
for each drill (`towing`) and reports the bound that it reached. The limits count the solver's work, never
the clock, so the same requests always give the same season.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import repeat

from fieldplan.facts import Fact, fact
from fieldplan.season.day_program import days_program, limited, solved
from fieldplan.season.relaxed import ROUNDING, least
from fieldplan.season.scheduling_problem import (
    Run,
    SchedulingProblem,
    cost_of,
    one_order,
    served_by,
    tow_of,
)
from fieldplan.season.serving import Counts, Serving, chunks_of
from fieldplan.season.stretches import by_stretches
from fieldplan.season.swaps import swapped
from fieldplan.season.tow_bound import least_towing
from fieldplan.season.towing import towing

Steps = Callable[[Iterable[Fact]], Iterable[Fact]]
SERVING, DAYS, TOWING = fact("settling/who"), fact("settling/days"), fact("settling/towing")
REASONS = fact("settling/reasons")
"""What comes after the schedule: why some are not served, and what would change that."""
PROOF_WORK, TOW_WORK = 60.0, 5.0
"""Limits of the solver's deterministic time: for whom to serve and for each cost, and for towing."""
LEAST_WORK = 1.0
"""What a proof of whom to serve gets of it however little is left."""
MANY_RUNS = 10_000
"""Runs beyond which costs are lowered stretch by stretch first: the program of all days would find little."""
LAST_WORK = 20.0
"""What the program of all days gets after that: it rarely finds more, but raises the bound."""
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
    any_order, problem = (
        problem,
        replace(problem, runs=one_order(problem.runs)),
    )
    n_costs = _n_costs(problem)
    step = iter(
        steps([*(SERVING for _ in chunks_of(problem.priorities)), *(DAYS for _ in range(n_costs)), TOWING])
    )
    given, served_proven, counts = _serving(problem, step)
    if not given:
        return Solved(given=(), served_proven=served_proven, cost_bounds=(0,) * n_costs, tow_bound_m=0.0)
    problem = replace(problem, runs=_of_served(problem.runs, counts))
    bounds: list[int] = []
    for k in range(n_costs):
        next(step)
        given, bound, problem = _cheapest(problem, counts, given, k)
        bounds.append(bound)
    next(step)
    left = {(frozenset(run.requests), run.drill, run.first, run.costs) for run in problem.runs}
    any_order = replace(
        any_order,
        runs=[
            run
            for run in any_order.runs
            if (frozenset(run.requests), run.drill, run.first, run.costs) in left
        ],
    )
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


def _serving(problem: SchedulingProblem, step: Iterator[Fact]) -> tuple[list[Run], bool, Counts]:
    """Runs that serve the most by priority, whether that is proven, and how many are served of each priority."""
    left = [PROOF_WORK]

    def prove(
        runs: Sequence[Run], counts: Counts, groups: Sequence[Sequence[int]], known: Sequence[Run]
    ) -> tuple[list[Run], bool]:
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
        given, proven, _, work = solved(model, part, taken, max(LEAST_WORK, left[0] / 3), known)
        left[0] -= work
        return given, proven

    found = Serving(problem, prove)
    return found.all(step), found.proven, found.counts


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


def _cheapest(
    problem: SchedulingProblem, counts: Counts, given: Sequence[Run], k: int
) -> tuple[list[Run], int, SchedulingProblem]:
    """The schedule with the least of cost ``k``, a bound of it, and the problem with the runs that can still be given.

    A run that raises the bound of the linear program above what is known to be possible is in no schedule that is at
    least as good. So few runs are left, first those that raise it by little.
    """
    served = [(group, n) for group, n in counts if n]
    relaxed = least(problem.runs, served, [cost_of(given, j) for j in range(k)], k)
    low, rises = relaxed if relaxed is not None else (0.0, [0.0] * len(problem.runs))
    floor = math.ceil(low - ROUNDING)
    best, within, bound, work = list(given), 2.0, floor, PROOF_WORK
    if len(problem.runs) > MANY_RUNS:
        best, used = by_stretches(problem, best, k, low, rises, work / 2)
        within, work = math.inf, min(work - used, LAST_WORK)
    while cost_of(best, k) > floor and work > LEAST_WORK:
        affordable = cost_of(best, k) - low
        within, kept = min(within, affordable), set(best)
        few = replace(
            problem,
            runs=[
                run
                for run, rise in zip(problem.runs, rises, strict=True)
                if rise <= within + ROUNDING or run in kept
            ],
        )
        model, taken = limited(few, counts, best, k)
        model.minimize(sum(run.costs[k] * var for run, var in zip(few.runs, taken, strict=True)))
        share = work if within >= affordable else work / 2
        best, proven, reached, used = solved(model, few, taken, share, best)
        work -= max(used, LEAST_WORK)
        if within >= cost_of(best, k) - low - ROUNDING:  # no other run can be in a better schedule
            bound = (
                cost_of(best, k) if proven else max(floor, math.ceil(max(float(floor), reached) - ROUNDING))
            )
            break
        within *= 4
    if cost_of(best, k) == floor:
        bound = floor
    affordable = cost_of(best, k) - low
    left = [run for run, rise in zip(problem.runs, rises, strict=True) if rise <= affordable + ROUNDING]
    return best, bound, replace(problem, runs=left)


def _n_costs(problem: SchedulingProblem) -> int:
    return len(problem.runs[0].costs) if problem.runs else 0
