"""What is weighed against what it could be at least: blocks that cannot be of use are not laid to their end."""

from __future__ import annotations

import math

import numpy as np
import pytest
from conftest import SAMPLES
from shapely import MultiPolygon, Polygon, box, union_all

from fieldplan.coverage.laid import Laid, least_driven_s, least_s
from fieldplan.coverage.layout import Layout, lay_out
from fieldplan.coverage.pieces import Way, along_sides_s, blocks_over
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.jobfile.load import load_job

JOB = load_job(SAMPLES / "farm.toml")
RIG = Rig.of(JOB)


def _arc(radius: float, degrees: float = 90.0) -> np.ndarray:
    turn = np.radians(np.linspace(0, degrees, 91))
    return np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1)


TERRACE = Polygon(np.concatenate([_arc(240), _arc(160)[::-1]]))
"""80 m wide, inner radius 160 m, a quarter of a circle."""
BEYOND = Polygon([(0, 0), *_arc(200)])
"""A quarter of a disc: parallels of its curve bend too tight near its corner, which is left for other passes."""


def _layout(ground: Polygon) -> Layout:
    return lay_out(Site(field_id="f", ground=MultiPolygon([ground]), rig=RIG, working=JOB.working))


@pytest.mark.parametrize(
    "ground",
    [box(0, 0, 300, 60), Polygon([(0, 0), (250, 0), (30, 140)]), TERRACE, BEYOND],
    ids=["rectangle", "triangle", "terrace", "quarter"],
)
def test_nothing_is_weighed_with_less_than_the_least(ground: Polygon) -> None:
    """Neither straight passes nor those along sides; so what is ruled out by it could not have been better."""
    layout = _layout(ground)
    for way in (Way(), Way(along_sides=True)):
        laid = blocks_over(layout, [ground], way, None)
        assert least_s(ground, RIG) <= laid.weighed_s(RIG)
        assert least_driven_s(ground, RIG) <= laid.weighed_s(RIG)


def test_a_strip_as_long_as_half_the_way_round_is_the_least() -> None:
    """One pass over ground as wide as the drill takes no more than the least by the turn at its end."""
    strip = box(0, 0, 500, RIG.width_m)
    laid = blocks_over(_layout(strip), [strip], Way(along=np.array([1.0, 0.0])), None)
    assert laid.driven_s(RIG) == pytest.approx(least_driven_s(strip, RIG), rel=0.01)


@pytest.mark.parametrize("ground", [TERRACE, BEYOND], ids=["terrace", "quarter"])
def test_passes_along_sides_are_laid_out_only_as_far_as_they_may_be_of_use(ground: Polygon) -> None:
    """Within what they are weighed with they are the same as without a limit; beyond it none of a rest is left."""
    layout = _layout(ground)
    free = blocks_over(layout, [ground], Way(along_sides=True), None)
    weighed_s = free.weighed_s(RIG)
    within = blocks_over(layout, [ground], Way(along_sides=True, most_s=weighed_s + 1.0), None)
    assert within.weighed_s(RIG) == pytest.approx(weighed_s, abs=1e-6)
    assert [len(block.runs) for block in within.blocks] == [len(block.runs) for block in free.blocks]
    beyond = blocks_over(layout, [ground], Way(along_sides=True, most_s=0.5 * weighed_s), None)
    assert beyond.weighed_s(RIG) >= weighed_s - 1e-6


@pytest.mark.parametrize("ground", [TERRACE, BEYOND], ids=["terrace", "quarter"])
def test_blocks_along_sides_come_with_the_ground_that_their_passes_sow(ground: Polygon) -> None:
    """Also where a set of passes leaves nothing, so that nothing of it had to be taken away."""
    layout = _layout(ground)
    inner = layout.inner()
    laid = blocks_over(layout, inner, Way(along_sides=True), None)
    sown = [area for block in laid.blocks for area in block.runs.grounds]
    assert len(sown) == sum(len(block.runs) for block in laid.blocks)
    sown_m2 = laid.ground.area - laid.missed_m2
    assert union_all(sown).intersection(laid.ground).area == pytest.approx(sown_m2, rel=1e-3)


def test_what_strips_promise_is_no_more_than_passes_along_them_take() -> None:
    """On a terrace they take all but the same, without what is missed: every strip is followed, and sown about once."""
    laid = blocks_over(_layout(TERRACE), [TERRACE], Way(along_sides=True), None)
    promised_s = along_sides_s([TERRACE], RIG)
    assert promised_s <= laid.weighed_s(RIG)
    assert promised_s == pytest.approx(laid.driven_s(RIG), rel=0.05)


def test_nothing_laid_is_never_better() -> None:
    """It is weighed with more than anything else."""
    assert Laid.nothing(TERRACE).weighed_s(RIG) == math.inf
