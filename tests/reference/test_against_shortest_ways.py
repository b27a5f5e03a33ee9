"""Ways round corners against the closed form: straight lines from corner to corner."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from fieldplan.plane.travel import TOLERANCE_M, Ways

U_SHAPE = MultiPolygon([Polygon([(0, 0), (300, 0), (300, 200), (200, 200), (200, 50), (100, 50), (100, 200), (0, 200)])])


def test_way_round_a_notch_goes_by_its_two_corners() -> None:
    """From arm to arm of a U: to the corner (100, 50), along to (200, 50), on to the other arm."""
    way = Ways(U_SHAPE).between((50.0, 190.0), (250.0, 190.0))
    assert way.length == pytest.approx(2 * math.hypot(50, 140) + 100, abs=1e-6)
    assert way.difference(shapely.buffer(U_SHAPE, TOLERANCE_M)).length == 0


def test_way_round_a_pond_takes_the_shorter_side() -> None:
    """Past a square pond, nearer its lower edge: over both lower corners."""
    ground = MultiPolygon([box(0, 0, 300, 200).difference(box(100, 60, 200, 160))])
    way = Ways(ground).between((50.0, 80.0), (250.0, 80.0))
    assert way.length == pytest.approx(2 * math.hypot(50, 20) + 100, abs=1e-6)


def test_way_over_open_ground_is_straight() -> None:
    """Nothing between: a straight line."""
    assert Ways(U_SHAPE).between((10.0, 10.0), (290.0, 40.0)).length == pytest.approx(math.hypot(280, 30))
