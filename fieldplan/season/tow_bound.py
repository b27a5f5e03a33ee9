"""How little towing there can be: each drill's season as a flow through places and days, which may be divided.

A unit of flow leaves the home of each drill, goes from run to run, and comes home. Between two runs it waits at the place
of the first. A run that begins on day f can follow any that ended by f, so the flow never has two runs on one day.
Every schedule is such a flow, so no schedule is towed less than the cheapest flow, which a linear program finds
(the relaxation of a time-indexed formulation, as for routes with time windows).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from fieldplan.season.relaxed import ROUNDING, linear_solver
from fieldplan.season.scheduling_problem import Run, SchedulingProblem


def least_towing(
    problem: SchedulingProblem,
    groups: Sequence[tuple[Sequence[int], int]],
    most: Sequence[int],
    largest: int,
) -> tuple[float, list[Run] | None] | None:
    """Meters of road that no schedule can go below, and a schedule that reaches them if the flow is one.

    Parameters
    ----------
    problem
        The runs that can be given, and the roads.
    groups
        Groups of requests, each with how many of it are served.
    most
        What each cost may come to.
    largest
        The most legs that are looked at.

    Returns
    -------
    tuple
        The meters, and the runs of the flow if none is divided; ``None`` if there are more legs than that, or the program could not be solved.
    """
    if _n_legs(problem) > largest:
        return None
    return _Flow(problem, groups, most).least()


def _n_legs(problem: SchedulingProblem) -> int:
    by_drill: dict[int, tuple[int, set[int]]] = {}
    for run in problem.runs:
        n, places = by_drill.get(run.drill, (0, set()))
        by_drill[run.drill] = n + 1, places | {run.requests[-1]}
    return sum(n * len(places) for n, places in by_drill.values())


@dataclass
class _Flow:
    """The linear program."""

    problem: SchedulingProblem
    groups: Sequence[tuple[Sequence[int], int]]
    most: Sequence[int]
    _rows: dict[object, Any] = field(default_factory=dict)
    _parts: dict[Run, list[Any]] = field(default_factory=dict)

    def least(self) -> tuple[float, list[Run] | None] | None:
        """Its value and the runs of a flow that is whole; ``None`` if it could not be solved."""
        self._solver = linear_solver()
        self._objective = self._solver.Objective()
        self._of = {request: n for n, (group, _) in enumerate(self.groups) for request in group}
        for drill, meters in self.problem.tow_m.items():
            self._drill(drill, meters, [run for run in self.problem.runs if run.drill == drill])
        self._objective.SetMinimization()
        if self._solver.Solve() != self._solver.OPTIMAL:
            return None
        shares = {run: sum(part.solution_value() for part in parts) for run, parts in self._parts.items()}
        whole = all(min(share, abs(1 - share)) < ROUNDING for share in shares.values())
        runs = [run for run, share in shares.items() if share > 0.5]
        return float(self._objective.Value()), runs if whole else None

    def _drill(self, drill: int, meters: Sequence[Sequence[int]], runs: Sequence[Run]) -> None:
        home = len(meters) - 1
        ends: dict[int, list[int]] = {}
        for run in runs:
            ends.setdefault(run.requests[-1], []).append(run.end)
        ends = {place: sorted(set(days)) for place, days in ends.items()}
        start = ("start", drill)
        self._row(start, 1.0, 1.0)
        self._leg([(start, 1.0)], 0.0)  # it stays at home
        for place, days in ends.items():
            for k in range(len(days) - 1):
                self._leg([((drill, place, k), 1.0), ((drill, place, k + 1), -1.0)], 0.0)
            self._leg([((drill, place, len(days) - 1), 1.0)], float(meters[place][home]))
        for run in runs:
            first, last = run.requests[0], run.requests[-1]
            own = sum(meters[a][b] for a, b in zip(run.requests, run.requests[1:], strict=False))
            into = ((drill, last, ends[last].index(run.end)), -1.0)
            terms = [into, *self._what_it_serves(run)]
            parts = self._parts[run] = [self._leg([(start, 1.0), *terms], float(meters[home][first] + own))]
            for place, days in ends.items():
                k = bisect_right(days, run.first) - 1
                if k >= 0 and place not in run.requests:
                    parts.append(
                        self._leg([((drill, place, k), 1.0), *terms], float(meters[place][first] + own))
                    )

    def _what_it_serves(self, run: Run) -> Iterator[tuple[object, float]]:
        by_group: dict[int, int] = {}
        for request in run.requests:
            key = ("request", request)
            self._row(key, 0.0, 1.0)
            yield key, 1.0
            if request in self._of:
                by_group[self._of[request]] = by_group.get(self._of[request], 0) + 1
        for group, n_served in by_group.items():
            count = float(self.groups[group][1])
            self._row(("group", group), count, count)
            yield ("group", group), float(n_served)
        for k, limit in enumerate(self.most):
            if run.costs[k]:
                self._row(("cost", k), 0.0, float(limit))
                yield ("cost", k), float(run.costs[k])

    def _row(self, key: object, low: float, high: float) -> Any:
        if key not in self._rows:
            self._rows[key] = self._solver.Constraint(low, high)
        return self._rows[key]

    def _leg(self, terms: Sequence[tuple[object, float]], meters: float) -> Any:
        part = self._solver.NumVar(0.0, self._solver.infinity(), "")
        for key, by in terms:
            self._row(key, 0.0, 0.0).SetCoefficient(part, by)
        self._objective.SetCoefficient(part, meters)
        return part
