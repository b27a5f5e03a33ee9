"""Outlines without their jags."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from fieldplan.plane.straightened import apart_m, steps_of, straightened

STEP_M = 1.6


def _in_steps(length_m: float = 160.0, depth_m: float = 100.0, step_m: float = STEP_M) -> MultiPolygon:
    """A field whose southern edge rises by a step every five meters; the others are straight."""
    stairs = [(x, x / 5 * step_m) for x in np.arange(0, length_m, 5.0)]
    edge = [point for x, y in stairs for point in ((x, y), (x + 5, y))]
    return MultiPolygon([Polygon([*edge, (length_m, depth_m), (0, depth_m)])])


def test_steps_are_told_from_a_traced_edge() -> None:
    """So many as were drawn, and so high; a rectangle has none."""
    steps = steps_of(_in_steps(), 3.0)
    assert steps.n == 31
    assert steps.high_m == pytest.approx(STEP_M)
    assert steps_of(MultiPolygon([box(0, 0, 100, 60)]), 3.0).n == 0
    assert steps_of(_in_steps(), STEP_M / 2).n == 0  # steps higher than asked for are corners


@pytest.mark.parametrize("outside_m", [0.0, STEP_M / 2])
def test_a_line_along_steps_is_straight_and_outside_by_no_more_than_it_may(outside_m: float) -> None:
    """Four corners, one of them blunt, remain of 66; half a step is sought on either side where that may be."""
    field = _in_steps()
    line = straightened(field, STEP_M, outside_m)
    assert line is not None
    assert shapely.get_num_coordinates(line) <= 6
    out = shapely.get_coordinates(line)[~shapely.contains_xy(field, *shapely.get_coordinates(line).T)]
    assert shapely.distance(field, shapely.points(out)).max(initial=0.0) <= outside_m + 1e-9
    assert apart_m(field, line) <= 2 * STEP_M
    if outside_m:
        assert line.area == pytest.approx(field.area, rel=0.01)


def test_a_clean_field_stays_as_it_is() -> None:
    """To a micrometer, holes and all."""
    field = MultiPolygon([box(0, 0, 300, 200) - Polygon([(100, 80), (160, 90), (150, 140)])])
    line = straightened(field, 1.5, 0.0)
    assert line is not None
    assert shapely.symmetric_difference(line, field).area < 1e-6


def test_a_hole_grows_where_the_ground_shrinks() -> None:
    """The line around a pond with a jag lies outside the pond."""
    pond = Polygon(
        [(100, 80), (130, 80), (130, 79), (132, 79), (132, 80), (160, 80), (160, 130), (100, 130)]
    )
    line = straightened(MultiPolygon([box(0, 0, 300, 200) - pond]), 1.5, 0.0)
    assert line is not None
    assert line.intersection(pond).area < 1e-9
    assert len(line.geoms[0].interiors[0].coords) == 5


def test_what_would_fall_apart_is_left() -> None:
    """Two edges nearer to each other than the tolerance cannot both be moved inward."""
    waist = Polygon(
        [(0, 0), (50, 0), (60, 19.6), (70, 0), (120, 0), (120, 40), (70, 40), (60, 20.4), (50, 40), (0, 40)]
    )
    line = straightened(MultiPolygon([waist]), 1.5, 0.0)
    assert line is None or line.difference(waist).area < 1e-9


def test_no_point_of_the_outline_is_left_outside() -> None:
    """Nor one about the first of the ring, which may be straightened away as any other."""
    angle = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    for seed in range(20):
        radius_m = 200 + 9 * np.sin(5 * angle) + np.random.default_rng(seed).normal(0, 0.4, 400)
        field = MultiPolygon(
            [Polygon(np.column_stack([radius_m * np.cos(angle), radius_m * np.sin(angle)]))]
        )
        line = straightened(field, 1.5, 0.0)
        assert line is not None
        assert apart_m(field, line) < 4.0
        out = shapely.difference(shapely.boundary(line), shapely.buffer(field, 1e-6))
        assert out.length < 0.005 * line.length  # only where stretches meet past a corner of the outline
