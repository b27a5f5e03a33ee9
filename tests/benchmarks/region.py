"""A region's memory over time, its pace with one worker and two, and runs killed at random and gone on with.

``python -m tests.benchmarks.region county.parquet make --rows 100000 [--parcels FILE] [--mostly-broken] [--one-whole-in N]`` writes
a file of so many parcels with broken rows in it: those of a boundary file again and again, or squares.
``… county.parquet memory --job JOB.toml --folder DIR`` runs it and samples the memory of the run and of its workers
each second, for ``memory.csv`` and ``memory.svg`` in DIR. ``… pace`` runs it with one worker and with two by turns.
``… kills`` kills the run or a worker at random moments until it is done, as often as told, and compares the bytes with
those of a run that nobody disturbed. Linux only.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

from tests.benchmarks.region_file import parcels_of, write
from tests.benchmarks.region_memory import Sample, picture, trend_mb

_PAGE, _TICKS = os.sysconf("SC_PAGE_SIZE"), os.sysconf("SC_CLK_TCK")


def _command(options: argparse.Namespace, out: Path, workers: int) -> list[str]:
    told = [options.fields, "--job", options.job, "--out", out, "--workers", workers]
    return [sys.executable, "-m", "fieldplan", "region", *map(str, told)]


def children_of(pid: int) -> list[int]:
    """The workers of a run: processes whose parent it is, but for the one that counts semaphores."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            parent = int((place / "stat").read_text().rpartition(")")[2].split()[1])
            words = (place / "cmdline").read_text()
        except (OSError, ValueError):
            continue
        if parent == pid and "resource_tracker" not in words:
            found.append(int(place.name))
    return found


def _resident_mb(pid: int) -> float:
    try:
        return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * _PAGE / 1e6
    except OSError:
        return 0.0


def _processor_s(pid: int) -> float:
    """Time that a process has had of processors."""
    try:
        words = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
        return (int(words[11]) + int(words[12])) / _TICKS
    except (OSError, IndexError):
        return 0.0


def digest(folder: Path) -> str:
    """The digest of all files of a result."""
    found = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file() and not path.name.startswith("."):
            found.update(path.name.encode())
            found.update(path.read_bytes())
    return found.hexdigest()


def make(options: argparse.Namespace) -> None:
    """Write the file."""
    parcels = parcels_of(options.parcels, tiny=options.mostly_broken)
    write(
        Path(options.fields),
        parcels,
        options.rows,
        mostly_broken=options.mostly_broken,
        one_whole_in=options.one_whole_in,
    )
    print(
        f"{options.rows:,} rows of {len(parcels):,} outlines, {Path(options.fields).stat().st_size / 1e6:.1f} MB"
    )


def memory(options: argparse.Namespace) -> None:
    """Memory of the run and of its largest worker over time: as CSV, as a picture and in short."""
    folder = Path(options.folder)
    out = folder / "memory"
    shutil.rmtree(out, ignore_errors=True)
    folder.mkdir(parents=True, exist_ok=True)
    start, samples = time.monotonic(), list[Sample]()
    run = subprocess.Popen(_command(options, out, options.workers), stdout=subprocess.DEVNULL)
    with (folder / "memory.csv").open("w", encoding="utf-8", newline="") as stream:
        table = csv.writer(stream)
        table.writerow(["seconds", "rows", "run_mb", "worker_mb"])
        while run.poll() is None:
            n_rows = 50 * len(list((out / "fields").glob("*.parquet")))
            worker_mb = max((_resident_mb(pid) for pid in children_of(run.pid)), default=0.0)
            sample = (time.monotonic() - start, n_rows, _resident_mb(run.pid), worker_mb)
            samples.append(sample)
            table.writerow([round(sample[0], 1), n_rows, round(sample[2]), round(worker_mb)])
            stream.flush()
            time.sleep(options.every)
    takes_s = time.monotonic() - start
    title = (
        f"{Path(options.fields).name}, {options.workers} {'worker' if options.workers == 1 else 'workers'}"
    )
    (folder / "memory.svg").write_text(picture(samples, title), encoding="utf-8")
    found = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    whole = found["groups"][0]
    print(
        f"exit code {run.returncode}; {found['n_rows']:,} rows in, {whole['n_rows']:,} rows out in {takes_s:.0f} s"
    )
    print(
        f"planned {whole['n_planned']:,}; not: {whole['refused']}; notes: {found['notes'].get('id-twice', 0):,} id-twice"
    )
    for name, which in (("run", 2), ("largest worker", 3)):
        most = max(one[which] for one in samples)
        print(f"{name}: {most:.0f} MB at most, {trend_mb(samples, which):+.0f} MB from early to late")


