"""The scheduling problem without whole numbers: runs may be given in part. What cannot be done so cannot be done at all.

Its linear programs say in a moment that a request has no room, how low a cost can be at best, and which runs would
cost more than can be afforded (by their reduced costs), so that the proofs are left with few runs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact
from fieldplan.season.scheduling_problem import Run

ROUNDING = 1e-6


class Room:
    """How much of one more request there is room for beside those that must be served."""

    def __init__(self, options: Mapping[int, Sequence[Run]]) -> None:
        self._options = options
        self._solver = linear_solver()
        self._days: dict[tuple[int, int], Any] = {}
        self._rows: dict[int, Any] = {}
        self._parts: dict[Run, Any] = {}
        self._out: set[int] = set()

    def serve(self, request: int) -> None:
        """From now on the request must be served."""
        self._row(request).SetLb(1.0)

    def leave_out(self, request: int) -> None:
        """From now on the request has no run."""
        self._out.add(request)
        self._row(request).SetBounds(0.0, 0.0)
        for run in self._options[request]:
            self._parts[run].SetUb(0.0)

    def has_room(self, request: int) -> bool:
        """Whether the request may be served; ``False`` is a proof that it cannot."""
        self._row(request)
        objective = self._solver.Objective()
        objective.Clear()
        for run in self._options[request]:
            objective.SetCoefficient(self._parts[run], 1.0)
        objective.SetMaximization()
        if self._solver.Solve() != self._solver.OPTIMAL:
            return True
        return bool(objective.Value() > 1 - ROUNDING)

    def _row(self, request: int) -> Any:
        if request not in self._rows:
            row = self._rows[request] = self._solver.Constraint(0.0, 1.0)
            for run in self._options[request]:
                if run not in self._parts:
                    self._add(run)
                row.SetCoefficient(self._parts[run], 1.0)
        return self._rows[request]

    def _add(self, run: Run) -> None:
        most = 0.0 if self._out & set(run.requests) else 1.0
        part = self._parts[run] = self._solver.NumVar(0.0, most, "")
        for day in range(run.first, run.end):
            at = run.drill, day
            if at not in self._days:
                self._days[at] = self._solver.Constraint(-self._solver.infinity(), 1.0)
            self._days[at].SetCoefficient(part, 1.0)


def least(
    runs: Sequence[Run],
    groups: Sequence[tuple[Sequence[int], int]],
    most: Sequence[int],
    k: int,
) -> tuple[float, list[float]] | None:
    """The least that cost ``k`` can be if runs may be given in part, and the reduced cost of each run.

    Parameters
    ----------
    groups
        Groups of requests, each with how many of it are served.
    most
        What each cost before ``k`` may come to.

    Returns
    -------
    tuple
        A bound that no schedule can go below, and for each run what the bound rises by if it is given; ``None`` if
        the program could not be solved.
    """
    solver = linear_solver()
    parts = [solver.NumVar(0.0, solver.infinity(), "") for _ in runs]
    rows: dict[object, Any] = {}

    def add(key: object, low: float, high: float, part: Any, by: float) -> None:
        if key not in rows:
            rows[key] = solver.Constraint(low, high)
        rows[key].SetCoefficient(part, by)

    of = {request: n for n, (group, _) in enumerate(groups) for request in group}
    objective = solver.Objective()
    for run, part in zip(runs, parts, strict=True):
        by_group: dict[int, int] = {}
        for request in run.requests:
            add(("request", request), -solver.infinity(), 1.0, part, 1.0)
            if request in of:
                by_group[of[request]] = by_group.get(of[request], 0) + 1
        for group, n_served in by_group.items():
            count = float(groups[group][1])
            add(("group", group), count, count, part, float(n_served))
        for day in range(run.first, run.end):
            add((run.drill, day), -solver.infinity(), 1.0, part, 1.0)
        for j, limit in enumerate(most):
            if run.costs[j]:
                add(("cost", j), -solver.infinity(), float(limit), part, float(run.costs[j]))
        objective.SetCoefficient(part, float(run.costs[k]))
    objective.SetMinimization()
    if solver.Solve() != solver.OPTIMAL:
        return None
    return objective.Value(), [part.reduced_cost() for part in parts]


def linear_solver() -> Any:
    """A solver of linear programs.

    Raises
    ------
    MissingExtra
        If it is not installed.
    """
    try:
        from ortools.linear_solver import pywraplp
    except ImportError:
        raise MissingExtra.named("season", fact("extra-for/season")) from None
    solver = pywraplp.Solver.CreateSolver("GLOP")
    assert solver is not None
    # its own preprocessing calls some of these programs abnormal and gives up
    solver.SetSolverSpecificParametersAsString("use_preprocessing: false")
    return solver
