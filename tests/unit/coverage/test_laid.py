"""What blocks leave of their ground."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from conftest import SAMPLES
from shapely import MultiPolygon, Polygon, box

from fieldplan.coverage.heading import best_swath_layout
from fieldplan.coverage.laid import Laid
from fieldplan.coverage.passes import block_of
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.jobfile.load import load_job
from fieldplan.model.coverage import Block

JOB = load_job(SAMPLES / "farm.toml")
RIG = Rig.of(JOB)
SLANTED = Polygon([(0, 0), (200, 60), (170, 150), (90, 110), (-20, 120)], [[(60, 50), (60, 70), (95, 75)]])


def _block(ground: Polygon) -> Block:
    around = MultiPolygon([ground.buffer(40)])
    site = Site(field_id="f", ground=around, rig=RIG, working=JOB.working)
    return block_of(1, ground, best_swath_layout(ground, RIG), site, InsideFence(around, RIG))


def test_straight_passes_over_ground_leave_none_of_it() -> None:
    """Strips reach over all ground."""
    assert Laid(SLANTED, [_block(SLANTED)]).missed_m2 == pytest.approx(0.0, abs=1e-6)


def test_they_leave_what_lies_beyond_them() -> None:
    """Of passes over a rectangle, a larger one leaves its area less that under the strips."""
    strips, ground = _block(box(0, 0, 100, 2 * RIG.width_m)), box(-10, -5, 130, 2 * RIG.width_m)
    assert Laid(ground, [strips]).missed_m2 == pytest.approx(
        140 * (2 * RIG.width_m + 5) - 200 * RIG.width_m
    )


@pytest.mark.parametrize("seed", range(8))
def test_they_leave_what_an_overlay_says(seed: int) -> None:
    """On ground of any shape, of which some passes are left out."""
    block, rng = _block(SLANTED), np.random.default_rng(seed)
    ground = shapely.affinity.translate(
        shapely.affinity.rotate(SLANTED, rng.uniform(0, 360)), *rng.uniform(-9, 9, 2)
    )
    overlaid = shapely.difference(ground, shapely.union_all(block.runs.grounds)).area
    assert Laid(ground, [block]).missed_m2 == pytest.approx(overlaid, abs=1e-5)
