"""Edits of drawn ground on fields small enough to check on paper, and places against other libraries."""

from __future__ import annotations

import pytest
import shapely
from boundary_builders import POND, SIDE_LAT, SIDE_LON, SOUTH, SQUARE, WEST, moved
from geographiclib.geodesic import Geodesic
from shapely import LineString, MultiPolygon, Point, Polygon

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.errors import FieldplanError, InputError
from fieldplan.plane.frame import Frame
from fieldplan.web.cutting import joined, split, stretch
from fieldplan.web.draft import Draft
from fieldplan.web.drawing import (
    Vertex,
    bearing_and_distance,
    bearing_in,
    destination,
    drawn_area_m2,
    outline_of,
    rings_of,
    settled,
    snapped,
    with_hole,
    with_rings,
    with_vertex_added,
    with_vertex_moved,
    without_hole,
    without_vertex,
)
from fieldplan.web.sketch import Sketch, finished

GROUND = MultiPolygon([SQUARE])
EAST, NORTH = WEST + SIDE_LON, SOUTH + SIDE_LAT
RINGED = with_hole(GROUND, POND)


def test_rings_come_back_as_they_went() -> None:
    """Parts, holes, lines and points are rebuilt from their places, whatever they are made of."""
    two = MultiPolygon([*RINGED.geoms, moved(SQUARE, 0.02)])
    for shape in (SQUARE, RINGED, two, LineString([(0, 0), (1, 1)]), Point(1, 2), two.boundary):
        assert with_rings(shape, rings_of(shape)).equals_exact(shape, 0.0)


def test_a_vertex_is_moved_added_and_taken_away() -> None:
    """The one that is meant, in the ring that is meant, and no other."""
    at = Vertex(ring=1, number=2)
    place = (WEST + 0.0045, SOUTH + 0.003)
    before = rings_of(RINGED)
    assert rings_of(with_vertex_moved(RINGED, at, place)) == (
        before[0],
        (*before[1][:2], place, *before[1][3:]),
    )
    assert rings_of(with_vertex_added(RINGED, at, place))[1] == (*before[1][:3], place, *before[1][3:])
    assert rings_of(without_vertex(RINGED, at)) == (before[0], (*before[1][:2], *before[1][3:]))


def test_a_vertex_behind_the_last_closes_the_ring() -> None:
    """A point that is added after a ring's last lies between that and the first."""
    grown = with_vertex_added(SQUARE, Vertex(ring=0, number=3), (WEST - 0.001, SOUTH + 0.003))
    assert grown.is_valid
    assert geodesic_area_m2(grown) > geodesic_area_m2(SQUARE)


def test_what_must_not_be_taken_away() -> None:
    """An outline keeps three corners; a hole of three goes; what is not there is refused."""
    triangle = Polygon([(WEST, SOUTH), (EAST, SOUTH), (WEST, NORTH)])
    with pytest.raises(InputError) as refused:
        without_vertex(triangle, Vertex(ring=0, number=0))
    assert refused.value.problems[0].code == "drawn-too-few"
    holed = Polygon(SQUARE.exterior, [[(WEST + 0.002, SOUTH + 0.002), (WEST + 0.004, SOUTH + 0.002), (WEST + 0.003, SOUTH + 0.004)]])  # fmt: skip
    assert without_vertex(holed, Vertex(ring=1, number=1)).equals(SQUARE)
    for ring, number in ((2, 0), (0, 4), (-1, 0), (0, -1)):
        with pytest.raises(InputError):
            with_vertex_moved(holed, Vertex(ring=ring, number=number), (0.0, 0.0))


def test_a_hole_is_filled() -> None:
    """The hole that is meant, and an outline is none."""
    assert without_hole(RINGED, 1).equals(GROUND)
    with pytest.raises(InputError):
        without_hole(RINGED, 0)


