"""Offsets of outlines with many vertices, against those of the library."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.plane.offsets import inset, insets, offset, polygons_of, rounded_inset

N_MANY, QUARTER = 1500, 32


def _walked(n: int = N_MANY) -> MultiPolygon:
    """A field of 30 acres with a pond, walked around with a shaking hand."""
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
    radius_m = 200 + 10 * np.sin(5 * angle) + np.random.default_rng(3).normal(0, 0.2, n)
    outer = np.column_stack([radius_m * np.cos(angle), radius_m * np.sin(angle)])
    return MultiPolygon([Polygon(outer, [shapely.Point(40, 10).buffer(20.0).exterior.coords])])


@pytest.mark.parametrize("depth_m", [0.2, 1.0, 4.5, 15.0])
def test_in_steps_as_in_one(depth_m: float) -> None:
    """To a hand's breadth along the whole edge, and never with a corner outside the field."""
    field = _walked()
    found, whole = inset(field, depth_m), polygons_of(offset(field, -depth_m))
    assert shapely.symmetric_difference(found, whole).area < 0.1 * field.length
    assert field.covers(found)


def test_several_depths_are_those_of_one() -> None:
    """The same insets, whichever is asked for first."""
    depths_m = np.array([1.5, 4.5, 7.5])
    assert [found.wkb for found in insets(_walked(), depths_m)] == [
        inset(_walked(), depth_m).wkb for depth_m in depths_m[::-1]
    ][::-1]


def test_with_round_corners_no_place_is_too_near_to_the_edge() -> None:
    """Steps and thinning only take ground away, and little of it."""
    field, depth_m = _walked(), 8.0
    found, whole = (
        rounded_inset(field, depth_m, QUARTER),
        shapely.buffer(field, -depth_m, quad_segs=QUARTER),
    )
    places = shapely.points(shapely.get_coordinates(found))
    assert shapely.distance(places, field.boundary).min() > depth_m - 0.02
    assert shapely.symmetric_difference(found, whole).area < 0.06 * field.length


def test_with_few_vertices_it_is_the_librarys() -> None:
    """To the last bit."""
    field = MultiPolygon([shapely.box(0, 0, 100, 60)])
    assert inset(field, 7.0).wkb == polygons_of(offset(field, -7.0)).wkb
    assert rounded_inset(field, 7.0, QUARTER).wkb == shapely.buffer(field, -7.0, quad_segs=QUARTER).wkb
