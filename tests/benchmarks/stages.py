"""Milliseconds of processor time a field and stage, beside a yardstick measured in the same run; one block a field.

The yardstick is reading the file and measuring its geodesic area: machines are noisy, so compare ratios to
it. Some fields are planned before, so that no stage waits for kernels to be loaded or compiled; what the first
of them took longer than when it is planned again is the cold start.

    python -m tests.benchmarks.stages FIELDS [--most N]
"""

from __future__ import annotations

import argparse
import time
from collections import defaultdict
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import numpy as np

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.coverage.audit import audit
from fieldplan.coverage.cover import cover
from fieldplan.coverage.layout import lay_out
from fieldplan.coverage.site import Site
from fieldplan.coverage.swept import HeadlandGround, Swept
from fieldplan.coverage.terms import Rig
from fieldplan.errors import FieldplanError
from fieldplan.field_planner import plan_field
from fieldplan.jobfile.load import load_job
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.plane.frame import frame_near

N_WARMED = 20
JOB = Path(__file__).resolve().parents[2] / "sample_fields" / "farm.toml"


def main() -> None:
    """Time the stages and print them."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("fields", type=Path)
    parser.add_argument(
        "--most", type=int, default=None, help="time this many fields, spread over the file"
    )
    given = parser.parse_args()
    job = load_job(JOB)
    job = replace(job, working=replace(job.working, max_blocks=1))
    rig = Rig.of(job)
    spent: dict[str, float] = defaultdict(float)
    start = time.process_time()
    everything = load_fields(given.fields, ReadingTerms(place_is_right=True)).fields
    read_s = (time.process_time() - start) / len(everything)
    step = max(1, len(everything) // (given.most or len(everything)))
    fields = everything[::step][: given.most]
    cold_s = _cold_start_s(fields, rig, job)
    slowest, refused = (0.0, ""), 0
    for field in fields:
        marks = [time.process_time()]
        geodesic_area_m2(field.ground)
        marks.append(time.process_time())
        ground = frame_near(field.ground).to_plane(field.ground)
        marks.append(time.process_time())
        try:
            site = Site(field_id=field.field_id, ground=ground, rig=rig, working=job.working)
            lay_out(site)
            marks.append(time.process_time())
            coverage = cover(site)
            marks.append(time.process_time())
            once = coverage.sowings[0]
            headland = HeadlandGround.of(ground, once.headland, np.zeros(0, dtype=object))
            covered = Swept(headland, once.blocks)
            covered.missed_m2  # noqa: B018
            marks.append(time.process_time())
            audit(ground, ground, [once], [covered], rig.width_m)
            marks.append(time.process_time())
            plan_field(field, job.mixes[0], job)
            marks.append(time.process_time())
        except FieldplanError:
            refused += 1
            continue
        stages = (
            "geodesic area",
            "frame",
            "headland and rounds",
            "coverage, whole",
            "overlays",
            "audit",
            "plan of a field, whole",
        )
        for stage, a, b in zip(stages, marks, marks[1:], strict=False):
            spent[stage] += b - a
        slowest = max(slowest, (marks[4] - marks[3], field.field_id))
    n = max(1, len(fields) - refused)
    yardstick_s = read_s + spent["geodesic area"] / n
    print(f"{n} fields planned, {refused} refused (nowhere as wide as the drill)")
    print(f"{'stage':<24}{'ms a field':>12}{'× yardstick':>13}")
    print(f"{'read + geodesic area':<24}{yardstick_s * 1e3:>12.3f}{1:>13.1f}")
    for stage, seconds in spent.items():
        print(f"{stage:<24}{seconds / n * 1e3:>12.3f}{seconds / n / yardstick_s:>13.1f}")
    print(f"{n / spent['coverage, whole']:.0f} fields a second, coverage with route and audit, one core")
    print(f"slowest coverage: {slowest[1]}, {slowest[0]:.2f} s")
    print(f"cold start: {cold_s:.2f} s")


def _cold_start_s(fields: Sequence[Field], rig: Rig, job: Job) -> float:
    """What the first coverage took longer than the same one later, after covering some fields."""
    warmed = [fields[0], *fields[:: max(1, len(fields) // N_WARMED)][:N_WARMED], fields[0]]
    each_s = []
    for field in warmed:
        start, ground = time.process_time(), frame_near(field.ground).to_plane(field.ground)
        with suppress(FieldplanError):
            cover(Site(field_id=field.field_id, ground=ground, rig=rig, working=job.working))
        each_s.append(time.process_time() - start)
    return each_s[0] - each_s[-1]


if __name__ == "__main__":
    main()
