"""Random convex fields: drive time of the chosen heading against the best of 180 whole degrees, each driven
in full.

A field has 4 to 11 corners, is 60 to 600 m long and 0.15 to 1 times as wide, and lies anyhow. About half a
second a field.

    python -m tests.benchmarks.convex [--fields N] [--seed N]
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

import numpy as np
from shapely import MultiPoint, MultiPolygon, Polygon

from fieldplan.coverage.cover import cover
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.jobfile.load import load_job
from fieldplan.model.job import WorkingTerms

JOB = Path(__file__).resolve().parents[2] / "sample_fields" / "farm.toml"
MIN_M2 = 4000.0
ASKED_FRAC = 0.005


def main() -> None:
    """Drive the fields and print how much slower the chosen heading is."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--fields", type=int, default=100)
    parser.add_argument(
        "--seed", type=int, default=0, help="fields are drawn from here on; other seeds, other fields"
    )
    given = parser.parse_args()
    job = load_job(JOB)
    rig = Rig.of(job)
    slower: list[tuple[float, int]] = []
    for seed in range(given.seed, given.seed + given.fields):
        field = _field(np.random.default_rng(seed))
        if field is not None:
            best_s = min(
                _driven_s(field, rig, replace(job.working, heading_deg=float(degrees)))
                for degrees in range(180)
            )
            slower.append((_driven_s(field, rig, job.working) / best_s - 1, seed))
    over = [seed for frac, seed in slower if frac > ASKED_FRAC]
    print(f"{len(slower)} convex fields: the chosen heading against the best of 180")
    print(
        f"  on average {np.mean([frac for frac, _ in slower]):+.2%}, at worst {max(slower)[0]:+.2%} (seed {max(slower)[1]})"
    )
    print(f"  over {ASKED_FRAC:.1%} slower: {len(over)} {over or ''}")


def _field(drawn: np.random.Generator) -> MultiPolygon | None:
    """The convex hull of random points, to the metre; ``None`` if it is too small to drive."""
    n, length_m, slim = drawn.integers(4, 12), drawn.uniform(60, 600), drawn.uniform(0.15, 1)
    points = (drawn.random((n, 2)) - 0.5) * [length_m, length_m * slim]
    turn = drawn.uniform(0, np.pi)
    hull = MultiPoint(
        (points @ [[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]).round()
    ).convex_hull
    return MultiPolygon([hull]) if isinstance(hull, Polygon) and hull.area > MIN_M2 else None


def _driven_s(field: MultiPolygon, rig: Rig, working: WorkingTerms) -> float:
    return route_s(cover(Site(field_id="field", ground=field, rig=rig, working=working)).legs, rig)


if __name__ == "__main__":
    main()
