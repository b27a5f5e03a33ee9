"""A season as a clerk has it, a file and a list of invented requests, through ``fieldplan season plan``: what is served and
proven, how long it takes, and the longest time without a line on stderr.

python -m tests.benchmarks.season_list [--requests 300] [--drills 8] [--days 112] [--first 0] [--folder DIR]
"""

from __future__ import annotations

import argparse
import json
import random
import resource
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

SAMPLES = Path(__file__).parents[2] / "sample_fields"
OPENS = date(2027, 3, 1)
HOME_DEG, EXTENT_DEG = (44.25, -95.75), 0.35
"""All places lie in a square of about 39 by 28 km."""
WINDOWS_DAYS = (10, 16, 24, 35)
ACRES = (4.0, 16.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What a command printed, and what it took: seconds of processor time, by the clock, and the longest without a line, after
    what was said last before.
    """

    found: dict[str, Any]
    said: list[str]
    processor_s: float
    clock_s: float
    silent_s: float
    silent_after: str


def main() -> None:
    """Write a season, plan it and print what came of it."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    for name, usual in (("requests", 300), ("drills", 8), ("days", 112), ("first", 0)):
        parser.add_argument(f"--{name}", type=int, default=usual)
    parser.add_argument("--folder", type=Path, help="where the season is written and stays")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = given.folder or Path(scratch) / "season"
        write_season(folder, given.requests, given.drills, given.days, random.Random(given.first))
        print(told(planned(folder)))


def write_season(folder: Path, requests: int, drills: int, days: int, chance: random.Random) -> None:
    """A season's file and its list of requests, in a new folder.

    Parameters
    ----------
    days
        Working days of each drill; Sundays are off.
    """
    folder.mkdir(parents=True)
    closes = OPENS
    while sum((OPENS + timedelta(days=k)).weekday() != 6 for k in range((closes - OPENS).days + 1)) < days:
        closes += timedelta(days=1)
    terms = (
        'name = "A large season (invented)"',
        f"opens = {OPENS}",
        f"closes = {closes}",
        'requests = "requests.csv"',
        'confidence = "80 %"',
        "longest_booking = 12",
        "notice = 0",
        'inspection = "45 min"',
        'serve_first = ["asked"]',
    )
    lines = ["[season]", *terms]
    for k in range(1, drills + 1):
        lat, lon = _place(chance)
        lines += [
            "[[drill]]",
            f'name = "drill {k}"',
            f'job = "{(SAMPLES / "farm.toml").as_posix()}"',
            f"home = {{ lat = {lat}, lon = {lon} }}",
            'days_off = ["Sunday"]',
        ]
    (folder / "season.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    rows = ["request,renter,asked,ready,until,acres,lat,lon,mix,tractor_hp"]
    for k in range(1, requests + 1):
        ready = OPENS + timedelta(days=chance.randint(0, (closes - OPENS).days - WINDOWS_DAYS[0]))
        until = min(closes, ready + timedelta(days=chance.choice(WINDOWS_DAYS)))
        asked = OPENS - timedelta(days=chance.randint(1, 200))
        lat, lon = _place(chance)
        rows.append(
            f"R{k:03},Farm {k},{asked},{ready},{until},{chance.uniform(*ACRES):.1f},{lat},{lon},oats and alfalfa,75"
        )
    (folder / "requests.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")


def _place(chance: random.Random) -> tuple[float, float]:
    lat, lon = (round(home + chance.uniform(-0.5, 0.5) * EXTENT_DEG, 4) for home in HOME_DEG)
    return lat, lon


def planned(folder: Path) -> Run:
    """What ``fieldplan season plan`` prints of a season, and what it takes."""
    line = [sys.executable, "-m", "fieldplan", "season", "plan", str(folder), "--what-if", "--json"]
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    at, said = [start], []
    with subprocess.Popen(line, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        printed: list[str] = []
        reader = threading.Thread(target=lambda: printed.append(process.stdout.read()))  # type: ignore[union-attr]
        reader.start()
        for one in process.stderr:
            at.append(time.perf_counter())
            said.append(one.rstrip())
        reader.join()
    at.append(time.perf_counter())
    if process.returncode:
        raise SystemExit("\n".join(said))
    now = resource.getrusage(resource.RUSAGE_CHILDREN)
    silent_s, k = max((after - before, k) for k, (before, after) in enumerate(pairwise(at)))
    return Run(
        found=json.loads(printed[0]),
        said=said,
        processor_s=now.ru_utime + now.ru_stime - used.ru_utime - used.ru_stime,
        clock_s=at[-1] - start,
        silent_s=silent_s,
        silent_after=["the start", *said][k],
    )


def told(run: Run) -> str:
    """What came of a run, in a line."""
    served, refused, proof = len(run.found["bookings"]), len(run.found["refused"]), run.found["proof"]
    return (
        f"{served} of {served + refused} served; {json.dumps(proof)}; {run.processor_s:.0f} s of processor time, "
        f"{run.clock_s:.0f} s by the clock; {len(run.said)} lines on stderr, at most {run.silent_s:.0f} s without one, "
        f"after {run.silent_after}"
    )


if __name__ == "__main__":
    main()