def pace(options: argparse.Namespace) -> None:
    """One worker and two by turns: wall time, and what the busiest worker had of processors."""
    wall: dict[int, list[float]] = {1: [], 2: []}
    busiest: dict[int, list[float]] = {1: [], 2: []}
    for number in range(1, options.times + 1):
        for workers in (1, 2) if number % 2 else (2, 1):
            out = Path(options.folder) / "pace"
            shutil.rmtree(out, ignore_errors=True)
            start, spent_s = time.monotonic(), dict[int, float]()
            run = subprocess.Popen(
                _command(options, out, workers), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
            )
            while run.poll() is None:
                for pid in children_of(run.pid):
                    spent_s[pid] = max(spent_s.get(pid, 0.0), _processor_s(pid))
                time.sleep(0.1)
            wall[workers].append(time.monotonic() - start)
            busiest[workers].append(max(spent_s.values()))
            print(
                f"{number}: {workers} workers, {wall[workers][-1]:.1f} s; processor time of each worker "
                f"{', '.join(f'{one:.1f}' for one in spent_s.values())} s; load {os.getloadavg()[0]:.1f}",
                flush=True,
            )
    for name, times in (("wall time", wall), ("processor time of the busiest worker", busiest)):
        ratios = [one / two for one, two in zip(times[1], times[2], strict=True)]
        print(f"{name}: one to two {median(ratios):.2f} (median; {min(ratios):.2f} to {max(ratios):.2f})")


def kills(options: argparse.Namespace) -> None:
    """Kill, go on, and compare."""
    whole = Path(options.folder) / "whole"
    shutil.rmtree(whole, ignore_errors=True)
    start = time.monotonic()
    subprocess.run(_command(options, whole, options.workers), check=True, stdout=subprocess.DEVNULL)
    takes_s, chance = time.monotonic() - start, random.Random(options.seed)
    wanted = digest(whole)
    print(f"undisturbed: {takes_s:.1f} s", flush=True)
    for number in range(1, options.times + 1):
        out = Path(options.folder) / f"killed-{number}"
        shutil.rmtree(out, ignore_errors=True)
        n_killed = {"run": 0, "worker": 0}
        for attempt in range(1000):
            run = subprocess.Popen(
                _command(options, out, options.workers),
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
            if attempt < options.kills:
                time.sleep(chance.uniform(0, takes_s))
                who = chance.choice(["run", "worker"])
                victims = [run.pid] if who == "run" else children_of(run.pid)
                if victims and run.poll() is None:
                    os.kill(chance.choice(victims), signal.SIGKILL)
                    n_killed[who] += 1
            if run.wait() == 0:
                break
        same = digest(out) == wanted
        print(f"{number}: killed {n_killed}, same bytes: {same}", flush=True)
        if not same:
            sys.exit(1)
        shutil.rmtree(out)


def main() -> None:
    """Run what the command line names."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("fields")
    parser.add_argument("what", choices=["make", "memory", "pace", "kills"])
    parser.add_argument("--job")
    parser.add_argument("--folder")
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--rows", type=int, default=100_000)
    parser.add_argument("--parcels", type=Path)
    parser.add_argument("--mostly-broken", action="store_true")
    parser.add_argument("--one-whole-in", type=int, default=1)
    parser.add_argument("--every", type=float, default=1.0)
    parser.add_argument("--times", type=int, default=30)
    parser.add_argument("--kills", type=int, default=2)
    parser.add_argument("--seed", type=int, default=26)
    options = parser.parse_args()
    if options.what != "make" and not (options.job and options.folder):
        parser.error(f"{options.what} needs --job and --folder")
    {"make": make, "memory": memory, "pace": pace, "kills": kills}[options.what](options)


if __name__ == "__main__":
    main()
