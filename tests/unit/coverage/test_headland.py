"""Rounds of the headland on shapes that one can check on paper."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import MultiPolygon, box

from fieldplan.coverage.headland import lay_rounds, turns_deg


def test_each_round_of_a_rectangle_is_as_long_as_the_ring_between_its_offsets() -> None:
    """100 m by 60 m, 5 m wide: 2·(95 + 55) and 2·(85 + 45), four segments each, outermost first."""
    rounds = lay_rounds([MultiPolygon([box(0, 0, 100, 60)])] * 2, 5.0, 30.0)
    found = [(ring.round, ring.obstacle, len(ring.segments)) for ring in rounds]
    assert found == [(1, False, 4), (2, False, 4)]
    assert [ring.segments.length_m for ring in rounds] == pytest.approx([300, 260])


def test_headland_goes_round_holes() -> None:
    """A hole of 20 m by 10 m: the round about it runs half a width off, with mitered corners."""
    ground = MultiPolygon([box(0, 0, 200, 200).difference(box(90, 95, 110, 105))])
    rounds = lay_rounds([ground], 4.0, 30.0)
    (around,) = [headland_round for headland_round in rounds if headland_round.obstacle]
    assert around.segments.length_m == pytest.approx(2 * (24 + 14))


def test_rounds_that_do_not_fit_are_not_there() -> None:
    """Of 12 m two rounds of 5 m leave nothing: their middles are 2.5 m and 7.5 m in."""
    rounds = lay_rounds([MultiPolygon([box(0, 0, 100, 12)])] * 2, 5.0, 30.0)
    assert [headland_round.round for headland_round in rounds] == [1]


def test_turns_are_positive_to_the_left() -> None:
    """East then north is a quarter turn left, east then south one to the right."""
    east, north = np.array([[1.0, 0.0]]), np.array([[0.0, 1.0]])
    assert turns_deg(east, north).tolist() == [90]
    assert turns_deg(east, -north).tolist() == [-90]
