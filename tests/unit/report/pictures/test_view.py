"""How a field lies on the paper: all of it in the window, as large as a turn makes it, long corridors in strips."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from fieldplan.model.plan import Plan
from fieldplan.report.pictures.labels import Box, Room, text_box
from fieldplan.report.pictures.thinned import thinned
from fieldplan.report.pictures.view import SCALES, views_of

WIDTH, HEIGHT = 170.0, 120.0


def _rectangle(long_m: float, wide_m: float, degrees: float) -> shapely.Polygon:
    turned: shapely.Polygon = affinity.rotate(shapely.box(0, 0, long_m, wide_m), degrees)
    return turned


@given(st.floats(50, 900), st.floats(50, 900), st.floats(0, 180))
def test_a_field_lies_whole_in_the_window_to_a_round_scale(
    long_m: float, wide_m: float, degrees: float
) -> None:
    """Whatever its size and bearing; lengths on paper are those on the ground over the scale."""
    ground = _rectangle(long_m, wide_m, degrees)
    (view,) = views_of([ground], WIDTH, HEIGHT, strips=False)
    drawn = view.drawn(ground)
    west, north, east, south = drawn.bounds
    assert min(west, north) >= -1e-6
    assert (east <= WIDTH + 1e-6, south <= HEIGHT + 1e-6) == (True, True)
    assert round(view.scale) in SCALES
    assert drawn.length == pytest.approx(ground.length * 1000 / view.scale)


def test_a_field_is_turned_where_that_draws_it_larger() -> None:
    """A rectangle of 400 by 100 m on its diagonal lies level; a square as it is keeps north up."""
    (view,) = views_of([_rectangle(400, 100, 40)], WIDTH, HEIGHT, strips=False, round_scale=False)
    assert abs(math.degrees(view.turn_rad)) == pytest.approx(40, abs=0.01)
    assert view.k == pytest.approx(WIDTH / 400)
    (view,) = views_of([_rectangle(300, 300, 0)], WIDTH, HEIGHT, round_scale=False)
    assert view.turn_rad == 0.0


def test_a_long_corridor_is_cut_into_strips_that_show_all_of_it() -> None:
    """2,000 by 20 m: several times as large as in one piece; every point of it is in some strip, none off the paper."""
    corridor = _rectangle(2000, 20, 65)
    (whole,) = views_of([corridor], WIDTH, HEIGHT, strips=False)
    views = views_of([corridor], WIDTH, HEIGHT)
    assert len(views) >= 3
    assert views[0].k > 2.5 * whole.k
    line = shapely.LineString(shapely.get_coordinates(corridor)[:2])
    for along in np.linspace(0, 1, 101):
        point = line.interpolate(along, normalized=True)
        assert any(view.shows(view.at(point)) for view in views)
    assert max(view.top + view.height for view in views) <= HEIGHT + 1e-6


def test_a_label_is_placed_once_and_on_the_paper() -> None:
    """Not on another, nor over the edge."""
    room = Room(Box(0, 0, 50, 20))
    box = text_box(20, 10, "stop 1", 3)
    assert room.take_if_free([box])
    assert not room.take_if_free([text_box(22, 11, "stop 2", 3)])
    assert not room.take_if_free([text_box(49, 10, "stop 3", 3)])
    assert room.take_if_free([text_box(20, 16, "stop 4", 3)])


def test_lines_keep_apart_where_every_nth_is_drawn(ponds: Plan) -> None:
    """At 0.4 mm a pass and 1.2 mm apart: one in three, side by side, and no turn; at 2 mm all."""
    field = max(ponds.fields, key=lambda one: one.totals.passes)
    assert thinned(field, 2.0, 1.2).every == 1
    thin = thinned(field, 0.4, 1.2)
    assert thin.every == 3
    legs = [timed.leg for timed in field.time.legs]
    kept = [leg for leg, drawn in zip(legs, thin.drawn, strict=True) if drawn]
    assert {leg.kind for leg in kept if leg.shape != "outside"} <= {"pass", "headland"}
    passes = [leg.line for leg in kept if leg.kind == "pass"]
    assert (
        0.2 * field.totals.passes
        < len({leg.number for leg in kept if leg.kind == "pass"})
        < 0.5 * field.totals.passes
    )
    middles = [line.interpolate(0.5, normalized=True) for line in passes]
    for i, middle in enumerate(middles):
        near = [middle.distance(line) for k, line in enumerate(passes) if k != i]
        assert min(near) > 1.9 * field.coverage.drill_width_m or len(field.coverage.sowings[0].blocks) > 1
