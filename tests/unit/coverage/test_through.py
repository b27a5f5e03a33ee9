"""Which crossable ground passes go on across, on shapes that can be drawn on paper."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.through import driven_through, joined
from fieldplan.plane.offsets import polygons_of

FIELD = box(0, 0, 400, 300)
POND = Point(200, 150).buffer(20)


def _through(outline: BaseGeometry, crossable: BaseGeometry) -> tuple[float, MultiPolygon]:
    """The share of the crossable ground that is driven through, and the ground that it joins."""
    field = polygons_of(outline)
    ground = polygons_of(shapely.difference(field, crossable))
    crossed = polygons_of(shapely.intersection(field, crossable))
    lifted = driven_through(ground, [crossed])
    return lifted.area / crossed.area, joined(ground, lifted, field)


def _creek() -> BaseGeometry:
    x = np.linspace(-20, 420, 300)
    return LineString(np.column_stack([x, 150 + 40 * np.sin(x / 45) + 8 * np.sin(x / 9)])).buffer(5)


@pytest.mark.parametrize(
    "crossable",
    [
        box(0, 147, 400, 153),
        LineString([(-20, 40), (420, 260)]).buffer(3),
        _creek(),
        box(0, 147, 400, 153).union(LineString([(200, 150), (330, 310)]).buffer(4)),
        Polygon([(0, 140), (400, 150), (400, 160), (0, 180)]),
        Polygon([(150, -1), (250, -1), (203, 150), (203, 301), (197, 301), (197, 150)]),
        box(150, 100, 156, 200),
    ],
    ids=["straight", "oblique", "winding", "branched", "widening", "funnel", "inside"],
)
def test_ground_between_two_grounds_is_driven_through_and_joins_them(crossable: BaseGeometry) -> None:
    """All of it, and the field is one piece without a hole."""
    share, whole = _through(FIELD, crossable)
    assert share == pytest.approx(1, abs=1e-4)
    assert len(whole.geoms) == 1
    assert not whole.geoms[0].interiors
    assert whole.symmetric_difference(FIELD).area < 0.1


@pytest.mark.parametrize(
    ("outline", "crossable"),
    [
        (FIELD, box(0, 294, 400, 300)),
        (FIELD, box(100, 294, 250, 300)),
        (FIELD.difference(POND), POND.buffer(6)),
        (Point(200, 200).buffer(200), Point(200, 200).buffer(200).boundary.buffer(4)),
    ],
    ids=["along a side", "along part of a side", "around a pond", "along a circle"],
)
def test_ground_along_a_hard_edge_is_not_driven_through(
    outline: BaseGeometry, crossable: BaseGeometry
) -> None:
    """No pass could go on beyond it."""
    share, whole = _through(outline, crossable)
    assert share == 0
    assert whole.area == pytest.approx(shapely.difference(outline, crossable).area)


def test_a_lane_along_an_edge_that_turns_into_the_field_is_driven_through_there_only() -> None:
    """200 m along the north edge, then 300 m south across the field: all but its corner of the latter."""
    lane = box(0, 294, 200, 300).union(box(194, 0, 200, 300))
    share, whole = _through(FIELD, lane)
    assert share == pytest.approx((294 - 2) * 6 / lane.area, rel=0.01)
    assert len(whole.geoms) == 1
