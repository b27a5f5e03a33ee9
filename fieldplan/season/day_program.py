"""The integer program of days: a yes or no for each run that could be given, and the solver that decides them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact
from fieldplan.season.scheduling_problem import Run, SchedulingProblem, cost_of


def days_program(
    problem: SchedulingProblem, counts: Sequence[tuple[Sequence[int], int]]
) -> tuple[Any, list[Any]]:
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


def limited(
    problem: SchedulingProblem,
    counts: Sequence[tuple[Sequence[int], int]],
    given: Sequence[Run],
    n_costs: int,
) -> tuple[Any, list[Any]]:
    """The program of days in which the first ``n_costs`` costs may not exceed those of the runs given."""
    model, taken = days_program(problem, counts)
    for k in range(n_costs):
        model.add(
            sum(run.costs[k] * var for run, var in zip(problem.runs, taken, strict=True))
            <= cost_of(given, k)
        )
    return model, taken


def solved(
    model: Any,
    problem: SchedulingProblem,
    taken: Sequence[Any],
    work: float,
    known: Sequence[Run],
    *,
    probing: bool = True,
    alone: bool = False,
) -> tuple[list[Run], bool, float, float]:
    """The best runs found within so much work, whether they are proven best, the bound, and the work that it took.

    Probing each yes or no in advance helps with proofs. With round trips it would use up all the work and
    leave none for the search. A small program is settled sooner by one search ``alone`` that leans on linear programs than
    by several in turn.
    """
    cp_model = _cp_model()
    there = set(known)
    for run, var in zip(problem.runs, taken, strict=True):
        model.add_hint(var, run in there)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1 if alone else 2
    solver.parameters.interleave_search = not alone
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = work
    if alone:
        solver.parameters.linearization_level = 2
    if alone or not probing:
        solver.parameters.cp_model_probing_level = 0
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return list(known), False, float("-inf"), work
    given = [run for run, var in zip(problem.runs, taken, strict=True) if solver.value(var)]
    took = float(solver.response_proto.deterministic_time)
    return given, status == cp_model.OPTIMAL, float(solver.best_objective_bound), took


def _cp_model() -> Any:
    try:
        from ortools.sat.python import cp_model
    except ImportError:
        raise MissingExtra.named("season", fact("extra-for/season")) from None
    return cp_model
