"""What a schedule settles: who comes before whom, and every run of days that a request could get."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Days that a request could get: the working days ``first`` to ``first + length - 1`` of a drill; ``costs`` in order of weight."""

    request: int
    drill: int
    first: int
    length: int
    costs: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Claims:
    """What is to be settled.

    Parameters
    ----------
    levels
        Requests by how soon they are served: all of one level before any of the next.
    runs
        Every run that could be given.
    tow_m
        For each drill, metres of road from request to request; the last row and column is its home.
    """

    levels: Sequence[Sequence[int]]
    runs: Sequence[Run]
    tow_m: Mapping[int, Sequence[Sequence[int]]]


def cost_of(given: Sequence[Run], k: int) -> int:
    """The sum of a cost over the runs given."""
    return sum(run.costs[k] for run in given)


def tow_of(given: Sequence[Run], tow_m: Mapping[int, Sequence[Sequence[int]]]) -> int:
    """Metres of road that the drills are towed, home to home."""
    total = 0
    for drill, metres in tow_m.items():
        home = len(metres) - 1
        stops = [run.request for run in sorted(given, key=lambda run: run.first) if run.drill == drill]
        total += sum(metres[a][b] for a, b in zip([home, *stops], [*stops, home], strict=True))
    return total
