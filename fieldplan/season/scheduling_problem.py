"""What a schedule settles: who comes before whom, and every run of days that a request could get."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Days that requests could get: the working days ``first`` to ``first + n_days - 1`` of a drill.

    Parameters
    ----------
    requests
        One, or those that share the days, in the order that the drill goes to them.
    costs
        Of all of them together, in order of weight.
    """

    requests: tuple[int, ...]
    drill: int
    first: int
    n_days: int
    costs: tuple[int, ...]

    @property
    def end(self) -> int:
        """The first working day after it."""
        return self.first + self.n_days


@dataclass(frozen=True, slots=True, kw_only=True)
class SchedulingProblem:
    """What is to be settled.

    Parameters
    ----------
    priorities
        Requests by how soon they are served: all of one level before any of the next.
    runs
        Every run that could be given.
    tow_m
        For each drill, metres of road from request to request; the last row and column is its home.
    """

    priorities: Sequence[Sequence[int]]
    runs: Sequence[Run]
    tow_m: Mapping[int, Sequence[Sequence[int]]]


def served_by(given: Iterable[Run]) -> set[int]:
    """The requests that runs serve."""
    return {request for run in given for request in run.requests}


def one_order(runs: Iterable[Run]) -> list[Run]:
    """Runs with one driving order for each party: the one that takes fewest days; where only days and costs
    count, others never help.
    """
    kept: dict[object, Run] = {}
    for run in runs:
        own = (frozenset(run.requests), run.drill, run.first, run.costs)
        if own not in kept or run.n_days < kept[own].n_days:
            kept[own] = run
    return list(kept.values())


def cost_of(given: Sequence[Run], k: int) -> int:
    """The sum of a cost over the runs given."""
    return sum(run.costs[k] for run in given)


def tow_of(given: Sequence[Run], tow_m: Mapping[int, Sequence[Sequence[int]]]) -> int:
    """Metres of road that the drills are towed, home to home."""
    return sum(
        metres[a][b] for drill, metres in tow_m.items() for a, b in legs_of(given, drill, len(metres) - 1)
    )


def legs_of(given: Sequence[Run], drill: int, home: int) -> list[tuple[int, int]]:
    """From where to where a drill is towed, home to home, in order."""
    own = sorted((run for run in given if run.drill == drill), key=lambda run: run.first)
    stops = [request for run in own for request in run.requests]
    return list(pairwise([home, *stops, home]))
