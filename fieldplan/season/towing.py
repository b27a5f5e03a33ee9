"""Towing as part of the solver's model: a round trip of each drill, home to home, through the requests it
serves.

Every request is a stop. A drill goes on to a stop whose days begin after those of the stop before, or to
the next one of a shared booking. Other constraints keep the days of a drill from overlapping, so beginning
later is enough here.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from itertools import pairwise
from typing import Any

from fieldplan.season.scheduling_problem import Run, SchedulingProblem, legs_of, served_by


def towing(model: Any, problem: SchedulingProblem, taken: Sequence[Any], known: Sequence[Run]) -> Any:
    """Add the round trips of all drills to the model.

    Parameters
    ----------
    model
        The solver's model (``CpModel``) of days.
    taken
        The model's yes or no for each run of the problem.
    known
        Runs to begin from. Their round trips are given as hints; without them the solver may find none
        within its limit.

    Returns
    -------
    LinearExpr
        Meters that all drills are towed, as an expression of the model.
    """
    cost: list[Any] = []
    for drill, meters in problem.tow_m.items():
        options = [(run, var) for run, var in zip(problem.runs, taken, strict=True) if run.drill == drill]
        if options:
            before = [run for run in known if run.drill == drill]
            cost += _round_trip(
                model, options, meters, before, set(legs_of(before, drill, len(meters) - 1))
            )
    return sum(cost)


def _round_trip(
    model: Any,
    options: Sequence[tuple[Run, Any]],
    meters: Sequence[Sequence[int]],
    known: Sequence[Run],
    legs: Set[tuple[int, int]],
) -> list[Any]:
    """One drill's meters, leg by leg, as terms of the model.

    ``known`` are its runs to begin from, ``legs`` the round trip through them.
    """
    home = len(meters) - 1
    on_shared = {pair for run in known for pair in pairwise(run.requests)}
    between, visited = legs - on_shared, served_by(known)

    def leg(here: int, there: int, known_legs: Set[tuple[int, int]]) -> Any:
        var = model.new_bool_var("")
        model.add_hint(var, (here, there) in known_legs)
        return var

    by_request: dict[int, list[tuple[Run, Any]]] = {}
    together: dict[tuple[int, int], list[Any]] = {}
    for run, var in options:
        for request in run.requests:
            by_request.setdefault(request, []).append((run, var))
        for pair in pairwise(run.requests):
            together.setdefault(pair, []).append(var)
    stop = {request: k for k, request in enumerate(by_request, start=1)}
    starts = {request: sum(run.first * var for run, var in pairs) for request, pairs in by_request.items()}
    shortest = {request: min(run.n_days for run, _ in pairs) for request, pairs in by_request.items()}
    cost, arcs = [], []
    idle = leg(home, home, between)  # the drill stays at home all season: nothing is served
    arcs.append((0, 0, idle))
    for request, pairs in by_request.items():
        here = sum(var for _, var in pairs)
        away = model.new_bool_var("")
        model.add_hint(away, request not in visited)
        model.add(here + away == 1)  # a stop left out is a circle from it to itself
        model.add_implication(idle, away)
        arcs.append((stop[request], stop[request], away))
        out, back = leg(home, request, between), leg(request, home, between)
        arcs += [(0, stop[request], out), (stop[request], 0, back)]
        cost += [meters[home][request] * out, meters[request][home] * back]
        soonest_end = min(run.end for run, _ in pairs)
        for other, theirs in by_request.items():
            if other == request or max(run.first for run, _ in theirs) < soonest_end:
                continue
            follows = leg(request, other, between)
            arcs.append((stop[request], stop[other], follows))
            model.add(starts[other] >= starts[request] + shortest[request]).only_enforce_if(follows)
            cost.append(meters[request][other] * follows)
    for (request, other), runs in together.items():
        shares = leg(request, other, on_shared)
        model.add(sum(runs) == shares)
        arcs.append((stop[request], stop[other], shares))
        cost.append(meters[request][other] * shares)
    model.add_circuit(arcs)
    return cost
