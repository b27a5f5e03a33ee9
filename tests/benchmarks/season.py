"""Seconds to settle seasons of invented requests, beside a yardstick: the same season without any rule.

python -m tests.benchmarks.season [--requests 60] [--drills 3] [--days 60] [--seasons 4]
"""

from __future__ import annotations

import argparse
import math
import random
import time
from dataclasses import replace

from fieldplan.season.claims import Claims, Run, cost_of, tow_of
from fieldplan.season.schedule import solve

AREA_M, ROAD_FACTOR = 40_000.0, 1.3


def main() -> None:
    """Settle each season and print what is proven and how long it took."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, usual in (("requests", 60), ("drills", 3), ("days", 60), ("seasons", 4)):
        parser.add_argument(f"--{name}", type=int, default=usual)
    given = parser.parse_args()
    for seed in range(given.seasons):
        claims = season(given.requests, given.drills, given.days, random.Random(seed))
        took = []
        for one in (replace(claims, levels=[[i for level in claims.levels for i in level]]), claims):
            start = time.perf_counter()
            solved = solve(one)
            took.append(time.perf_counter() - start)
        waiting, tow = cost_of(solved.given, 0), tow_of(solved.given, claims.tow_m)
        print(
            f"season {seed}: {len(solved.given)} of {given.requests} served ({'proven' if solved.served_proven else 'not proven'}), "
            f"{waiting} days of waiting (bound {solved.cost_bounds[0]}), {tow / 1000:,.0f} km towed (bound {solved.tow_bound_m / 1000:,.0f}); "
            f"{took[1]:.1f} s, {took[1] / took[0]:.1f} × the same without rules"
        )


def season(n: int, drills: int, days: int, chance: random.Random) -> Claims:
    """Requests of one to six working days in windows of one to four weeks, each served in a turn of its own."""

    def place() -> tuple[float, float]:
        return chance.uniform(0, AREA_M), chance.uniform(0, AREA_M)

    places, homes = [place() for _ in range(n)], [place() for _ in range(drills)]
    runs = []
    for request in range(n):
        ready, window, length = chance.randint(0, days - 12), chance.choice([8, 14, 20, 30]), chance.choice([1, 2, 2, 3, 3, 4, 5])
        for drill in range(drills):
            own = length + chance.choice([0, 0, 1])
            if chance.random() < 0.8:
                last = min(days, ready + window) - own
                runs += [
                    Run(request=request, drill=drill, first=first, length=own, costs=(first - ready,))
                    for first in range(ready, last + 1)
                ]
    tow = {
        d: [[round(math.dist(a, b) * ROAD_FACTOR) for b in (*places, home)] for a in (*places, home)]
        for d, home in enumerate(homes)
    }
    turns = list(range(n))
    chance.shuffle(turns)
    return Claims(levels=[[i] for i in turns], runs=runs, tow_m=tow)


if __name__ == "__main__":
    main()
