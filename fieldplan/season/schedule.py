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
from typing import Any

from fieldplan.errors import MissingExtra
from fieldplan.facts import Fact, fact
from fieldplan.season.scheduling_problem import Run, SchedulingProblem, cost_of, one_order, served_by
from fieldplan.season.swaps import swapped
from fieldplan.season.towing import towing

Steps = Callable[[Iterable[Fact]], Iterable[Fact]]
SERVING, DAYS, TOWING = fact("settling/who"), fact("settling/days"), fact("settling/towing")
_LARGEST_WEIGHT = 2**6
"""Priorities are solved in chunks up to this weight: several small proofs are quicker than one with large weights."""
PROOF_WORK, TOW_WORK = 60.0, 5.0
"""Limits of the solver's deterministic time: for each proof, and for towing."""


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
    chunks = _chunks(problem.priorities)
    step = iter(steps([*(SERVING for _ in chunks), *(DAYS for _ in range(_n_costs(problem))), TOWING]))
    given, served_proven, counts = _serving(problem, chunks, step)
    if not given:
        return Solved(
            given=(),
            served_proven=served_proven,
            cost_bounds=(0,) * _n_costs(problem),
            tow_bound_m=0.0,
        )
    bounds: list[int] = []
    for k in range(_n_costs(problem)):
        next(step)
        model, taken = _limited(problem, counts, given, k)
        model.minimize(sum(run.costs[k] * var for run, var in zip(problem.runs, taken, strict=True)))
        given, _, bound = _solved(model, problem, taken, PROOF_WORK, given)
        bounds.append(round(max(0.0, bound)))
    next(step)
    model, taken = _limited(any_order, counts, given, _n_costs(problem))
    given = swapped(any_order, given)
    model.minimize(towing(model, any_order, taken, given))
    given, _, tow_bound = _solved(model, any_order, taken, TOW_WORK, given, probing=False)
    given = swapped(any_order, given)
    next(step, None)
    return Solved(
        given=tuple(sorted(given, key=lambda run: (run.drill, run.first))),
        served_proven=served_proven,
        cost_bounds=tuple(bounds),
        tow_bound_m=max(0.0, tow_bound),
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
    chunks = _chunks(problem.priorities)
    return served_by(_serving(problem, chunks, iter([SERVING] * len(chunks)))[0])


def _serving(
    problem: SchedulingProblem, chunks: Sequence[Sequence[Sequence[int]]], step: Iterator[Fact]
) -> tuple[list[Run], bool, list[tuple[Sequence[int], int]]]:
    """Runs that serve the most by priority, whether that is proven, and how many are served of each priority."""
    served_proven = True
    counts: list[tuple[Sequence[int], int]] = []
    given: list[Run] = []
    for chunk in chunks:
        next(step)
        model, taken = _days(problem, counts)
        weight, terms = 1, []  # each priority outweighs all that come after it
        for group in reversed(chunk):
            terms += [
                weight * taken[i]
                for i, run in enumerate(problem.runs)
                for request in run.requests
                if request in set(group)
            ]
            weight *= len(group) + 1
        model.maximize(sum(terms))
        given, proven, _ = _solved(model, problem, taken, PROOF_WORK, given)
        served_proven = served_proven and proven
        served = served_by(given)
        counts += [(group, len(served & set(group))) for group in chunk]
    return given, served_proven, counts


def _chunks(priorities: Sequence[Sequence[int]]) -> list[list[Sequence[int]]]:
    """Priorities in order, in chunks that one objective can weigh without large weights."""
    chunks: list[list[Sequence[int]]] = []
    weight = _LARGEST_WEIGHT
    for group in priorities:
        if weight * (len(group) + 1) >= _LARGEST_WEIGHT:
            chunks.append([])
            weight = 1
        chunks[-1].append(group)
        weight *= len(group) + 1
    return chunks


def _days(problem: SchedulingProblem, counts: Sequence[tuple[Sequence[int], int]]) -> tuple[Any, list[Any]]:
    """The integer program of days and its yes or no for each run.

    At most one run for each request, at most one for each drill and day, and as many served of each
    priority as were found before.
    """
    model = _cp_model().CpModel()
    taken = [model.new_bool_var("") for _ in problem.runs]
    by_request: dict[int, list[Any]] = {}
    by_day: dict[tuple[int, int], list[Any]] = {}
    for run, var in zip(problem.runs, taken, strict=True):
        for request in run.requests:
            by_request.setdefault(request, []).append(var)
        for day in range(run.first, run.end):
            by_day.setdefault((run.drill, day), []).append(var)
    for exclusive in (*by_request.values(), *by_day.values()):
        model.add_at_most_one(exclusive)
    for group, count in counts:
        model.add(sum(var for request in group for var in by_request.get(request, ())) == count)
    return model, taken


def _n_costs(problem: SchedulingProblem) -> int:
    return len(problem.runs[0].costs) if problem.runs else 0


def _limited(
    problem: SchedulingProblem,
    counts: Sequence[tuple[Sequence[int], int]],
    given: Sequence[Run],
    n_costs: int,
) -> tuple[Any, list[Any]]:
    """The program of days in which the first ``n_costs`` costs may not exceed those of the runs given."""
    model, taken = _days(problem, counts)
    for k in range(n_costs):
        model.add(
            sum(run.costs[k] * var for run, var in zip(problem.runs, taken, strict=True))
            <= cost_of(given, k)
        )
    return model, taken


def _solved(
    model: Any,
    problem: SchedulingProblem,
    taken: Sequence[Any],
    work: float,
    known: Sequence[Run],
    *,
    probing: bool = True,
) -> tuple[list[Run], bool, float]:
    """The best runs found within so much work, whether they are proven best, and the bound.

    Probing each yes or no in advance helps with proofs. With round trips it would use up all the work and
    leave none for the search.
    """
    cp_model = _cp_model()
    there = set(known)
    for run, var in zip(problem.runs, taken, strict=True):
        model.add_hint(var, run in there)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.interleave_search = True
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = work
    if not probing:
        solver.parameters.cp_model_probing_level = 0
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return list(known), False, float("-inf")
    given = [run for run, var in zip(problem.runs, taken, strict=True) if solver.value(var)]
    return given, status == cp_model.OPTIMAL, float(solver.best_objective_bound)


def _cp_model() -> Any:
    try:
        from ortools.sat.python import cp_model
    except ImportError:
        raise MissingExtra.named("season", fact("extra-for/season")) from None
    return cp_model
