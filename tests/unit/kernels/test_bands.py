"""Stretches of parallels with ground beside them, against closed forms and against overlays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from conftest import SAMPLES
from shapely import Polygon

from fieldplan.coverage.guided import _Lanes
from fieldplan.coverage.terms import Rig
from fieldplan.jobfile.load import load_job
from fieldplan.plane.parallel import SmoothLine, rounding_m, smoothed

RIG = replace(Rig.of(load_job(SAMPLES / "farm.toml")), pass_radius_m=60.0)
W = RIG.width_m
ROUND_CORNER = np.array([[0.0, 0.0], [150.0, 0.0], [260.0, 80.0]])


def _lanes(points: np.ndarray, first: int, until: int) -> _Lanes:
    line: SmoothLine = smoothed(points, rounding_m(points, away_m=9.0)).lengthened(1000.0)
    return _Lanes.of(line, np.arange(first, until), 0.0, W)


def test_a_triangle_beside_a_straight_line_is_reached_as_far_as_it_is_wide() -> None:
    """On strip k a triangle of slope s begins where its side crosses the lower border: at k·w/s."""
    lanes = _lanes(np.array([[0.0, 0.0], [300.0, 0.0]]), 0, 3)
    found = lanes._by_bands(Polygon([(0, 0), (300, 0), (300, 3 * W)]), RIG)
    assert found is not None
    of, start_m, end_m, radius_m, every = found
    assert (of.tolist(), every) == ([0, 1, 2], True)
    assert np.isinf(radius_m).all()
    assert start_m - 1000.0 == pytest.approx([0.0, 100.0, 200.0], abs=1e-6)
    assert end_m - 1000.0 == pytest.approx([300.0] * 3, abs=1e-6)


def test_a_hole_across_a_strip_parts_it_and_a_sliver_is_no_ground() -> None:
    """The hole reaches over strip 1 and half of strip 0; less than a centimeter of ground reaches into strip 2."""
    hole = [(100, W / 2), (100, 2 * W + 0.001), (140, 2 * W + 0.001), (140, W / 2)]
    ground = Polygon([(0, 0), (300, 0), (300, 2 * W + 0.005), (0, 2 * W + 0.005)], [hole])
    found = _lanes(np.array([[0.0, 0.0], [300.0, 0.0]]), 0, 3)._by_bands(ground, RIG)
    assert found is not None
    of, start_m, end_m, *_ = found
    assert of.tolist() == [0, 1, 1]
    assert start_m - 1000.0 == pytest.approx([0.0, 0.0, 140.0], abs=1e-6)
    assert end_m - 1000.0 == pytest.approx([300.0, 100.0, 300.0], abs=1e-6)


def test_strips_end_where_a_parallel_bends_too_tight() -> None:
    """An arc has its radius less the distance of the parallel: 60 m are left as far as (R − 60)/w − ½ strips inward."""
    bend = np.array([[0.0, 0.0], [150.0, 0.0], [150.0, 150.0]])
    line = smoothed(bend, rounding_m(bend, away_m=1e3)).lengthened(1000.0)
    radius_m = 1 / float(line.curvature_per_m.max())
    found = _Lanes.of(line, np.arange(-2, 12), 0.0, W)._by_bands(shapely.box(-20, -20, 170, 100), RIG)
    assert found is not None
    of, _, _, tightest_m, every = found
    last = int((radius_m - 60.0) / W - 0.5)
    assert (sorted(set(of.tolist())), every) == (list(range(last + 3)), False)
    assert tightest_m == pytest.approx(radius_m - (of - 2 + 0.5) * W)


@pytest.mark.parametrize("seed", range(12))
def test_it_finds_what_an_overlay_finds(seed: int) -> None:
    """On ground of any shape about a bent line, with holes; both ways are independent but for the line."""
    rng = np.random.default_rng(seed)
    spots = shapely.points(rng.uniform((-40, -60), (300, 160), (7, 2)))
    holes = shapely.buffer(
        shapely.points(rng.uniform((-40, -60), (300, 160), (5, 2))), rng.uniform(1, 9, 5)
    )
    ground = shapely.difference(shapely.union_all(shapely.buffer(spots, 45.0)), shapely.union_all(holes))
    piece = max(shapely.get_parts(ground), key=lambda part: part.area)
    lanes = _lanes(ROUND_CORNER, -12, 26)
    by_bands, by_overlay = lanes._by_bands(piece, RIG), lanes._by_overlay(piece, RIG)
    assert by_bands is not None
    assert by_bands[0].tolist() == by_overlay[0].tolist()
    assert by_bands[4] == by_overlay[4]
    for mine, other in zip(by_bands[1:4], by_overlay[1:4], strict=True):
        assert mine == pytest.approx(other, abs=1e-6)
