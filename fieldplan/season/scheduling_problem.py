"""The scheduling problem that the solver gets, in indices and whole numbers: priorities, every run of days that
could be given, and roads. It is made from the docket, which speaks of requests, drills and dates.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

MANY_RUNS = 10_000
"""Beyond so many runs a program of all days finds and proves little within the work that it gets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Days that requests could get: the working days ``first`` to ``first + n_days - 1`` of a drill.

    Parameters
    ----------
    requests
        One request, or those that share the days, in the order that they get the drill.
    costs
        Costs of all of them together, the weightiest first.
    """

    requests: tuple[int, ...]
    drill: int
    first: int
    n_days: int
    costs: tuple[int, ...]

    @property
    def end(self) -> int:
        """Index of the first working day after it."""
        return self.first + self.n_days


@dataclass(frozen=True, slots=True, kw_only=True)
class SchedulingProblem:
    """What the solver gets.

    Parameters
    ----------
    priorities
        Groups of requests, the highest priority first: serving more of one group outweighs all groups
        after it.
    runs
        Every run that could be given.
    tow_m
        For each drill, meters of road from request to request; the last row and column is its home.
    """

    priorities: Sequence[Sequence[int]]
    runs: Sequence[Run]
    tow_m: Mapping[int, Sequence[Sequence[int]]]


def served_by(given: Iterable[Run]) -> set[int]:
    """The requests that runs serve.

    >>> served_by([Run(requests=(2, 0), drill=0, first=0, n_days=1, costs=(0,))])
    {0, 2}
    """
    return {request for run in given for request in run.requests}


def one_order(runs: Iterable[Run]) -> list[Run]:
    """Runs with one order for each shared booking: that of the fewest days.

    Where only days and costs count, no other order can do better.
    """
    kept: dict[object, Run] = {}
    for run in runs:
        key = (frozenset(run.requests), run.drill, run.first, run.costs)
        if key not in kept or run.n_days < kept[key].n_days:
            kept[key] = run
    return list(kept.values())


def cost_of(given: Sequence[Run], k: int) -> int:
    """The sum of cost ``k`` over the runs given."""
    return sum(run.costs[k] for run in given)


def tow_of(given: Sequence[Run], tow_m: Mapping[int, Sequence[Sequence[int]]]) -> int:
    """Meters of road that all drills are towed, home to home."""
    return sum(
        meters[a][b] for drill, meters in tow_m.items() for a, b in legs_of(given, drill, len(meters) - 1)
    )


def legs_of(given: Sequence[Run], drill: int, home: int) -> list[tuple[int, int]]:
    """Legs that a drill is towed, home to home, in order.

    >>> late = Run(requests=(1,), drill=0, first=5, n_days=2, costs=(0,))
    >>> early = Run(requests=(0,), drill=0, first=0, n_days=2, costs=(0,))
    >>> legs_of([late, early], 0, home=2)
    [(2, 0), (0, 1), (1, 2)]
    """
    of_drill = sorted((run for run in given if run.drill == drill), key=lambda run: run.first)
    stops = [request for run in of_drill for request in run.requests]
    return list(pairwise([home, *stops, home]))
