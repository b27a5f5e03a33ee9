"""The schedule with the least of one cost: days of waiting, bookings moved, days they are moved by.

A linear program gives a bound and, for each run, what the bound rises by if that run is given. A run that raises it above
what is known to be possible is in no schedule that is at least as good. So few runs are left to the integer program, first
those that raise the bound by little.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

from fieldplan.season.day_program import limited, solved
from fieldplan.season.relaxed import ROUNDING, least
from fieldplan.season.scheduling_problem import MANY_RUNS, Run, SchedulingProblem, cost_of
from fieldplan.season.serving import Counts
from fieldplan.season.stretches import by_stretches

LEAST_WORK = 1.0
"""What an integer program gets of the solver's work however little is left."""
LAST_SHARE = 1 / 4
"""What of the work the program of all days gets after that of stretches: it rarely finds more, but raises the bound."""
FIRST_RISE, WIDER = 2.0, 4
"""Runs that raise the bound by no more are tried first; then by so many times more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cheapest:
    """What is found of a cost.

    Parameters
    ----------
    given
        The runs given.
    bound
        What no schedule that serves as many, with no cost before it higher, can go below.
    problem
        The problem with the runs that can still be given.
    work
        The solver's deterministic time that it took, about seconds.
    """

    given: list[Run]
    bound: int
    problem: SchedulingProblem
    work: float


def cheapest(
    problem: SchedulingProblem, counts: Counts, given: Sequence[Run], k: int, work: float
) -> Cheapest:
    """The schedule with the least of cost ``k`` that is found.

    Parameters
    ----------
    counts
        Groups of requests, each with how many of it are served.
    given
        The runs to begin from; no cost before ``k`` gets higher than theirs.
    work
        The most of the solver's deterministic time.
    """
    served = [(group, n) for group, n in counts if n]
    relaxed = least(problem.runs, served, [cost_of(given, j) for j in range(k)], k)
    low, rises = relaxed if relaxed is not None else (0.0, [0.0] * len(problem.runs))
    search = _Search(problem=problem, counts=counts, k=k, low=low, rises=rises, best=list(given))
    if len(problem.runs) > MANY_RUNS:
        search.stretch_by_stretch(work / 2)
        search.over_all_days(math.inf, min(work - search.took, work * LAST_SHARE))
    else:
        search.over_all_days(FIRST_RISE, work)
    left = replace(problem, runs=search.within(search.affordable))
    return Cheapest(given=search.best, bound=search.bound, problem=left, work=search.took)


@dataclass(kw_only=True)
class _Search:
    """The best schedule so far, and a bound of its cost ``k``.

    Parameters
    ----------
    low, rises
        The bound of the linear program, and what it rises by with each run.
    took
        The solver's work so far.
    """

    problem: SchedulingProblem
    counts: Counts
    k: int
    low: float
    rises: Sequence[float]
    best: list[Run]
    took: float = 0.0
    bound: int = field(init=False)

    def __post_init__(self) -> None:
        """Begin with the bound of the linear program."""
        self._floor = self.bound = math.ceil(self.low - ROUNDING)

    @property
    def cost(self) -> int:
        """The cost of the best schedule so far."""
        return cost_of(self.best, self.k)

    @property
    def affordable(self) -> float:
        """What a run may raise the bound by without raising it above the best schedule."""
        return self.cost - self.low

    def within(self, rise: float, kept: Collection[Run] = ()) -> list[Run]:
        """The runs that raise the bound by no more, and those kept."""
        return [
            run
            for run, own in zip(self.problem.runs, self.rises, strict=True)
            if own <= rise + ROUNDING or run in kept
        ]

    def stretch_by_stretch(self, work: float) -> None:
        """Let the bookings of some weeks look for better days together."""
        self.best, used = by_stretches(self.problem, self.best, self.k, self.low, self.rises, work)
        self.took += used

    def over_all_days(self, rise: float, work: float) -> None:
        """Solve the integer program of all days, first with runs that raise the bound by no more than ``rise``."""
        while self.cost > self._floor and work >= LEAST_WORK:
            rise = min(rise, self.affordable)
            share = work if rise >= self.affordable else work / 2
            proven, reached, used = self._solve(rise, share)
            work -= max(used, LEAST_WORK)
            if rise >= self.affordable - ROUNDING:  # no other run can be in a better schedule
                at_least = max(self._floor, math.ceil(max(self.low, reached) - ROUNDING))
                self.bound = self.cost if proven else at_least
                break
            rise *= WIDER
        if self.cost == self._floor:
            self.bound = self._floor

    def _solve(self, rise: float, work: float) -> tuple[bool, float, float]:
        """Whether the best schedule of these runs is found for sure, the bound that is reached, and the work that it took."""
        few = replace(self.problem, runs=self.within(rise, set(self.best)))
        model, taken = limited(few, self.counts, self.best, self.k)
        model.minimize(sum(run.costs[self.k] * var for run, var in zip(few.runs, taken, strict=True)))
        self.best, proven, reached, used = solved(model, few, taken, work, self.best)
        self.took += used
        return proven, reached, used
