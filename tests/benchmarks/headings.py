"""What the planner gains: drive time and overlap of each field, against simpler choices of heading.

Columns: the planner as it is; with one block; the best of 180 headings (the five best by pass cost, driven
in full); the longest edge; north-south. Minutes are driving time: sowing, turns and transfers. Totals by
tag follow.

    python -m tests.benchmarks.headings FIELDS [--out TABLE.csv]
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import geopandas
import numpy as np
from shapely import MultiPolygon

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.coverage.cover import cover
from fieldplan.coverage.heading import pass_costs_s
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.errors import FieldplanError
from fieldplan.jobfile.load import load_job
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.frame import frame_near, heading_vector
from fieldplan.plane.offsets import inset
from fieldplan.plane.strips import edges_of

JOB = Path(__file__).resolve().parents[2] / "sample_fields" / "farm.toml"
CHOICES = ("planner", "one block", "best of 180", "longest edge", "north-south")


def _longest_edge_deg(ground: MultiPolygon) -> float:
    edges = edges_of(ground)
    east, north = (edges[:, 2:] - edges[:, :2])[int(np.argmax(np.hypot(*(edges[:, 2:] - edges[:, :2]).T)))]
    return float(np.degrees(np.arctan2(east, north)) % 180)


def _best_of_180(ground: MultiPolygon, rig: Rig) -> list[float]:
    inner = inset(ground, rig.rounds_for_u_turns * rig.width_m)
    if inner.is_empty:
        return [0.0]
    headings = np.array([heading_vector(float(degrees)) for degrees in range(180)])
    cost = pass_costs_s(edges_of(inner), headings, rig).reshape(180, 2).min(axis=1)
    return [float(degrees) for degrees in np.argsort(cost)[:5]]


def _drives(
    field_id: str, ground: MultiPolygon, rig: Rig, working: WorkingTerms
) -> Iterator[tuple[float, float]]:
    """Minutes and percent of overlap for each choice."""

    def driven(**terms: object) -> tuple[float, float]:
        got = cover(Site(field_id=field_id, ground=ground, rig=rig, working=replace(working, **terms)))  # type: ignore[arg-type]
        return route_s(got.legs, rig) / 60, got.audit.overlap_m2 / ground.area * 100

    yield driven()
    yield driven(max_blocks=1)
    yield min(driven(heading_deg=degrees) for degrees in _best_of_180(ground, rig))
    yield driven(heading_deg=_longest_edge_deg(ground))
    yield driven(heading_deg=0.0)


def main() -> None:
    """Drive every field with every choice of heading and print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("fields", type=Path)
    parser.add_argument("--out", type=Path, help="write the table as CSV as well")
    given = parser.parse_args()
    job = load_job(JOB)
    rig, working = Rig.of(job), job.working
    frame = geopandas.read_file(given.fields)
    tags = dict(zip(frame["field_id"], frame["tag"], strict=True)) if "tag" in frame else {}
    rows, totals = [], defaultdict(lambda: np.zeros(2 * len(CHOICES)))
    for field in load_fields(given.fields, ReadingTerms(place_is_right=True)).fields:
        ground = frame_near(field.ground).to_plane(field.ground)
        try:
            figures = [value for pair in _drives(field.field_id, ground, rig, working) for value in pair]
        except FieldplanError as error:
            print(f"{field.field_id}: {error}", file=sys.stderr)
            continue
        tag = tags.get(field.field_id, "")
        rows.append([field.field_id, tag, *(round(value, 2) for value in figures)])
        area = np.array([1.0, ground.area / 100] * len(CHOICES))
        for key in (tag, "all"):
            totals[key] += np.array(figures) * area
    names = [f"{choice} {what}" for choice in CHOICES for what in ("min", "twice %")]
    print(
        f"{'field':<20}{'tag':<20}"
        + "".join(f"{choice:>16}" for choice in CHOICES)
        + f"{'blocks save':>13}"
    )
    for field_id, tag, *figures in rows:
        columns = "".join(
            f"{minutes:>9.1f}{twice:>6.2f}%"
            for minutes, twice in zip(figures[0::2], figures[1::2], strict=True)
        )
        print(f"{field_id:<20}{tag:<20}{columns}{figures[2] - figures[0]:>9.1f} min")
    print("\nDrive time against the planner")
    for tag, total in sorted(totals.items()):
        columns = "".join(f"{minutes / total[0] - 1:>+15.2%} " for minutes in total[0::2])
        print(f"{tag:<40}{columns}{(total[2] - total[0]):>9.1f} min")
    if given.out:
        with given.out.open("w", newline="", encoding="utf-8") as stream:
            csv.writer(stream).writerows([["field", "tag", *names], *rows])


if __name__ == "__main__":
    main()
