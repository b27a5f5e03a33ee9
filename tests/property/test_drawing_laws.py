"""What holds of every outline that is drawn, split, joined, snapped to and moved about."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.errors import InputError
from fieldplan.plane.frame import Frame
from fieldplan.web.cutting import joined, split
from fieldplan.web.drawing import (
    Place,
    Vertex,
    drawn_area_m2,
    rings_of,
    snapped,
    with_hole,
    with_vertex_moved,
)

FRAME = Frame(-95.7, 44.2)
FEW = settings(max_examples=40, deadline=None)


@st.composite
def outlines(draw: st.DrawFn) -> Polygon:
    """Star-shaped ground of 3 to 12 corners, 150 to 500 m from its middle, in longitude and latitude."""
    n = draw(st.integers(3, 12))
    radii = draw(st.lists(st.floats(150.0, 500.0), min_size=n, max_size=n))
    turn = draw(st.floats(0.0, math.tau))
    corners = [
        (r * math.cos(turn + math.tau * k / n), r * math.sin(turn + math.tau * k / n))
        for k, r in enumerate(radii)
    ]
    return FRAME.to_lonlat(Polygon(corners))


@st.composite
def crossings(draw: st.DrawFn) -> list[Place]:
    """A line across everything near the middle, with a bend in it or not."""
    angle, offset = draw(st.floats(0.0, math.pi)), draw(st.floats(-100.0, 100.0))
    bend = draw(st.floats(-60.0, 60.0))
    along, across = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))

    def at(t: float, s: float) -> Place:
        x, y = along[0] * t + across[0] * s, along[1] * t + across[1] * s
        return FRAME.point_to_lonlat(x, y)

    return [at(-900.0, offset), at(0.0, offset + bend), at(900.0, offset)]


@given(outlines(), crossings())
@FEW
def test_split_then_join_gives_back_the_outline(ground: Polygon, line: list[Place]) -> None:
    """Pieces add up to the field, do not overlap, and joined again have its corners and its acres."""
    try:
        pieces = split(MultiPolygon([ground]), line)
    except InputError:
        assume(False)
        raise
    area_m2 = geodesic_area_m2(ground)
    assert sum(map(geodesic_area_m2, pieces)) == pytest.approx(area_m2, rel=1e-7, abs=0.01)
    shared = shapely.intersection_all(pieces) if len(pieces) == 2 else shapely.Point()
    assert geodesic_area_m2(shared) <= 1e-3
    whole = joined(pieces)
    assert len(whole.geoms) == 1
    assert geodesic_area_m2(whole) == pytest.approx(area_m2, rel=1e-9, abs=0.01)
    assert _meters(whole.boundary, ground.boundary) < 0.005
    assert len(rings_of(whole)[0]) <= len(rings_of(ground)[0])


@given(outlines(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
@FEW
def test_a_line_between_places_on_the_edge_splits(ground: Polygon, begin: float, end: float) -> None:
    """Ends that were drawn to the edge lie on it only to within rounding, and still cut right through."""
    edge = ground.exterior
    a, b = (edge.interpolate(share, normalized=True) for share in (begin, end))
    line = shapely.LineString([a, b])
    assume(line.length > 1e-4)
    assume(ground.buffer(-1e-6).intersection(line).length > 0.9 * line.length)
    between = substring(line, 0.05, 0.95, normalized=True)
    assume(
        between.distance(edge) > 1e-6
    )  # it meets the edge at its ends alone, not at a corner that points inward
    ends = [snapped((p.x, p.y), 1.0, [ground]).place for p in (a, b)]
    pieces = split(MultiPolygon([ground]), ends)
    assert len(pieces) == 2
    assert sum(map(geodesic_area_m2, pieces)) == pytest.approx(geodesic_area_m2(ground), rel=1e-6, abs=0.1)


@given(outlines(), crossings(), st.floats(0.1, 0.5))
@FEW
def test_holes_stay_inside(ground: Polygon, line: list[Place], share: float) -> None:
    """A hole is in no piece, and what is cut off by it is gone from the acres, however the field is split."""
    middle = ground.centroid
    hole = shapely.affinity.scale(ground, share, share, origin=middle)
    assume(ground.contains(hole))
    holed = with_hole(MultiPolygon([ground]), hole)
    assert geodesic_area_m2(holed) == pytest.approx(
        geodesic_area_m2(ground) - geodesic_area_m2(hole), abs=0.01
    )
    try:
        pieces = split(holed, line)
    except InputError:
        return
    for piece in pieces:
        assert piece.is_valid
        flat = FRAME.to_plane(piece)  # where edges are straight on the ground
        assert flat.intersection(FRAME.to_plane(hole)).area <= 0.01
        assert flat.difference(FRAME.to_plane(ground)).area <= 0.01


@given(outlines())
@FEW
def test_acres_of_what_is_drawn(ground: Polygon) -> None:
    """Corner after corner, the acres said are those that the boundary is measured with."""
    assert drawn_area_m2(rings_of(ground)[0]) == geodesic_area_m2(ground)


@given(outlines(), st.integers(0, 11), st.floats(-400.0, 400.0), st.floats(-400.0, 400.0))
@FEW
def test_a_moved_vertex_comes_back(ground: Polygon, number: int, east: float, north: float) -> None:
    """Moved away and back, the outline is what it was; meanwhile all others stood still."""
    (ring,) = rings_of(ground)
    at = Vertex(ring=0, number=number % len(ring))
    away = FRAME.point_to_lonlat(east, north)
    there = with_vertex_moved(ground, at, away)
    assert [p for k, p in enumerate(rings_of(there)[0]) if k != at.number] == [
        p for k, p in enumerate(ring) if k != at.number
    ]
    assert with_vertex_moved(there, at, ring[at.number]).equals_exact(ground, 0.0)


@given(outlines(), st.floats(-700.0, 700.0), st.floats(-700.0, 700.0), st.floats(0.5, 200.0))
@FEW
def test_snapping_within_tolerance(ground: Polygon, east: float, north: float, reach_m: float) -> None:
    """A place is never drawn farther than the reach, is drawn onto the outline if at all, and is drawn if that is near."""
    place = FRAME.point_to_lonlat(east, north)
    found = snapped(place, reach_m, [ground])
    x, y = (shapely.get_coordinates(FRAME.to_plane(shapely.Point(p)))[0] for p in (place, found.place))
    moved_m = float(math.dist(x, y))
    edge_m = FRAME.to_plane(ground.boundary).distance(shapely.Point(x))
    assert moved_m <= reach_m * 1.000001
    if found.to:
        assert _meters(shapely.Point(found.place), ground.boundary, one_way=True) < 0.001
    else:
        assert found.place == place
        assert edge_m >= reach_m * 0.999999
    assert snapped(found.place, 0.01, [ground]).place == pytest.approx(found.place, abs=1e-9)


def _meters(one: BaseGeometry, other: BaseGeometry, *, one_way: bool = False) -> float:
    a, b = FRAME.to_plane(one), FRAME.to_plane(other)
    return float(a.distance(b) if one_way else shapely.hausdorff_distance(a, b, densify=0.1))
