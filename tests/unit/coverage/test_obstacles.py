"""Rounds about each obstacle by itself, and obstacles that passes go by."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.headland import lay_rounds
from fieldplan.coverage.obstacles import Depths, depths_for
from fieldplan.coverage.room import TOLERANCE_M
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import WorkingTerms

CENTIMETER = 0.01
TREE_M = 5.0
TWELVE_HA = box(0, 0, 400, 300)
GRID = [(40.0 + 64 * x, 40.0 + 55 * y) for x in range(6) for y in range(5)]


def _round_tree(x: float, y: float, n_corners: int) -> Polygon:
    angle = np.arange(n_corners) * 2 * math.pi / n_corners + 0.1
    return Polygon(np.column_stack([x + TREE_M / 2 * np.cos(angle), y + TREE_M / 2 * np.sin(angle)]))


TREES = {
    "squares": [box(x - TREE_M / 2, y - TREE_M / 2, x + TREE_M / 2, y + TREE_M / 2) for x, y in GRID],
    "outlines of twelve corners": [_round_tree(x, y, 12) for x, y in GRID],
    "circles": [_round_tree(x, y, 64) for x, y in GRID],
}


def _with(outline: Polygon, holes: list[Polygon]) -> MultiPolygon:
    return MultiPolygon([Polygon(outline.exterior, [hole.exterior for hole in holes])])


def _covered(ground: MultiPolygon, rig: Rig, working: WorkingTerms) -> Coverage:
    return cover(Site(field_id="f", ground=ground, rig=rig, working=working))


@pytest.fixture(scope="module")
def without_trees_s(rig: Rig, working: WorkingTerms) -> float:
    """What the field takes without a tree."""
    return route_s(_covered(MultiPolygon([TWELVE_HA]), rig, working).legs, rig)


@pytest.mark.parametrize("trees", TREES.values(), ids=TREES.keys())
def test_thirty_trees_on_twelve_hectares_cost_under_a_tenth(
    trees: list[Polygon], without_trees_s: float, rig: Rig, working: WorkingTerms
) -> None:
    """Nothing drives into one, and what is left unsown at them is counted, and no more than allowed."""
    ground = _with(TWELVE_HA, trees)
    got = _covered(ground, rig, working)
    assert route_s(got.legs, rig) < 1.1 * without_trees_s
    audit = got.audit
    closed_m2 = audit.drilled_m2 - audit.overlap_m2 - audit.outside_m2 + audit.missed_m2
    assert closed_m2 == pytest.approx(audit.plantable_m2, abs=1.0)
    assert audit.missed_m2 < 0.015 * audit.plantable_m2
    (note,) = (note for note in got.notes if note.code == "obstacles-gone-by")
    assert note.values["n_holes"] == 30
    assert 0.5 * audit.missed_m2 < note.values["left_small_m2"] < audit.missed_m2
    lines = np.array([leg.line for leg in got.legs])
    clear_m = shapely.distance(lines, shapely.union_all(trees)).min()
    assert clear_m >= rig.width_m / 2 - TOLERANCE_M - CENTIMETER


def test_small_obstacles_take_no_rounds_from_the_edge(rig: Rig) -> None:
    """As many along the edge as without them, and none about them."""
    bare = depths_for(MultiPolygon([TWELVE_HA]), rig)
    depths = depths_for(_with(TWELVE_HA, TREES["squares"]), rig)
    assert depths.n_outer == bare.n_outer == 3
    assert depths.n_around.tolist() == [0] * 30


def test_a_large_obstacle_near_the_edge_has_the_rounds_of_the_edge(rig: Rig) -> None:
    """They would be driven over it otherwise."""
    depths = depths_for(_with(TWELVE_HA, [box(6, 100, 26, 120), box(200, 100, 205, 105)]), rig)
    assert depths.n_around.tolist() == [3, 0]


def test_rounds_along_the_edge_go_by_a_tree_at_the_fence(rig: Rig, working: WorkingTerms) -> None:
    """A tree of 5 m, 7 m from the fence: of three rounds with four segments the third one runs into it."""
    tree = box(200, 7, 205, 12)
    got = _covered(_with(TWELVE_HA, [tree]), rig, working)
    lines = np.array([leg.line for leg in got.legs])
    assert shapely.distance(lines, tree).min() >= rig.width_m / 2 - TOLERANCE_M - CENTIMETER
    assert not [leg for leg in got.legs if leg.shape == "outside"]
    assert sum(leg.kind == "headland" for leg in got.legs) == 3 * 4 + 1


def test_the_ground_inside_rounds_of_different_numbers_is_what_none_of_them_covers() -> None:
    """Three of 5 m along the edge of 200 m by 100 m, one about a hole of 20 m: 170 m by 70 m less 30 m by 30 m."""
    ground = _with(box(0, 0, 200, 100), [box(90, 40, 110, 60)])
    depths = replace(Depths.alike(ground, 3), n_around=np.array([1]))
    inner = depths.inner(5.0)
    assert inner.area == pytest.approx(170 * 70 - 30 * 30)
    assert [len(part.interiors) for each in depths.grounds() for part in each.geoms] == [1, 0, 0]


def test_the_way_round_a_tree_is_two_arcs_aside_and_two_back(rig: Rig, working: WorkingTerms) -> None:
    """A shift by H takes two arcs of R·arccos(1 − H/2R) over √(H·(4R − H)); what is longer is straight."""
    terms = replace(working, headland_rounds=None, heading_deg=90.0)
    got = _covered(_with(TWELVE_HA, [Point(200, 150).buffer(TREE_M / 2)]), rig, terms)
    gone_by = [leg for leg in got.legs if leg.kind == "transfer" and leg.block]
    assert gone_by
    for leg in gone_by:
        (x0, y0), (x1, y1) = leg.line.coords[0], leg.line.coords[-1]
        assert y0 == pytest.approx(y1, abs=CENTIMETER)
        shift_m = max(abs(y - y0) for _, y in leg.line.coords)
        arcs_m = 4 * rig.radius_m * math.acos(1 - shift_m / (2 * rig.radius_m))
        ramps_m = 2 * math.sqrt(shift_m * (4 * rig.radius_m - shift_m))
        level_m = abs(x1 - x0) + leg.reverse_m - ramps_m
        assert leg.length_m - leg.reverse_m == pytest.approx(arcs_m + level_m, abs=0.02)


def test_a_rig_that_never_backs_is_lifted_early_at_every_tree(rig: Rig, working: WorkingTerms) -> None:
    """The ways round all lead forward, and inside."""
    ahead = replace(rig, reverse="never")
    got = _covered(_with(TWELVE_HA, TREES["circles"][:6]), ahead, working)
    gone_by = [leg for leg in got.legs if leg.kind == "transfer" and leg.block]
    assert len(gone_by) >= 6
    assert all(leg.reverse_m == 0 and leg.shape != "outside" for leg in gone_by)


def test_a_round_about_an_outline_of_twelve_corners_has_no_corner(rig: Rig) -> None:
    """Each is a bend of 30°, which the openers follow."""
    field = _with(TWELVE_HA, [Point(200, 150).buffer(20, quad_segs=3)])
    along_edge, about = lay_rounds([field], rig.width_m, 30.0, rig.sowing_radius_m)
    assert (len(along_edge.segments), len(about.segments)) == (4, 1)