def test_acres_while_drawing_are_those_of_the_boundary() -> None:
    """What is said of three points and more is what `geodesic_area_m2` gives for them; two enclose nothing."""
    corners = list(SQUARE.exterior.coords)[:-1]
    assert drawn_area_m2(corners) == geodesic_area_m2(SQUARE)
    assert drawn_area_m2(corners[:2]) == 0.0


def test_a_crossed_outline_is_asked_about() -> None:
    """A bow tie is refused as in a file: nobody but the person knows which ground is meant."""
    with pytest.raises(FieldplanError) as refused:
        outline_of([(WEST, SOUTH), (EAST, NORTH), (EAST, SOUTH), (WEST, NORTH)])
    assert refused.value.problems[0].code == "outline-invalid"
    assert settled(SQUARE) == (SQUARE, [])


def test_a_hole_lies_inside() -> None:
    """Ground and hole add up; a hole outside is refused, and so is one that leaves nothing."""
    assert geodesic_area_m2(RINGED) == pytest.approx(
        geodesic_area_m2(SQUARE) - geodesic_area_m2(POND), abs=1e-6
    )
    for hole, code in (
        (moved(POND, 1.0), "drawn-hole-outside"),
        (SQUARE.buffer(1), "drawn-hole-takes-all"),
    ):
        with pytest.raises(InputError) as refused:
            with_hole(GROUND, hole)
        assert refused.value.problems[0].code == code


@pytest.mark.parametrize(
    ("bearing", "distance"), [(0.0, 100.0), (90.0, 402.336), (233.5, 804.672), (359.9, 1e5)]
)
def test_bearing_and_distance_against_geographiclib(bearing: float, distance: float) -> None:
    """The author's own library (Karney, Algorithms for geodesics, 2013) gives the same places."""
    start = (-95.7, 44.2)
    oracle = Geodesic.WGS84.Direct(start[1], start[0], bearing, distance)
    assert destination(start, bearing, distance) == pytest.approx(
        (oracle["lon2"], oracle["lat2"]), abs=1e-11
    )
    back = bearing_and_distance(start, destination(start, bearing, distance))
    assert back == pytest.approx((bearing, distance), rel=1e-9)


@pytest.mark.parametrize(
    ("text", "bearing"),
    [("0", 0.0), ("360", 0.0), ("45.5°", 45.5), ("N 30 W", 330.0), ("S 10° 30' E", 169.5), ("361", None), ("N 95 E", None), ("N 45", None), ("", None), ("east", None)],
)  # fmt: skip
def test_bearings_as_they_are_written(text: str, bearing: float | None) -> None:
    """Degrees from true north, or a quadrant as on a survey plat (common practice, no source)."""
    assert bearing_in(text) == bearing


def test_snapping_takes_corners_before_edges() -> None:
    """Within reach a corner, else the edge, else the place stays; a corner is taken with its very numbers."""
    step = 1e-5  # about 0.8 m east and 1.1 m north
    corner = snapped((WEST + step, SOUTH + step), 3.0, [GROUND])
    assert (corner.to, corner.place) == ("corner", (WEST, SOUTH))
    edge = snapped((WEST + SIDE_LON / 2, SOUTH + step), 3.0, [GROUND])
    assert edge.to == "edge"
    assert edge.place == pytest.approx((WEST + SIDE_LON / 2, SOUTH), abs=2e-7)
    away = (WEST + SIDE_LON / 2, SOUTH + 5 * step)
    assert snapped(away, 3.0, [GROUND]).place == away
    assert snapped(away, 3.0, []).to == ""


def test_a_split_that_does_not_cross_is_refused() -> None:
    """A line that ends inside, or runs past, leaves the field as it is."""
    for line in (
        [(WEST - 0.001, SOUTH + 0.003), (WEST + 0.005, SOUTH + 0.003)],
        [(WEST, NORTH + 0.01), (EAST, NORTH + 0.01)],
    ):
        with pytest.raises(InputError) as refused:
            split(GROUND, line)
        assert refused.value.problems[0].code == "drawn-split-misses"


