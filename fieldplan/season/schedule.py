"""Which drill and which days each request gets: served by the rules first, then what it costs the renters,
then least towing.

A request, or a party of short ones, can get a run of working days of a drill. Choosing runs that have no
day in common is an integer program over one yes or no for each run; serving and the costs (waiting, or
being moved) are settled on it and proven. Towing depends on who follows whom, so the third term closes a
round trip for each drill (`towing`) and carries the bound that was reached. A limit counts the solver's
work, never the clock, so the same requests give the same season.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
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
"""Levels are settled in lots no heavier than this: several small proofs are found sooner than one with weights of many digits."""
PROOF_WORK, TOW_WORK = 60.0, 5.0
"""Limits of the solver's deterministic time for each proof, and for towing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """The runs given, and what is proven of them."""

    given: tuple[Run, ...]
    served_proven: bool
    cost_bounds: tuple[int, ...]
    tow_bound_m: float


def solve(scheduling_problem: SchedulingProblem, steps: Steps = iter) -> Solved:
    """The season that the rules ask for.

    Parameters
    ----------
    steps
        Wraps the names of the steps as they are settled, to show how far the work is.

    Raises
    ------
    MissingExtra
        If the solver is not installed.
    """
    either_way, scheduling_problem = (
        scheduling_problem,
        replace(scheduling_problem, runs=one_order(scheduling_problem.runs)),
    )
    served_proven = True
    counts: list[tuple[Sequence[int], int]] = []
    given: list[Run] = []
    chunks = _chunks(scheduling_problem.priorities)
    step = iter(
        steps([*(SERVING for _ in chunks), *(DAYS for _ in range(_n_costs(scheduling_problem))), TOWING])
    )
    for chunk in chunks:
        next(step)
        model, taken = _days(scheduling_problem, counts)
        weight, terms = 1, []
        for priority in reversed(chunk):
            terms += [
                weight * taken[i]
                for i, run in enumerate(scheduling_problem.runs)
                for request in run.requests
                if request in set(priority)
            ]
            weight *= len(priority) + 1
        model.maximize(sum(terms))
        given, proven, _ = _solved(model, scheduling_problem, taken, PROOF_WORK, given)
        served_proven = served_proven and proven
        served = served_by(given)
        counts += [(priority, len(served & set(priority))) for priority in chunk]
    if not given:
        return Solved(
            given=(),
            served_proven=served_proven,
            cost_bounds=(0,) * _n_costs(scheduling_problem),
            tow_bound_m=0.0,
        )
    bounds: list[int] = []
    for k in range(_n_costs(scheduling_problem)):
        next(step)
        model, taken = _held(scheduling_problem, counts, given, k)
        model.minimize(
            sum(run.costs[k] * var for run, var in zip(scheduling_problem.runs, taken, strict=True))
        )
        given, _, bound = _solved(model, scheduling_problem, taken, PROOF_WORK, given)
        bounds.append(round(max(0.0, bound)))
    next(step)
    model, taken = _held(either_way, counts, given, _n_costs(scheduling_problem))
    given = swapped(either_way, given)
    model.minimize(towing(model, either_way, taken, given))
    given, _, tow_bound = _solved(model, either_way, taken, TOW_WORK, given, probing=False)
    given = swapped(either_way, given)
    next(step, None)
    return Solved(
        given=tuple(sorted(given, key=lambda run: (run.drill, run.first))),
        served_proven=served_proven,
        cost_bounds=tuple(bounds),
        tow_bound_m=max(0.0, tow_bound),
    )


def _chunks(priorities: Sequence[Sequence[int]]) -> list[list[Sequence[int]]]:
    """Levels in order, as many together as one objective can weigh against each other without rounding."""
    chunks: list[list[Sequence[int]]] = []
    weight = _LARGEST_WEIGHT
    for priority in priorities:
        if weight * (len(priority) + 1) >= _LARGEST_WEIGHT:
            chunks.append([])
            weight = 1
        chunks[-1].append(priority)
        weight *= len(priority) + 1
    return chunks


def _days(
    scheduling_problem: SchedulingProblem, counts: Sequence[tuple[Sequence[int], int]]
) -> tuple[Any, list[Any]]:
    """The integer program of days: at most one run a request, at most one run a drill and day, so many
    served of each level.
    """
    model = _cp_model().CpModel()
    taken = [model.new_bool_var("") for _ in scheduling_problem.runs]
    by_request: dict[int, list[Any]] = {}
    by_day: dict[tuple[int, int], list[Any]] = {}
    for run, var in zip(scheduling_problem.runs, taken, strict=True):
        for request in run.requests:
            by_request.setdefault(request, []).append(var)
        for day in range(run.first, run.end):
            by_day.setdefault((run.drill, day), []).append(var)
    for own in (*by_request.values(), *by_day.values()):
        model.add_at_most_one(own)
    for priority, count in counts:
        model.add(sum(var for request in priority for var in by_request.get(request, ())) == count)
    return model, taken


def _n_costs(scheduling_problem: SchedulingProblem) -> int:
    return len(scheduling_problem.runs[0].costs) if scheduling_problem.runs else 0


def _held(
    scheduling_problem: SchedulingProblem,
    counts: Sequence[tuple[Sequence[int], int]],
    given: Sequence[Run],
    n_costs: int,
) -> tuple[Any, list[Any]]:
    """The program of days where the first so many costs may not exceed those of the runs given."""
    model, taken = _days(scheduling_problem, counts)
    for k in range(n_costs):
        model.add(
            sum(run.costs[k] * var for run, var in zip(scheduling_problem.runs, taken, strict=True))
            <= cost_of(given, k)
        )
    return model, taken


def _solved(
    model: Any,
    scheduling_problem: SchedulingProblem,
    taken: Sequence[Any],
    work: float,
    known: Sequence[Run],
    *,
    probing: bool = True,
) -> tuple[list[Run], bool, float]:
    """The runs of the best answer found within so much work, whether it is proven, and the bound.

    Trying each yes or no beforehand helps to prove; with round trips it takes all the work and leaves none
    for the search.
    """
    cp_model = _cp_model()
    there = set(known)
    for run, var in zip(scheduling_problem.runs, taken, strict=True):
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
    given = [run for run, var in zip(scheduling_problem.runs, taken, strict=True) if solver.value(var)]
    return given, status == cp_model.OPTIMAL, float(solver.best_objective_bound)


def _cp_model() -> Any:
    try:
        from ortools.sat.python import cp_model
    except ImportError:
        raise MissingExtra.named("season", fact("extra-for/season")) from None
    return cp_model
