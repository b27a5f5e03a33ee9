"""What is done at corners, where the ground that each choice leaves can be worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fieldplan.coverage.corner_kinds import (
    BACKED_BOTH,
    BACKED_IN,
    CURVED,
    LIFTED,
    MAX_LEFT_FRAC,
    RUN_OUT,
    Corners,
)
from fieldplan.coverage.terms import Rig

W_M = 3.0
NOWHERE = np.full(2, np.inf)


@pytest.fixture
def own(rig: Rig) -> Rig:
    """A rig of three meters."""
    return replace(rig, width_m=W_M)


def _square_corners() -> Corners:
    """Two of them: lifted they leave 51 and 42 m², backed in 21 and 27 m², backed into on both sides nothing."""
    return Corners(
        turn_rad=np.full(2, np.pi / 2),
        cut_end_m=np.array([10.0, 12.0]),
        cut_begin_m=np.array([7.0, 2.0]),
        short_m=np.zeros(2),
        reach_m=np.full(2, W_M),
        fits=np.ones(2, dtype=bool),
        full_s=NOWHERE,
        curve_end_m=np.array([16.0, 18.0]),
        curve_begin_m=np.array([13.0, 8.0]),
        curve_left_m2=NOWHERE,
    )


@pytest.mark.parametrize(
    ("ground_m2", "choice"),
    [
        (93 / MAX_LEFT_FRAC + 1, [LIFTED, LIFTED]),
        (93 / MAX_LEFT_FRAC - 1, [BACKED_IN, LIFTED]),
        (48 / MAX_LEFT_FRAC + 1, [BACKED_IN, BACKED_IN]),
        (0, [BACKED_BOTH, BACKED_BOTH]),
    ],
)
def test_ground_is_bought_back_until_little_enough_is_left(
    own: Rig, ground_m2: float, choice: list[int]
) -> None:
    """Where a second buys most of it first; not both sides of a corner where one side of each is enough."""
    assert _square_corners().chosen(own, ground_m2).tolist() == choice


def test_a_rig_that_never_backs_up_runs_out_where_there_is_room(own: Rig) -> None:
    """And is lifted where there is none, whatever is left."""
    corners = replace(_square_corners(), full_s=np.array([30.0, np.inf]))
    assert corners.chosen(replace(own, reverse="never"), 0.0).tolist() == [RUN_OUT, LIFTED]


def test_a_corner_is_sown_around_where_the_openers_follow(own: Rig) -> None:
    """That takes least time; where its wedge is too much, the other one of the two is backed into."""
    corners = replace(_square_corners(), curve_left_m2=np.array([12.0, np.inf]))
    assert corners.chosen(own, 1e6).tolist() == [CURVED, LIFTED]
    assert corners.chosen(own, 40 / MAX_LEFT_FRAC).tolist() == [CURVED, BACKED_IN]


def test_corners_where_nothing_fits_are_run_out(own: Rig) -> None:
    """As far as the drill comes."""
    corners = replace(_square_corners(), fits=np.zeros(2, dtype=bool))
    assert corners.chosen(own, 0.0).tolist() == [RUN_OUT, RUN_OUT]