def test_a_split_through_a_pond() -> None:
    """Each half has its part of the bank, and no pond is left in either."""
    pieces = split(RINGED, [(WEST - 0.001, SOUTH + 0.003), (EAST + 0.001, SOUTH + 0.003)])
    assert len(pieces) == 2
    assert sum(map(geodesic_area_m2, pieces)) == pytest.approx(geodesic_area_m2(RINGED), rel=1e-7)
    assert all(not piece.geoms[0].interiors for piece in pieces)
    assert all(not piece.contains(POND.centroid) for piece in pieces)


def test_a_part_that_is_not_reached_stays_with_the_largest_piece() -> None:
    """A field of two parts, one of them cut: the other goes on with the largest piece."""
    two = MultiPolygon([SQUARE, moved(SQUARE, 0.02)])
    pieces = split(two, [(WEST - 0.001, SOUTH + 0.001), (EAST + 0.001, SOUTH + 0.001)])
    assert [len(piece.geoms) for piece in pieces] == [2, 1]


def test_fields_apart_are_not_joined() -> None:
    """The gap is told in meters, as the geodesic across it measures."""
    with pytest.raises(InputError) as refused:
        joined([SQUARE, moved(SQUARE, SIDE_LON + 0.001)])
    problem = refused.value.problems[0]
    assert problem.code == "drawn-join-apart"
    _, gap_m = bearing_and_distance((EAST, SOUTH), (EAST + 0.001, SOUTH))
    assert problem.values["gap_m"] == pytest.approx(gap_m, rel=1e-3)


def test_three_fields_in_a_row_are_joined() -> None:
    """The first and the last touch only through the middle one, whose corners go."""
    frame = Frame(-95.7, 44.2)
    row = [frame.to_lonlat(shapely.box(x, 0.0, x + 300.0, 200.0)) for x in (0.0, 600.0, 300.0)]
    whole = joined(row)
    assert len(whole.geoms) == 1
    assert len(rings_of(whole)[0]) == 4
    assert geodesic_area_m2(whole) == pytest.approx(sum(map(geodesic_area_m2, row)), rel=1e-9)


def test_a_corner_that_bends_the_edge_stays_when_fields_are_joined() -> None:
    """Two sides along a parallel bend where they meet: the corner lies off the geodesic, and the acres need it."""
    whole = joined([SQUARE, moved(SQUARE, SIDE_LON)])
    assert len(rings_of(whole)[0]) == 6
    assert geodesic_area_m2(whole) == pytest.approx(2 * geodesic_area_m2(SQUARE), rel=1e-9)


@pytest.mark.parametrize(("other_way", "n_sides"), [(False, 1), (True, 3)])
def test_a_stretch_of_the_edge(other_way: bool, n_sides: int) -> None:
    """Between two corners of one side, that side, or else the three others."""
    line = stretch(GROUND, (WEST, SOUTH), (EAST, SOUTH), other_way=other_way)
    assert len(line.coords) == n_sides + 1
    assert shapely.hausdorff_distance(line, line.intersection(SQUARE.boundary.buffer(1e-7))) < 1e-6


def test_a_stretch_off_the_edge_is_refused() -> None:
    """Its ends lie in the middle of the field."""
    with pytest.raises(InputError) as refused:
        stretch(GROUND, (WEST + 0.005, SOUTH + 0.003), (WEST + 0.006, SOUTH + 0.003))
    assert refused.value.problems[0].code == "drawn-edge-elsewhere"


def test_the_same_point_twice_counts_once() -> None:
    """A double click puts one corner, and two corners are no field."""
    sketch = (
        Sketch(tool="field").with_point((WEST, SOUTH)).with_point((WEST, SOUTH)).with_point((EAST, SOUTH))
    )
    assert len(sketch.points) == 2
    with pytest.raises(InputError):
        finished(Draft(), sketch)
