"""Rounds of the headland on shapes that one can check on paper."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from bends import swept_deg
from shapely import LineString, MultiPolygon, Polygon, box

from fieldplan.coverage.headland import lay_rounds, turns_deg
from fieldplan.model.coverage import HeadlandRound

SOWN_M, FOLLOWED_DEG, WIDTH_M = 12.0, 30.0, 3.0
HUNDREDTH = 0.01


def test_each_round_of_a_rectangle_is_as_long_as_the_ring_between_its_offsets() -> None:
    """100 m by 60 m, 5 m wide: 2·(95 + 55) and 2·(85 + 45), four segments each, outermost first."""
    rounds = lay_rounds([MultiPolygon([box(0, 0, 100, 60)])] * 2, 5.0, 30.0, 12.0)
    found = [(ring.round, ring.obstacle, len(ring.segments)) for ring in rounds]
    assert found == [(1, False, 4), (2, False, 4)]
    assert [ring.segments.length_m for ring in rounds] == pytest.approx([300, 260])


def test_headland_goes_round_holes() -> None:
    """A hole of 20 m by 10 m: the round about it runs half a width off, with mitered corners."""
    ground = MultiPolygon([box(0, 0, 200, 200).difference(box(90, 95, 110, 105))])
    rounds = lay_rounds([ground], 4.0, 30.0, 12.0)
    (around,) = [headland_round for headland_round in rounds if headland_round.obstacle]
    assert around.segments.length_m == pytest.approx(2 * (24 + 14))


def test_rounds_that_do_not_fit_are_not_there() -> None:
    """Of 12 m two rounds of 5 m leave nothing: their middles are 2.5 m and 7.5 m in."""
    rounds = lay_rounds([MultiPolygon([box(0, 0, 100, 12)])] * 2, 5.0, 30.0, 12.0)
    assert [headland_round.round for headland_round in rounds] == [1]


def test_turns_are_positive_to_the_left() -> None:
    """East then north is a quarter turn left, east then south one to the right."""
    east, north = np.array([[1.0, 0.0]]), np.array([[0.0, 1.0]])
    assert turns_deg(east, north).tolist() == [90]
    assert turns_deg(east, -north).tolist() == [-90]


def _about(n_corners: int, radius_m: float) -> HeadlandRound:
    """The round about an even hole, whose middle runs at a radius."""
    turn = np.linspace(0, 2 * np.pi, n_corners, endpoint=False)
    corner_m = radius_m - WIDTH_M / 2 / np.cos(np.pi / n_corners)
    hole = Polygon(corner_m * np.column_stack([np.cos(turn), np.sin(turn)]))
    rounds = lay_rounds(
        [MultiPolygon([box(-80, -80, 80, 80).difference(hole)])], WIDTH_M, FOLLOWED_DEG, SOWN_M
    )
    (about,) = [one for one in rounds if one.obstacle]
    return about


@pytest.mark.parametrize("n_corners", [12, 24, 48])
@pytest.mark.parametrize("share", [0.3, 0.5, 0.7, 0.85])
def test_a_round_of_small_bends_has_corners_where_openers_do_not_follow_it(
    n_corners: int, share: float
) -> None:
    """However many bends make up a circle of a part of the sowing radius: over no stretch of a segment they are more than
    30° besides the stretch's length over that radius.
    """
    about = _about(n_corners, share * SOWN_M)
    assert len(about.segments) > 1
    assert max(swept_deg(line, SOWN_M) for line in about.segments.lines) <= FOLLOWED_DEG + HUNDREDTH


@pytest.mark.parametrize("n_corners", [12, 24, 48])
@pytest.mark.parametrize("share", [1.05, 1.3, 2.0])
def test_a_wider_round_of_small_bends_is_one_line(n_corners: int, share: float) -> None:
    """The middle runs no tighter than the sowing radius."""
    about = _about(n_corners, share * SOWN_M)
    assert len(about.segments) == 1
    assert shapely.is_closed(about.segments.lines).all()


def test_where_an_outline_begins_makes_no_difference_to_whether_its_round_bends_too_tightly() -> None:
    """A ground with two round ends of 5 m and no other corner, its first point anywhere on one of them."""
    field = LineString([(0, 0), (60, 0)]).buffer(5.0, quad_segs=9)
    outline = shapely.get_coordinates(field)[:-1]
    for first in range(0, 20):
        ground = MultiPolygon([Polygon(np.roll(outline, first, axis=0))])
        (edge,) = lay_rounds([ground], WIDTH_M, FOLLOWED_DEG, SOWN_M)
        assert max(swept_deg(line, SOWN_M) for line in edge.segments.lines) <= FOLLOWED_DEG + HUNDREDTH


def test_how_far_a_line_bends_besides_an_arc() -> None:
    """Twelve bends of 10° in steps of 1 m are 120° on 11 m, of which an arc of 12 m takes 11/12 rad."""
    turn = np.radians(np.r_[0.0, np.arange(0, 121, 10), 120.0])
    line = LineString(np.cumsum(np.column_stack([np.cos(turn), np.sin(turn)]), axis=0))
    assert swept_deg(line, 12.0) == pytest.approx(120 - np.degrees(11 / 12))
