"""Near the gate transfers come as near to the edge that it is in as they like: to nothing else, and turns do not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, box

from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import transfers_at
from fieldplan.plane.offsets import polygons_of

FIELD, POND = box(0, 0, 200, 120), box(9, 55, 15, 65)
GATE = np.array([0.0, 60.0])
CENTIMETER = 0.01


@pytest.fixture
def wide(rig: Rig) -> Rig:
    """A drill of 6 m, half of which may reach over its end by half a meter."""
    return replace(rig, width_m=6.0, radius_m=6.0)


def test_the_edge_at_a_gate_may_be_near_but_no_pond(wide: Rig) -> None:
    """Along the fence for two widths to both sides; a pond in the way is kept clear of as anywhere."""
    room = InsideFence(polygons_of(FIELD - POND), wide)
    region = transfers_at(room, GATE).region
    by_fence = np.array([[0.3, 60.0], [1.0, 52.0], [1.0, 69.0]])
    by_pond = np.array([[7.0, 60.0], [8.0, 54.0], [12.0, 66.0]])
    assert region.contains(by_fence).all()
    assert not region.contains(by_pond).any()
    assert transfers_at(InsideFence(MultiPolygon([FIELD]), wide), GATE).region.contains(by_pond).all()


def test_the_edge_across_from_a_gate_is_as_hard_as_elsewhere(wide: Rig) -> None:
    """A strip of 10 m with a gate in one of its long sides; at its corner both sides are the edge at the gate."""
    room = InsideFence(MultiPolygon([box(0, 0, 200, 10)]), wide)
    region = transfers_at(room, np.array([100.0, 0.0])).region
    assert region.contains(np.array([[100.0, 0.3], [95.0, 1.0], [105.0, 5.0]])).all()
    assert not region.contains(np.array([[100.0, 9.0], [96.0, 8.0]])).any()
    at_corner = transfers_at(room, np.zeros(2)).region
    assert at_corner.contains(np.array([[0.3, 0.3], [0.3, 5.0], [5.0, 0.3]])).all()


@pytest.mark.parametrize("reverse", ["where needed", "never"])
def test_a_turn_near_a_gate_keeps_as_clear_as_elsewhere(wide: Rig, reverse: str) -> None:
    """What stands for a turn that does not fit keeps half the drill less half a meter from fence and pond, or says that
    it is outside; what leads through the gate is inside.
    """
    rig, random = replace(wide, reverse=reverse), np.random.default_rng(1)  # type: ignore[arg-type]
    ground = polygons_of(FIELD - POND)
    room = InsideFence(ground, rig)
    places = random.uniform((3, 40), (30, 80), (200, 2))
    places = places[room.contains(places)]
    poses = np.column_stack([places, random.uniform(-np.pi, np.pi, len(places))])
    leave, enter = poses[: len(poses) // 2], poses[len(poses) // 2 :][: len(poses) // 2]
    transfers = transfers_at(room, GATE)
    found = [one for one in transfers.between(leave, enter, np.ones(len(leave), dtype=bool)) if one.inside]
    assert len(found) > len(leave) / 2
    lines = shapely.segmentize(np.array([one.line for one in found], dtype=object), 0.25)
    places = shapely.points(shapely.get_coordinates(lines))
    assert shapely.contains(ground, places).all()
    assert shapely.distance(places, ground.boundary).min() > rig.width_m / 2 - 0.5 - 3 * CENTIMETER
    (home,) = transfers.between(leave[:1], np.array([[*GATE, np.nan]]))
    assert home.inside
    assert shapely.get_point(home.line, -1).coords[0] == pytest.approx(tuple(GATE))
