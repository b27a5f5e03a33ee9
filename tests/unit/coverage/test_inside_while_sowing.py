"""Passes keep from fences and trees all along, not only at their ends."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.heading import best_swath_layout
from fieldplan.coverage.narrow import reached
from fieldplan.coverage.passes import block_of
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage, Lines
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.offsets import polygons_of

ALONG = np.array([1.0, 0.0])
FENCED = box(0, 0, 200, 30)
BAY = Polygon([(80, 40), (90, 22), (110, 22), (120, 40)])
"""Where the fence of the upper long side comes 8 m into the field."""
TREE = Point(100, 16).buffer(2.0)
CENTIMETER = 0.01


@pytest.fixture
def wide(rig: Rig) -> Rig:
    """A drill of 6 m, half of which may reach over its end by half a meter."""
    return replace(rig, width_m=6.0, radius_m=6.0)


def _nearest_m(lines: Lines, ground: MultiPolygon) -> float:
    """How near lines come to the edge of some ground; negative outside."""
    places = shapely.points(shapely.get_coordinates(shapely.segmentize(lines, 0.1)))
    away_m = shapely.distance(places, ground.boundary)
    return float(np.where(shapely.contains(ground, places), away_m, -away_m).min())


@pytest.mark.parametrize("kept_out", [BAY, TREE], ids=["bay", "tree"])
def test_a_straight_pass_is_lifted_where_it_would_come_too_near(
    kept_out: Polygon, wide: Rig, working: WorkingTerms
) -> None:
    """On either side of that it is sown: as near as half a meter less than half the drill."""
    ground = polygons_of(FENCED - kept_out)
    site, room = Site(field_id="f", ground=ground, rig=wide, working=working), InsideFence(ground, wide)
    piece = ground.geoms[0]
    block = block_of(1, piece, best_swath_layout(piece, wide, ALONG), site, room)
    assert _nearest_m(block.runs.lines, ground) > wide.width_m / 2 - 0.5
    broken = np.flatnonzero(np.bincount(block.strip) == 2)
    assert len(broken)
    for strip in broken:
        one, other = sorted(shapely.bounds(block.runs.lines[block.strip == strip]).tolist())
        assert 100 - 20 < one[2] < 100 < other[0] < 100 + 20


def test_a_bent_pass_ends_before_a_neck_and_goes_on_behind_it(wide: Rig) -> None:
    """In a neck of 4 m, half the drill would stand out a meter on both sides."""
    ground = MultiPolygon([box(0, 0, 80, 20) | box(79, 8, 101, 12) | box(100, 0, 180, 20)])
    lines = np.array(
        [LineString([(5, 10), (90, 10.2), (175, 10)]), LineString([(5, 5), (60, 6)])], dtype=object
    )
    found, of = reached(lines, InsideFence(ground, wide))
    assert of.tolist() == [0, 0, 1]
    assert found[2].equals(lines[1])
    ends_m = shapely.bounds(found[:2])[:, [0, 2]].ravel()
    assert ends_m == pytest.approx([5.0, 80 - 2.5, 100 + 2.5, 175.0], abs=0.02)


def test_a_corner_that_a_way_may_cut_off_breaks_no_pass(wide: Rig) -> None:
    """Two centimeters too near over a few meters."""
    room = InsideFence(MultiPolygon([FENCED]), wide)
    (_, low, _, _) = room.clear.bounds
    lines = np.array(
        [LineString([(5, low + 1), (90, low - 0.02), (95, low - 0.02), (180, low + 1)])], dtype=object
    )
    assert reached(lines, room)[1].tolist() == [0]
    lower = shapely.transform(lines, lambda points: points - [0.0, 0.1])
    assert reached(lower, room)[1].tolist() == [0, 0]


def _covered(ground: MultiPolygon, rig: Rig, working: WorkingTerms) -> Coverage:
    return cover(Site(field_id="f", ground=ground, rig=rig, working=working))


def test_an_obstacle_too_small_to_go_round_is_sown_over(wide: Rig, working: WorkingTerms) -> None:
    """As many passes, as long, as without it."""
    terms = replace(working, headland_rounds=0, smallest_obstacle_m2=2.0, max_blocks=1)
    small, plain = (
        _covered(polygons_of(ground), wide, terms) for ground in (FENCED - box(99, 14, 100, 15), FENCED)
    )
    sown_m = [sorted(leg.length_m for leg in got.legs if leg.sown) for got in (small, plain)]
    assert sown_m[0] == pytest.approx(sown_m[1], abs=CENTIMETER)


def test_ground_beside_trees_that_no_round_goes_round_is_missed_and_counted(
    wide: Rig, working: WorkingTerms
) -> None:
    """Rows of trees, no headland: what stays unsown about them is all that a tree's strips lack."""
    trees = [Point(x, y).buffer(2.5) for x in (60, 100, 140) for y in (40, 70)]
    ground = polygons_of(box(0, 0, 200, 120) - shapely.union_all(trees))
    got = _covered(ground, wide, replace(working, headland_rounds=0, max_blocks=1))
    sown = np.array([leg.line for leg in got.legs if leg.sown], dtype=object)
    assert _nearest_m(sown, ground) > wide.width_m / 2 - 0.5 - 0.05
    around = shapely.union_all([tree.buffer(12.0) for tree in trees])
    unsown = shapely.difference(ground, shapely.union_all(got.sowings[0].swaths().grounds))
    assert shapely.intersection(unsown, around).area > 6 * wide.width_m**2 / 2
    assert got.audit.missed_m2 == pytest.approx(unsown.area, rel=1e-3)
