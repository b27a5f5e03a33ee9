"""Seconds to settle seasons of invented requests, beside a yardstick: the same season without any rule.

python -m tests.benchmarks.season [--requests 60] [--drills 3] [--days 60] [--seasons 4] [--first 0]
[--share]
"""

from __future__ import annotations

import argparse
import math
import random
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations

from fieldplan.season.schedule import solve
from fieldplan.season.scheduling_problem import Run, SchedulingProblem, cost_of, served_by, tow_of

AREA_M, ROAD_FACTOR = 40_000.0, 1.3
SHORT_DAYS = 2
"""Requests that take no more working days are one day's work, so they may share it."""


def main() -> None:
    """Settle each season and print what is proven and how long it took."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    for name, usual in (("requests", 60), ("drills", 3), ("days", 60), ("seasons", 4), ("first", 0)):
        parser.add_argument(f"--{name}", type=int, default=usual)
    parser.add_argument("--share", action="store_true", help="short requests may share days")
    given = parser.parse_args()
    for seed in range(given.first, given.first + given.seasons):
        scheduling_problem = season(given.requests, given.drills, given.days, random.Random(seed))
        if given.share:
            scheduling_problem = replace(
                scheduling_problem,
                runs=[
                    *scheduling_problem.runs,
                    *shared_bookings(scheduling_problem.runs, random.Random(1000 + seed)),
                ],
            )
        took = []
        for one in (
            replace(
                scheduling_problem,
                priorities=[[i for priority in scheduling_problem.priorities for i in priority]],
            ),
            scheduling_problem,
        ):
            start = time.perf_counter()
            solved = solve(one)
            took.append(time.perf_counter() - start)
        waiting, bound, tow = (
            cost_of(solved.given, 0),
            solved.cost_bounds[0],
            tow_of(solved.given, scheduling_problem.tow_m),
        )
        shared = sum(len(run.requests) for run in solved.given if len(run.requests) > 1)
        print(
            f"season {seed}: {len(served_by(solved.given))} of {given.requests} served ({'proven' if solved.served_proven else 'not proven'}), "
            f"{shared} of them sharing, {waiting} days of waiting (bound {bound}, {100 * (waiting - bound) / max(1, waiting):.1f} % away), "
            f"{tow / 1000:,.0f} km towed (bound {solved.tow_bound_m / 1000:,.0f}); "
            f"{took[1]:.1f} s, {took[1] / took[0]:.1f} × the same without rules",
            flush=True,
        )


def season(n: int, drills: int, days: int, chance: random.Random) -> SchedulingProblem:
    """Requests of one to six working days in windows of one to four weeks, each served in a turn of its
    own.
    """

    def place() -> tuple[float, float]:
        return chance.uniform(0, AREA_M), chance.uniform(0, AREA_M)

    places, homes = [place() for _ in range(n)], [place() for _ in range(drills)]
    runs = []
    for request in range(n):
        ready, window, duration = (
            chance.randint(0, days - 12),
            chance.choice([8, 14, 20, 30]),
            chance.choice([1, 2, 2, 3, 3, 4, 5]),
        )
        for drill in range(drills):
            own = duration + chance.choice([0, 0, 1])
            if chance.random() < 0.8:
                last = min(days, ready + window) - own
                runs += [
                    Run(requests=(request,), drill=drill, first=first, n_days=own, costs=(first - ready,))
                    for first in range(ready, last + 1)
                ]
    tow = {
        d: [[round(math.dist(a, b) * ROAD_FACTOR) for b in (*places, home)] for a in (*places, home)]
        for d, home in enumerate(homes)
    }
    turns = list(range(n))
    chance.shuffle(turns)
    return SchedulingProblem(priorities=[[i] for i in turns], runs=runs, tow_m=tow)


def shared_bookings(runs: Sequence[Run], chance: random.Random) -> Iterator[Run]:
    """Short requests by twos, in both orders, where one day holds both: each takes 35 to 90 % of a day, its
    way to the next included.
    """
    share = {i: chance.uniform(0.35, 0.9) for i in sorted(served_by(runs))}
    by_start: dict[tuple[int, int], list[Run]] = {}
    for run in runs:
        if run.n_days <= SHORT_DAYS:
            by_start.setdefault((run.drill, run.first), []).append(run)
    for own in by_start.values():
        for a, b in permutations(own, 2):
            (i,), (j,) = a.requests, b.requests
            if share[i] + share[j] <= 1:
                yield Run(
                    requests=(i, j),
                    drill=a.drill,
                    first=a.first,
                    n_days=max(a.n_days, b.n_days),
                    costs=(a.costs[0] + b.costs[0],),
                )


if __name__ == "__main__":
    main()
