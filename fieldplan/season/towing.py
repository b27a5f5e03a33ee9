"""Towing in the solver's words: a round trip of each drill, home to home, through the requests that it
serves.

Every request is a stop. A drill goes on to one whose days begin after those of the stop before, or to the
next of a party on the same days. That days of a drill do not overlap is held elsewhere, so to begin later
is enough.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from itertools import pairwise
from typing import Any

from fieldplan.season.scheduling_problem import Run, SchedulingProblem, legs_of, served_by


def towing(
    model: Any, scheduling_problem: SchedulingProblem, taken: Sequence[Any], known: Sequence[Run]
) -> Any:
    """Metres towed by all drills, as an expression of the solver's model, to which the round trips are
    added.

    Parameters
    ----------
    taken
        The model's yes or no for each run of the claims.
    known
        An answer to begin from: its round trips are hinted, else the solver may find none within its limit.
    """
    cost: list[Any] = []
    for drill, metres in scheduling_problem.tow_m.items():
        own = [
            (run, var)
            for run, var in zip(scheduling_problem.runs, taken, strict=True)
            if run.drill == drill
        ]
        if own:
            before = [run for run in known if run.drill == drill]
            cost += _round_trip(model, own, metres, before, set(legs_of(before, drill, len(metres) - 1)))
    return sum(cost)


def _round_trip(
    model: Any,
    own: Sequence[tuple[Run, Any]],
    metres: Sequence[Sequence[int]],
    known: Sequence[Run],
    legs: Set[tuple[int, int]],
) -> list[Any]:
    """One drill's metres, leg by leg; ``known`` are its runs and ``legs`` its round trip in the answer to
    begin from.
    """
    home = len(metres) - 1
    on_shared = {pair for run in known for pair in pairwise(run.requests)}
    between, visited = legs - on_shared, served_by(known)

    def leg(here: int, there: int, known_legs: Set[tuple[int, int]]) -> Any:
        var = model.new_bool_var("")
        model.add_hint(var, (here, there) in known_legs)
        return var

    by_request: dict[int, list[tuple[Run, Any]]] = {}
    together: dict[tuple[int, int], list[Any]] = {}
    for run, var in own:
        for request in run.requests:
            by_request.setdefault(request, []).append((run, var))
        for pair in pairwise(run.requests):
            together.setdefault(pair, []).append(var)
    stop = {request: k for k, request in enumerate(by_request, start=1)}
    starts = {request: sum(run.first * var for run, var in pairs) for request, pairs in by_request.items()}
    shortest = {request: min(run.n_days for run, _ in pairs) for request, pairs in by_request.items()}
    cost, arcs = [], []
    idle = leg(home, home, between)
    arcs.append((0, 0, idle))
    for request, pairs in by_request.items():
        here = sum(var for _, var in pairs)
        away = model.new_bool_var("")
        model.add_hint(away, request not in visited)
        model.add(here + away == 1)
        model.add_implication(idle, away)
        arcs.append((stop[request], stop[request], away))
        out, back = leg(home, request, between), leg(request, home, between)
        arcs += [(0, stop[request], out), (stop[request], 0, back)]
        cost += [metres[home][request] * out, metres[request][home] * back]
        soonest_end = min(run.end for run, _ in pairs)
        for other, theirs in by_request.items():
            if other == request or max(run.first for run, _ in theirs) < soonest_end:
                continue
            follows = leg(request, other, between)
            arcs.append((stop[request], stop[other], follows))
            model.add(starts[other] >= starts[request] + shortest[request]).only_enforce_if(follows)
            cost.append(metres[request][other] * follows)
    for (request, other), runs in together.items():
        shares = leg(request, other, on_shared)
        model.add(sum(runs) == shares)
        arcs.append((stop[request], stop[other], shares))
        cost.append(metres[request][other] * shares)
    model.add_circuit(arcs)
    return cost
