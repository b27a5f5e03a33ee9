"""Towing in the solver's words: a round trip of each drill, home to home, through the requests that it serves.

Every request is a stop. A drill goes on to one whose days begin after those of the stop before, or to the next of a party on the same
days. That days of a drill do not overlap is held elsewhere, so to begin later is enough.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from fieldplan.season.claims import Claims, Run


def towing(model: Any, claims: Claims, taken: Sequence[Any]) -> Any:
    """Metres towed by all drills, as an expression of the solver's model, to which the round trips are added.

    Parameters
    ----------
    taken
        The model's yes or no for each run of the claims.
    """
    cost: list[Any] = []
    for drill, metres in claims.tow_m.items():
        own = [(run, var) for run, var in zip(claims.runs, taken, strict=True) if run.drill == drill]
        if own:
            cost += _round_trip(model, own, metres)
    return sum(cost)


def _round_trip(model: Any, own: Sequence[tuple[Run, Any]], metres: Sequence[Sequence[int]]) -> list[Any]:
    """One drill's metres, leg by leg."""
    home = len(metres) - 1
    by_request: dict[int, list[tuple[Run, Any]]] = {}
    together: dict[tuple[int, int], list[Any]] = {}
    for run, var in own:
        for request in run.requests:
            by_request.setdefault(request, []).append((run, var))
        for pair in pairwise(run.requests):
            together.setdefault(pair, []).append(var)
    stop = {request: k for k, request in enumerate(by_request, start=1)}
    starts = {request: sum(run.first * var for run, var in pairs) for request, pairs in by_request.items()}
    shortest = {request: min(run.length for run, _ in pairs) for request, pairs in by_request.items()}
    cost, arcs = [], []
    idle = model.new_bool_var("")
    arcs.append((0, 0, idle))
    for request, pairs in by_request.items():
        here = sum(var for _, var in pairs)
        away = model.new_bool_var("")
        model.add(here + away == 1)
        model.add_implication(idle, away)
        arcs.append((stop[request], stop[request], away))
        out, back = model.new_bool_var(""), model.new_bool_var("")
        arcs += [(0, stop[request], out), (stop[request], 0, back)]
        cost += [metres[home][request] * out, metres[request][home] * back]
        soonest_end = min(run.end for run, _ in pairs)
        for other, theirs in by_request.items():
            if other == request or max(run.first for run, _ in theirs) < soonest_end:
                continue
            follows = model.new_bool_var("")
            arcs.append((stop[request], stop[other], follows))
            model.add(starts[other] >= starts[request] + shortest[request]).only_enforce_if(follows)
            cost.append(metres[request][other] * follows)
    for (request, other), runs in together.items():
        shares = model.new_bool_var("")
        model.add(sum(runs) == shares)
        arcs.append((stop[request], stop[other], shares))
        cost.append(metres[request][other] * shares)
    model.add_circuit(arcs)
    return cost
