"""Less towing by exchange: two bookings change places where nobody waits longer for it, or a party is
driven the other way round.

The solver proves what it can within its limit; on seasons of many requests its round trips stay far from
the least. Exchanging pairs until none helps takes milliseconds and never makes anything worse.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, product

from fieldplan.season.scheduling_problem import Run, SchedulingProblem, tow_of

Known = Mapping[tuple[frozenset[int], int, int], Sequence[Run]]
"""Runs by whom they serve, drill and first day: one, or a party's driving orders."""


def swapped(scheduling_problem: SchedulingProblem, given: Sequence[Run]) -> list[Run]:
    """Runs for the same requests, no cost higher in sum and no more road, that no exchange of two
    improves.
    """
    known: dict[tuple[frozenset[int], int, int], list[Run]] = {}
    for run in scheduling_problem.runs:
        known.setdefault((frozenset(run.requests), run.drill, run.first), []).append(run)
    best = list(given)
    while (better := _exchanged(scheduling_problem, known, best)) is not None:
        best = better
    return best


def _exchanged(
    scheduling_problem: SchedulingProblem, known: Known, best: Sequence[Run]
) -> list[Run] | None:
    """The runs after the first exchange of two that saves road; ``None`` if there is none. Only the drills
    of the two are looked at.
    """
    by_drill: dict[int, list[Run]] = {}
    for run in best:
        by_drill.setdefault(run.drill, []).append(run)
    for a, b in combinations(best, 2):
        tow_m = {drill: scheduling_problem.tow_m[drill] for drill in {a.drill, b.drill}}
        own = [run for drill in tow_m for run in by_drill[drill]]
        for u, v in _exchanges(known, a, b):
            if not _costs_no_more((u, v), (a, b)):
                continue
            rest = [run for run in own if run is not a and run is not b]
            if tow_of([*rest, u, v], tow_m) < tow_of(own, tow_m) and _clear(rest, u, v):
                return [*(run for run in best if run is not a and run is not b), u, v]
    return None


def _exchanges(known: Known, a: Run, b: Run) -> Iterator[tuple[Run, Run]]:
    """Each in the other's place; on one drill also the later first and the earlier after it, or at the end
    of both.
    """
    a, b = sorted((a, b), key=lambda run: run.first)
    places = [(b.drill, b.first, a.drill, a.first)]
    if a.drill == b.drill:
        places += [
            (a.drill, a.first + b.n_days, a.drill, a.first),
            (a.drill, b.end - a.n_days, a.drill, a.first),
        ]
    if len(a.requests) > 1 or len(b.requests) > 1:
        places.append((a.drill, a.first, b.drill, b.first))
    for drill_a, first_a, drill_b, first_b in places:
        yield from product(
            known.get((frozenset(a.requests), drill_a, first_a), ()),
            known.get((frozenset(b.requests), drill_b, first_b), ()),
        )


def _costs_no_more(new: Sequence[Run], old: Sequence[Run]) -> bool:
    return all(
        sum(costs) <= sum(before)
        for costs, before in zip(
            zip(*(run.costs for run in new), strict=True),
            zip(*(run.costs for run in old), strict=True),
            strict=True,
        )
    )


def _clear(rest: Sequence[Run], u: Run, v: Run) -> bool:
    """Whether no drill is with two at once."""
    return not any(
        one.drill == other.drill and one.first < other.end and other.first < one.end
        for k, one in enumerate((u, v))
        for other in (*rest, *((v,) if k == 0 else ()))
    )
