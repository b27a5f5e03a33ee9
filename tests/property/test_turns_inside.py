"""Laws of turns and transfers: the drill stays inside fences, and no more time is taken than must be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, affinity
from strategies import notched_fields, slowly, star_fields

from fieldplan.coverage.cover import cover
from fieldplan.coverage.poses import poses
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage, Leg
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.paths import shortest_paths

CENTIMETER = 0.01
MAY_BE_NEARER_M = 0.5
"""So near to its end the drill may come to a fence."""
SLOWLY = settings(slowly(8), phases=(Phase.explicit, Phase.generate))
"""Fields that break a law are shown as they were drawn: making them smaller would take minutes."""
FIELDS = st.one_of(star_fields(), notched_fields())


def _covered(field: MultiPolygon, rig: Rig, working: WorkingTerms) -> Coverage:
    return cover(Site(field_id="f", ground=field, rig=rig, working=working))


def _time_s(field: MultiPolygon, rig: Rig, working: WorkingTerms) -> float:
    return route_s(_covered(field, rig, working).legs, rig)


def _inside(got: Coverage) -> list[Leg]:
    """Turns and transfers that the plan does not call outside."""
    return [leg for leg in got.legs if leg.kind in ("turn", "transfer") and leg.shape != "outside"]


@SLOWLY
@given(field=FIELDS)
def test_the_drill_keeps_its_half_width_from_every_fence(
    field: MultiPolygon, rig: Rig, working: WorkingTerms
) -> None:
    """In turns and transfers, to half a meter, but near the gate."""
    got = _covered(field, rig, working)
    lines = [leg.line for leg in _inside(got)]
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(lines, 0.25)))
    points = points[shapely.distance(points, got.gate) > 2 * rig.width_m]
    assert shapely.contains(field, points).all()
    with np.errstate(divide="ignore"):  # raised inside the geometry library, whose answer is right
        nearest_m = shapely.distance(points, field.boundary).min()
    assert nearest_m >= rig.width_m / 2 - MAY_BE_NEARER_M - CENTIMETER


@st.composite
def _fields_with_trees(draw: st.DrawFn) -> MultiPolygon:
    """Notched and star-shaped fields with one to three trees."""
    ground: shapely.Geometry = draw(FIELDS)
    west, south, east, north = ground.bounds
    for _ in range(draw(st.integers(1, 3))):
        x, y = draw(st.floats(west, east)), draw(st.floats(south, north))
        ground = ground.difference(shapely.Point(x, y).buffer(draw(st.floats(1.0, 4.0)), quad_segs=3))
    return MultiPolygon([max(shapely.get_parts(ground), key=lambda part: part.area)])


@SLOWLY
@given(field=_fields_with_trees(), width_m=st.sampled_from([3.0, 6.0]))
def test_without_headland_no_leg_leaves_the_field_unless_it_says_so(
    field: MultiPolygon, width_m: float, rig: Rig, working: WorkingTerms
) -> None:
    """Sown or lifted, between fences and trees: but near the gate, and where small obstacles are driven over."""
    wide, terms = (
        replace(rig, width_m=width_m),
        replace(working, headland_rounds=0, smallest_obstacle_m2=0.0),
    )
    got = _covered(field, wide, terms)
    legs = [leg for leg in got.legs if leg.shape != "outside"]
    places, of = shapely.get_coordinates(
        shapely.segmentize([leg.line for leg in legs], 0.25), return_index=True
    )
    places = shapely.points(places)
    at_gate = ~np.array([leg.sown or leg.kind == "turn" for leg in legs])[of]
    places = places[~at_gate | (shapely.distance(places, got.gate) > 2 * width_m)]
    assert shapely.contains(field, places).all()
    with np.errstate(divide="ignore"):  # raised inside the geometry library, whose answer is right
        nearest_m = shapely.distance(places, field.boundary).min()
    assert nearest_m >= width_m / 2 - MAY_BE_NEARER_M - 5 * CENTIMETER


@SLOWLY
@given(field=FIELDS, turn=st.floats(1, 179), move=st.floats(-500, 500), mirrored=st.booleans())
def test_a_field_takes_the_same_time_wherever_it_lies(
    field: MultiPolygon,
    turn: float,
    move: float,
    mirrored: bool,
    rig: Rig,
    working: WorkingTerms,
) -> None:
    """Moved, turned and mirrored."""
    there = affinity.translate(affinity.rotate(field, turn, origin=(0, 0)), move, -move)
    if mirrored:
        there = shapely.orient_polygons(affinity.scale(there, -1, 1, origin=(0, 0)))
    assert _time_s(there, rig, working) == pytest.approx(_time_s(field, rig, working), rel=0.005)


@SLOWLY
@given(field=FIELDS, n_rounds=st.integers(2, 5))
def test_backing_freely_takes_no_longer_than_backing_where_needed(
    field: MultiPolygon, n_rounds: int, rig: Rig, working: WorkingTerms
) -> None:
    """By the whole route, within half a percent."""
    terms = replace(working, headland_rounds=n_rounds, max_blocks=1)
    needed, free = (
        _time_s(field, replace(rig, reverse=reverse), terms) for reverse in ("where needed", "free")
    )
    assert needed >= 0.995 * free


@SLOWLY
@given(field=FIELDS, n_rounds=st.integers(1, 3))
def test_no_leg_forward_is_shorter_than_arcs_allow(
    field: MultiPolygon, n_rounds: int, rig: Rig, working: WorkingTerms
) -> None:
    """Each turn that is called drivable, without backing, is at least as long as the shortest path of bounded curvature between the lines
    that it joins.
    """
    never = replace(rig, reverse="never")
    legs = _covered(field, never, replace(working, headland_rounds=n_rounds, max_blocks=1)).legs
    for before, leg, after in zip(legs, legs[1:], legs[2:], strict=False):
        if leg.kind == "turn" and leg.shape not in ("tight", "outside") and before.sown and after.sown:
            (enter, _), (_, leave) = poses(np.array([after.line])), poses(np.array([before.line]))
            shortest_m = shortest_paths(leave, enter, rig.radius_m).length_m[0]
            assert leg.length_m >= shortest_m - CENTIMETER


@SLOWLY
@given(field=FIELDS, radius_m=st.floats(3.0, 12.0))
def test_turns_are_drawn_to_a_centimeter(
    field: MultiPolygon, radius_m: float, rig: Rig, working: WorkingTerms
) -> None:
    """No step longer than a meter, chords within a centimeter of their arcs, and lines as long as their legs to a
    thousandth.
    """
    terms = replace(working, headland_rounds=3, max_blocks=1)
    got = _covered(field, replace(rig, radius_m=radius_m), terms)
    turns = [leg for leg in _inside(got) if leg.kind == "turn"]
    for leg in turns:
        steps_m = np.hypot(*np.diff(shapely.get_coordinates(leg.line), axis=0).T)
        assert steps_m.max() <= 1.0
        if leg.shape in ("U", "bulb", "loop"):
            assert steps_m.max() ** 2 / (8 * radius_m) <= CENTIMETER
        assert leg.line.length == pytest.approx(leg.length_m, rel=1e-3)
