"""Seconds of processor time to settle seasons of invented requests, beside a yardstick: a season of 20 requests.

python -m tests.benchmarks.season [--requests 60] [--drills 3] [--days 60] [--seasons 4] [--first 0] [--share]
python -m tests.benchmarks.season --sizes
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
SIZES = ((60, 3, 60), (100, 3, 60), (300, 8, 112), (300, 8, 60))
"""Requests, drills and working days; the third has as many days of drills for each request as the first, the last too few."""
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
    parser.add_argument("--sizes", action="store_true", help=f"one season of each of {SIZES}")
    given = parser.parse_args()
    yardstick_s = settled(season(20, 2, 40, random.Random(0)), "yardstick", None)
    if given.sizes:
        for requests, drills, days in SIZES:
            name = f"{requests} requests, {drills} drills, {days} days"
            settled(season(requests, drills, days, random.Random(given.first)), name, yardstick_s)
        return
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
        settled(scheduling_problem, f"season {seed}", yardstick_s)


def settled(problem: SchedulingProblem, name: str, yardstick_s: float | None) -> float:
    """Settle a season, print what is proven, and return the seconds of processor time that it took."""
    start, clock = time.process_time(), time.perf_counter()
    solved = solve(problem)
    took_s, clock_s = time.process_time() - start, time.perf_counter() - clock
    waiting, bound = cost_of(solved.given, 0), solved.cost_bounds[0]
    tow, tow_bound = tow_of(solved.given, problem.tow_m), solved.tow_bound_m
    asked = sum(map(len, problem.priorities))
    shared = sum(len(run.requests) for run in solved.given if len(run.requests) > 1)
    tow_text = (
        f"bound {tow_bound / 1000:,.0f}, {100 * (tow - tow_bound) / max(1, tow):.1f} % away"
        if tow_bound or not tow
        else "no bound known"
    )
    times = "" if yardstick_s is None else f", {took_s / yardstick_s:.1f} × the yardstick"
    print(
        f"{name}: {len(served_by(solved.given))} of {asked} served ({'proven' if solved.served_proven else 'not proven'}), "
        f"{shared} of them sharing, {waiting} days of waiting (bound {bound}, {100 * (waiting - bound) / max(1, waiting):.1f} % away), "
        f"{tow / 1000:,.0f} km towed ({tow_text}); "
        f"{took_s:.1f} s of processor time{times}, {clock_s:.1f} s by the clock",
        flush=True,
    )
    return took_s


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
