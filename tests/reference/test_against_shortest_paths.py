"""Ways round corners against the closed form: straight lines from corner to corner."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from fieldplan.plane.travel import TOLERANCE_M, TravelPaths

U_SHAPE = MultiPolygon(
    [Polygon([(0, 0), (300, 0), (300, 200), (200, 200), (200, 50), (100, 50), (100, 200), (0, 200)])]
)


def test_way_round_a_notch_goes_by_its_two_corners() -> None:
    """From arm to arm of a U: to the corner (100, 50), along to (200, 50), on to the other arm."""
    path = TravelPaths(U_SHAPE).between((50.0, 190.0), (250.0, 190.0))
    assert path.length == pytest.approx(2 * math.hypot(50, 140) + 100, abs=1e-6)
    assert path.difference(shapely.buffer(U_SHAPE, TOLERANCE_M)).length == 0


def test_way_round_a_pond_takes_the_shorter_side() -> None:
    """Past a square pond, nearer its lower edge: over both lower corners."""
    ground = MultiPolygon([box(0, 0, 300, 200).difference(box(100, 60, 200, 160))])
    path = TravelPaths(ground).between((50.0, 80.0), (250.0, 80.0))
    assert path.length == pytest.approx(2 * math.hypot(50, 20) + 100, abs=1e-6)


def test_way_over_open_ground_is_straight() -> None:
    """Nothing between: a straight line."""
    assert TravelPaths(U_SHAPE).between((10.0, 10.0), (290.0, 40.0)).length == pytest.approx(
        math.hypot(280, 30)
    )


def test_way_round_a_ditch_narrower_than_the_tolerance() -> None:
    """A ditch 0.9 m wide and 160 m long is gone round: over the two corners of its nearer end."""
    ground = MultiPolygon([box(0, 0, 300, 200).difference(box(100, 20, 100.9, 180))])
    path = TravelPaths(ground).between((50.0, 120.0), (250.0, 120.0))
    assert path.length == pytest.approx(math.hypot(50, 60) + 0.9 + math.hypot(149.1, 60), abs=1e-6)


def test_way_to_another_part_goes_round_the_pond_of_its_own() -> None:
    """From a part with a pond to another part: over the pond's corner, then straight across where the parts
    are nearest.
    """
    ground = MultiPolygon([box(0, 0, 100, 100).difference(box(40, 10, 60, 90)), box(200, 0, 300, 100)])
    path = TravelPaths(ground).between((10.0, 50.0), (250.0, 50.0))
    assert path.intersection(box(41, 11, 59, 89)).length == 0
    off_ground = path.difference(shapely.buffer(ground, TOLERANCE_M))
    assert off_ground.length <= 100


def test_ways_among_a_hundred_ponds_keep_to_the_ground() -> None:
    """However many corners there are, the way is found, and leaves the ground by no more than the
    tolerance; none is shorter.
    """
    ponds = shapely.union_all(
        [box(40 * i, 40 * j, 40 * i + 20, 40 * j + 20) for i in range(1, 11) for j in range(1, 11)]
    )
    paths = TravelPaths(MultiPolygon([box(0, 0, 460, 460).difference(ponds)]))
    for start, end in (((10.0, 10.0), (450.0, 450.0)), ((10.0, 230.0), (450.0, 270.0))):
        path = paths.between(start, end)
        assert path.difference(shapely.buffer(paths.ground, TOLERANCE_M + 1e-9)).length == 0
        assert math.dist(start, end) <= path.length <= abs(end[0] - start[0]) + abs(end[1] - start[1])


def test_way_to_a_place_off_open_ground_leaves_it_where_it_is_nearest() -> None:
    """From 280 m along a strip without corners to a place 6 m beside its other end: along it, and straight out."""
    path = TravelPaths(MultiPolygon([box(0, 0, 300, 10)])).between((10.0, 5.0), (290.0, 16.0))
    on_ground_m = math.hypot(280, 5)
    assert path.length == pytest.approx(on_ground_m + 6, abs=1e-6)
    assert path.length - path.intersection(box(0, 0, 300, 10)).length == pytest.approx(6, abs=1e-6)
