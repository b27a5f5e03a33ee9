"""Lower costs stretch by stretch: the bookings of some weeks look for better days together while all others stay.

In a season of hundreds the integer program of all days finds little within its work; that of a few weeks is settled in
moments. Stretches overlap by half, so nobody stays stuck at an edge of one (a search in large neighborhoods, as Shaw
1998 describes it for vehicle routes). It proves nothing: bounds come from the linear program.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldplan.season.day_program import limited, solved
from fieldplan.season.relaxed import ROUNDING
from fieldplan.season.scheduling_problem import Run, SchedulingProblem, cost_of, served_by

WIDTHS = 24, 36
"""Working days of a stretch: of the first rounds, and of those after a round that saved nothing."""
MOST_RISE = 8.0
"""Runs whose reduced cost is higher are hardly ever in the best days of a stretch."""
STRETCH_WORK = 2.0


def by_stretches(
    problem: SchedulingProblem,
    given: Sequence[Run],
    k: int,
    low: float,
    rises: Sequence[float],
    work: float,
) -> tuple[list[Run], float]:
    """Runs for the same requests with less of cost ``k``, no cost before it higher, and the solver's work that it took.

    Parameters
    ----------
    problem
        Every run that could be given.
    given
        The runs to begin from.
    low, rises
        A bound of the cost, and what it rises by with each run (`relaxed.least`). Nothing is looked for below the bound.
    work
        The most work of the solver.
    """
    best, left = list(given), work
    rise_of = dict(zip(problem.runs, rises, strict=True))
    n_days = max(run.end for run in problem.runs)
    for width in WIDTHS:
        before = cost_of(best, k) + 1
        while cost_of(best, k) < before:
            before = cost_of(best, k)
            for first in range(-width // 2, n_days, width // 2):
                if cost_of(best, k) - low < 1 or left <= 0:
                    return best, work - left
                most = min(MOST_RISE, cost_of(best, k) - low) + ROUNDING
                runs = [run for run in problem.runs if rise_of[run] <= most]
                best, used = _better(replace(problem, runs=runs), best, k, (first, first + width), left)
                left -= used
    return best, work - left


def _better(
    problem: SchedulingProblem, given: Sequence[Run], k: int, days: tuple[int, int], left: float
) -> tuple[list[Run], float]:
    """The schedule after the bookings with a day among ``days`` have found better ones, and the work that it took."""
    free = [run for run in given if run.first < days[1] and run.end > days[0]]
    if sum(run.costs[k] for run in free) == 0:
        return list(given), 0.0
    theirs, kept = served_by(free), set(free)
    stay = [run for run in given if run not in kept]
    taken_days = {(run.drill, day) for run in stay for day in range(run.first, run.end)}
    runs = [
        run
        for run in problem.runs
        if theirs.issuperset(run.requests)
        and run not in kept
        and taken_days.isdisjoint((run.drill, day) for day in range(run.first, run.end))
    ]
    part = replace(problem, runs=[*free, *runs])
    model, taken = limited(part, [([request], 1) for request in sorted(theirs)], free, k)
    model.minimize(sum(run.costs[k] * var for run, var in zip(part.runs, taken, strict=True)))
    found, _, _, used = solved(model, part, taken, min(STRETCH_WORK, left), free, alone=True)
    return [*stay, *found], used
