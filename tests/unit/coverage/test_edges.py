"""Open and hard stretches of the edge of a field, on squares that can be checked on paper."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from shapely import LineString, MultiLineString, MultiPolygon, Polygon, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.edges import EdgeTerms, edges_of, room_m
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import WorkingTerms

SQUARE = MultiPolygon([box(0, 0, 200, 200)])


def _opened(terms: EdgeTerms, rig: Rig, ground: MultiPolygon = SQUARE) -> MultiPolygon:
    return edges_of(ground, terms, 0.0).fenced(ground, ground, [], rig)


def test_room_lies_outside_open_sides_only_and_ends_square(rig: Rig) -> None:
    """A band of 4R + 2w as long as the north side."""
    opened = _opened(EdgeTerms(open_sides=("north",)), rig)
    assert opened.bounds == pytest.approx((0, 0, 200, 200 + room_m(rig)), abs=0.03)
    assert opened.area == pytest.approx(200 * (200 + room_m(rig)), rel=1e-3)


def test_an_edge_that_is_open_all_round_has_room_around_its_corners(rig: Rig) -> None:
    """The square grown by the room on all sides; a pond stays hard."""
    pond = shapely.Point(100, 100).buffer(20)
    ground = MultiPolygon([SQUARE.geoms[0].difference(pond)])
    opened = _opened(EdgeTerms(edge="open"), rig, ground)
    assert opened.area == pytest.approx((200 + 2 * room_m(rig)) ** 2 - pond.area, rel=1e-4)


def test_jags_of_an_edge_do_not_change_its_side() -> None:
    """A north edge of teeth of 2 m, steeper than 45°, is north all along: 200 · √5 m."""
    teeth = [(x, 200 + 2 * (x % 2)) for x in range(200, -1, -1)]
    jagged = MultiPolygon([Polygon([(0, 0), (200, 0), *teeth])])
    edges = edges_of(jagged, EdgeTerms(open_sides=("north",)), 0.0)
    west, south, east, _ = edges.open.bounds
    assert (west, east) == pytest.approx((0, 200), abs=2.1)
    assert south >= 199
    assert (len(edges.open.geoms), edges.open.length) == (1, pytest.approx(200 * 5**0.5, abs=5))


def test_sides_are_those_of_true_north() -> None:
    """Where grid north points 60° east of true north, the edge to grid north-west faces true north."""
    turned = MultiPolygon([shapely.affinity.rotate(SQUARE.geoms[0], 60)])
    edges = edges_of(turned, EdgeTerms(open_sides=("north",)), 60.0)
    assert edges.open.length == pytest.approx(200)
    assert edges.open.centroid.x < turned.centroid.x


def test_lines_open_and_close_the_stretches_that_they_run_along() -> None:
    """Half of the north edge open on a fenced field, half of it fenced on an open one; an edge that only
    starts beside a line is not meant.
    """
    half = MultiLineString([LineString([(0, 201), (100, 199)])])
    opened = edges_of(SQUARE, EdgeTerms(open_lines=half), 0.0)
    closed = edges_of(SQUARE, EdgeTerms(edge="open", fenced_lines=half), 0.0)
    assert opened.open.length == pytest.approx(100, abs=5)
    assert closed.hard.length == pytest.approx(100, abs=5)
    assert opened.open.bounds[1] == closed.hard.bounds[1] == 200


def test_room_never_covers_the_ground_behind_a_fence(rig: Rig) -> None:
    """A notch open on its west side: the room beyond it stops at the fenced side across."""
    notched = MultiPolygon([SQUARE.geoms[0].difference(box(90, 100, 110, 201))])
    opened = _opened(EdgeTerms(open_sides=("east",)), rig, notched)
    across = LineString([(85, 150), (115, 150)])
    assert across.difference(opened).length == pytest.approx(0.02, abs=0.011)


def test_ground_crossed_lifted_joins_what_it_parts(rig: Rig) -> None:
    """A waterway from edge to edge."""
    waterway = MultiPolygon([box(0, 90, 200, 100)])
    plantable = MultiPolygon([box(0, 0, 200, 90), box(0, 100, 200, 200)])
    fenced = edges_of(SQUARE, EdgeTerms(), 0.0).fenced(SQUARE, plantable, [waterway], rig)
    assert len(fenced.geoms) == 1
    assert fenced.equals_exact(SQUARE.normalize(), 0.02) or fenced.symmetric_difference(SQUARE).area < 1e-6


def test_turns_swing_out_over_the_open_side_and_no_other(rig: Rig, working: WorkingTerms) -> None:
    """Passes north and south on one headland round: only in the north do turns leave the square, and
    between passes none backs there.
    """
    terms = replace(working, headland_rounds=1, heading_deg=0.0)
    opened = _opened(EdgeTerms(open_sides=("north",)), rig)
    site = Site(field_id="f", ground=SQUARE, rig=rig, working=terms)
    fenced, free = cover(site), cover(replace(site, fenced=opened))
    assert max(leg.line.bounds[3] for leg in fenced.legs) <= 200
    assert max(leg.line.bounds[3] for leg in free.legs) > 203
    west, south, east, _ = shapely.total_bounds([leg.line for leg in free.legs])
    assert (west, south) >= (0, -0.01)
    assert east <= 200.01
    in_the_north = [
        leg for leg in free.legs if leg.block and leg.kind == "turn" and leg.line.bounds[1] > 150
    ]
    assert len(in_the_north) > 20
    assert not [leg for leg in in_the_north if leg.shape == "backing"]
    assert _backing(free) < _backing(fenced) / 1.5


def _backing(coverage: Coverage) -> int:
    return sum(leg.shape == "backing" for leg in coverage.legs if leg.kind == "turn")


def test_an_edge_that_is_hard_all_round_is_hard_along_every_part_and_no_hole() -> None:
    """Two squares, one with a pond: 800 m and 80 m."""
    pond = SQUARE.geoms[0].difference(box(50, 50, 70, 70))
    edges = edges_of(MultiPolygon([pond, box(300, 0, 320, 20)]), EdgeTerms(), 0.0)
    assert edges.open.is_empty
    assert sorted(line.length for line in edges.hard.geoms) == pytest.approx([80, 800])
