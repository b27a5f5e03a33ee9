"""Where the time of coverage goes: the share of it within each function of the package, by looking now and then.

What compiled libraries and kernels take counts for the function that calls them, and looking costs nothing: a profile
of calls doubles the time of plain Python, and hides the rest.

    python -m tests.benchmarks.where FIELDS [--most N] [--blocks N] [--times N] [--rows N]
"""

from __future__ import annotations

import argparse
import signal
from collections import Counter
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from types import FrameType

import fieldplan
from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.coverage.cover import cover
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.errors import FieldplanError
from fieldplan.jobfile.load import load_job
from fieldplan.plane.frame import frame_near
from tests.benchmarks.stages import JOB

LOOK_S = 0.001
PACKAGE = str(Path(fieldplan.__file__).parent)


class Looks:
    """How often a function of the package was running, itself or what it called, and itself alone."""

    def __init__(self) -> None:
        self.n = 0
        self.within, self.own = Counter[str](), Counter[str]()

    def look(self, _: int, frame: FrameType | None) -> None:
        """Count the functions that are running."""
        running = list[str]()
        while frame is not None:
            code, frame = frame.f_code, frame.f_back
            if code.co_filename.startswith(PACKAGE):
                running.append(f"{Path(code.co_filename).relative_to(PACKAGE)} {code.co_qualname}")
        self.n += 1
        self.within.update(set(running))
        self.own.update(running[:1])


def main() -> None:
    """Cover fields and print the functions with the largest shares."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("fields", type=Path)
    for name, number in (("--most", 100), ("--blocks", 1), ("--times", 2), ("--rows", 60)):
        parser.add_argument(name, type=int, default=number)
    given = parser.parse_args()
    job = load_job(JOB)
    job = replace(job, working=replace(job.working, max_blocks=given.blocks))
    everything = load_fields(given.fields, ReadingTerms(place_is_right=True)).fields
    fields = everything[:: max(1, len(everything) // given.most)][: given.most]
    grounds = {field.field_id: frame_near(field.ground).to_plane(field.ground) for field in fields}
    rig, looks = Rig.of(job), Looks()
    for nth in range(given.times + 1):
        if nth == 1:  # kernels are loaded
            signal.signal(signal.SIGPROF, looks.look)
            signal.setitimer(signal.ITIMER_PROF, LOOK_S, LOOK_S)
        for field_id, ground in grounds.items():
            with suppress(FieldplanError):
                cover(Site(field_id=field_id, ground=ground, rig=rig, working=job.working))
    signal.setitimer(signal.ITIMER_PROF, 0.0)
    print(f"{looks.n} looks\n   in it  itself")
    for name, n_within in looks.within.most_common(given.rows):
        print(f"{n_within / looks.n:8.1%}{looks.own[name] / looks.n:8.1%}  {name}")


if __name__ == "__main__":
    main()
