"""Less towing by exchange: two bookings change places if no cost rises, or a shared booking is reversed.

The solver proves what it can within its limit, but in long seasons its round trips stay far from the
shortest. Exchanging pairs until none helps takes milliseconds and never makes anything worse.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, count, product

from fieldplan.season.scheduling_problem import Run, SchedulingProblem, tow_of

MOST_PAIRS = 1_000_000
"""Pairs looked at before the road is left as it is: seasons of thousands would take minutes."""
Known = Mapping[tuple[frozenset[int], int, int], Sequence[Run]]
"""Runs by requests, drill and first day: one, or one for each order of a shared booking."""


def swapped(problem: SchedulingProblem, given: Sequence[Run]) -> list[Run]:
    """Exchange pairs of runs until no exchange saves road.

    Parameters
    ----------
    problem
        Every run that could be given, and the roads.
    given
        The runs to begin from.

    Returns
    -------
    list
        Runs for the same requests, with no sum of costs higher and no more road.
    """
    known: dict[tuple[frozenset[int], int, int], list[Run]] = {}
    for run in problem.runs:
        known.setdefault((frozenset(run.requests), run.drill, run.first), []).append(run)
    best, left = list(given), count(MOST_PAIRS, -1)
    while (better := _exchanged(problem, known, best, left)) is not None:
        best = better
    return best


def _exchanged(
    problem: SchedulingProblem, known: Known, best: Sequence[Run], left: Iterator[int]
) -> list[Run] | None:
    """The runs after the first exchange that saves road; ``None`` if there is none, or no pairs are ``left`` to look at.

    Only the two drills of an exchange are compared: the road of all others stays the same.
    """
    by_drill: dict[int, list[Run]] = {}
    for run in best:
        by_drill.setdefault(run.drill, []).append(run)
    for a, b in combinations(best, 2):
        if next(left) <= 0:
            return None
        tow_m = {drill: problem.tow_m[drill] for drill in {a.drill, b.drill}}
        runs = [run for drill in tow_m for run in by_drill[drill]]
        for new_a, new_b in _exchanges(known, a, b):
            if not _costs_no_more((new_a, new_b), (a, b)):
                continue
            rest = [run for run in runs if run is not a and run is not b]
            if tow_of([*rest, new_a, new_b], tow_m) < tow_of(runs, tow_m) and _clear(rest, new_a, new_b):
                return [*(run for run in best if run is not a and run is not b), new_a, new_b]
    return None


def _exchanges(known: Known, a: Run, b: Run) -> Iterator[tuple[Run, Run]]:
    """Each run in the other's place; on one drill also the later run first, then the earlier one right after
    it or at the end of both.
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


def _clear(rest: Sequence[Run], a: Run, b: Run) -> bool:
    """Whether neither new run overlaps the other or any of the rest on its drill."""
    return not any(
        run.drill == other.drill and run.first < other.end and other.first < run.end
        for k, run in enumerate((a, b))
        for other in (*rest, *((b,) if k == 0 else ()))
    )
