"""A region's memory over time, its pace with one worker and two, and runs killed at random and gone on with.

``python -m tests.benchmarks.region FIELDS --job JOB.toml --folder DIR memory [--workers 1]`` samples the memory of
the run and of its workers each second; ``kills [--times 30]`` kills the run or a worker at random moments until it
is done, as often as told, and compares the bytes with those of a run that nobody disturbed. Linux only.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

_PAGE = os.sysconf("SC_PAGE_SIZE")


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


def digest(folder: Path) -> str:
    """The digest of all files of a result."""
    found = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file() and not path.name.startswith("."):
            found.update(path.name.encode())
            found.update(path.read_bytes())
    return found.hexdigest()


def memory(options: argparse.Namespace) -> None:
    """Write seconds, parts done, and memory of the run and of its largest worker, as CSV on stdout."""
    out = Path(options.folder) / "memory"
    shutil.rmtree(out, ignore_errors=True)
    start = time.monotonic()
    run = subprocess.Popen(_command(options, out, options.workers), stdout=subprocess.DEVNULL)
    table = csv.writer(sys.stdout)
    table.writerow(["seconds", "parts", "run_mb", "worker_mb"])
    while run.poll() is None:
        parts = len(list((out / "fields").glob("*.parquet")))
        worker_mb = max((_resident_mb(pid) for pid in children_of(run.pid)), default=0.0)
        table.writerow(
            [round(time.monotonic() - start), parts, round(_resident_mb(run.pid)), round(worker_mb)]
        )
        sys.stdout.flush()
        time.sleep(options.every)


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
    parser.add_argument("--job", required=True)
    parser.add_argument("--folder", required=True)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("what", choices=["memory", "kills"])
    parser.add_argument("--every", type=float, default=1.0)
    parser.add_argument("--times", type=int, default=30)
    parser.add_argument("--kills", type=int, default=2)
    parser.add_argument("--seed", type=int, default=26)
    options = parser.parse_args()
    {"memory": memory, "kills": kills}[options.what](options)


if __name__ == "__main__":
    main()
