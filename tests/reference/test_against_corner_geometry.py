"""Corners of a headland against figures worked out by hand for interior angles of 60 to 150°: R = 6 m, w = 3.05 m, from
circles and tangents, areas checked there against polygons. Seconds take 1.341 m/s turning, 2.012 m/s sowing, 0.8 m/s
backing, 4 s a change of direction and 5 s a turn (assumed), and count above sowing around the corner.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from fieldplan.coverage.corner_kinds import (
    BACKED_BOTH,
    BACKED_IN,
    CURVED,
    RUN_OUT,
    Corners,
    curve_wedge_m2,
)
from fieldplan.coverage.corners import round_corners
from fieldplan.coverage.headland import lay_rounds
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import Turns, turns_between
from fieldplan.coverage.worth import SEED_AS_TIME_FRAC
from fieldplan.model.coverage import HeadlandRound

R_M, W_M = 6.0, 3.05
FIGURE = 0.005
"""Half a last digit of figures to two places."""
DRAWN_FRAC = 0.005
"""Arcs are drawn with chords, within a centimeter of them."""


@pytest.fixture
def own(rig: Rig) -> Rig:
    """The rig of the figures."""
    return replace(
        rig,
        width_m=W_M,
        radius_m=R_M,
        sowing_radius_m=R_M,
        turn_speed_m_per_s=1.341,
        field_speed_m_per_s=2.012,
        backing_speed_m_per_s=0.8,
        change_s=4.0,
        turn_extra_s=5.0,
    )


def _corner(interior_deg: float, back_m: float, lifted_m: float) -> Corners:
    """One corner with room all around, where the bands of both sides run out to the fence."""
    half = np.radians(180 - interior_deg) / 2
    run_out_m = W_M / 2 * max(np.tan(half), 1 / np.tan(half))
    cut_m = np.array([R_M * np.tan(half) + run_out_m])
    begin_m = R_M * np.tan(half) + W_M / 2 / np.tan(half) if interior_deg > 90 else cut_m[0]
    return Corners(
        turn_rad=np.array([2 * half]),
        cut_end_m=cut_m,
        cut_begin_m=np.array([begin_m]),
        short_m=np.zeros(1),
        reach_m=np.array([back_m - begin_m]),
        fits=np.ones(1, dtype=bool),
        full_s=np.array([lifted_m / 1.341]),
        curve_end_m=cut_m,
        curve_begin_m=np.array([begin_m]),
        curve_left_m2=np.zeros(1),
    )


@pytest.mark.parametrize(
    ("interior_deg", "wedge_m2", "gap_m2"),
    [(60, 38.7802, 25.0656), (90, 12.1520, 7.8544), (120, 3.0437, 1.9673), (150, 0.3482, 0.2251)],
)
def test_an_arc_leaves_a_wedge_at_the_fence_and_gaps_between_rounds(
    interior_deg: float, wedge_m2: float, gap_m2: float
) -> None:
    """(R + w/2)²·f and 2Rw·f."""
    turn_rad = np.radians(180.0 - interior_deg)
    assert curve_wedge_m2(turn_rad, R_M, W_M) == pytest.approx((wedge_m2, gap_m2), abs=5e-5)


@pytest.mark.parametrize(
    ("interior_deg", "back_m", "loop_s", "back_s"),
    [(60, 11.27, 42.0, 35.8), (90, 7.53, 35.6, 28.4), (120, 4.34, 32.6, 22.2), (150, 2.02, 30.4, 17.3)],
)
def test_seconds_of_a_loop_and_of_backing_in(
    own: Rig, interior_deg: float, back_m: float, loop_s: float, back_s: float
) -> None:
    """Printed to a tenth; sums of such figures may be one off. What seed sown twice is worth stands apart."""
    lifted_m = {60: 40.64, 90: 37.22, 120: 33.06, 150: 26.39}[interior_deg]
    corner = _corner(interior_deg, back_m, lifted_m)
    seed_s = SEED_AS_TIME_FRAC * corner.twice_m2(W_M)[:, 0] / W_M / own.field_speed_m_per_s
    cost_s = corner.costs_s(own)[:, 0] - seed_s
    assert cost_s[RUN_OUT] - cost_s[CURVED] == pytest.approx(loop_s, abs=0.06)
    assert cost_s[BACKED_IN] - cost_s[CURVED] == pytest.approx(back_s, abs=0.1)


@pytest.mark.parametrize(
    ("interior_deg", "left_m2", "twice_m2"),
    [(60, 29.01, 10.74), (90, 13.65, 9.30), (120, 7.88, 10.74), (150, 3.66, 18.6)],
)
def test_ground_that_backing_in_leaves_and_both_sides_sow_twice(
    interior_deg: float, left_m2: float, twice_m2: float
) -> None:
    """Lifted, turned, backed in as far as both bands cross; w²/sin A is sown twice if both run full."""
    corner = _corner(interior_deg, 100.0, 40.0)
    assert corner.left_m2(W_M)[BACKED_IN, 0] == pytest.approx(left_m2, abs=FIGURE)
    assert corner.twice_m2(W_M)[BACKED_BOTH, 0] == pytest.approx(twice_m2, abs=0.05)


def _rhombus(interior_deg: float, side_m: float) -> MultiPolygon:
    """Two corners of this angle, and two of what it lacks to 180°."""
    x, y = side_m * np.cos(np.radians(interior_deg)), side_m * np.sin(np.radians(interior_deg))
    return MultiPolygon([Polygon([(0, 0), (side_m, 0), (side_m + x, y), (x, y)])])


def _rounds(
    field: MultiPolygon, n_rounds: int, rig: Rig, hard: MultiPolygon | None
) -> tuple[HeadlandRound, ...]:
    return round_corners(
        lay_rounds([field] * n_rounds, W_M, 30.0, rig.sowing_radius_m), rig, InsideFence(field, rig, hard)
    )


def _missed_m2(field: MultiPolygon, rounds: tuple[HeadlandRound, ...]) -> float:
    """Ground that no band covers, but for the largest piece, which is for the passes."""
    bands = shapely.union_all([band for one in rounds for band in one.segments.grounds])
    pieces_m2 = np.sort(shapely.area(shapely.get_parts(field.difference(bands))))
    return float(pieces_m2[:-1].sum())


@pytest.mark.parametrize(
    ("interior_deg", "n_rounds", "left_m2"),
    [
        (90, 1, 4 * 12.152),
        (90, 3, 4 * 27.86),
        (60, 1, 2 * (38.7802 + 3.0437)),
        (60, 2, 2 * (63.85 + 5.01)),
    ],
)
def test_rounds_sown_around_their_corners_are_one_line_and_leave_the_wedges(
    own: Rig, interior_deg: float, n_rounds: int, left_m2: float
) -> None:
    """Openers that follow any bend, a field so large that this may be left."""
    field = _rhombus(interior_deg, 500)
    rounds = _rounds(field, n_rounds, replace(own, follows_bend_deg=150.0), None)
    assert [len(one.segments) for one in rounds] == [1] * n_rounds
    assert all(one.segments.lines[0].is_closed for one in rounds)
    assert _missed_m2(field, rounds) == pytest.approx(left_m2, rel=DRAWN_FRAC)


@pytest.mark.parametrize(("interior_deg", "loop_m"), [(60, 45.92), (90, 40.27), (120, 38.34), (150, 37.77)])
@pytest.mark.parametrize("side", [1, -1])
def test_turns_from_where_the_middle_lines_meet_are_no_longer_than_a_loop(
    own: Rig, interior_deg: int, loop_m: float, side: int
) -> None:
    """2R·cot(A/2) + (π + A)·R the other way round, where there is room on all sides and no reverse."""
    turn_rad, field = side * np.radians(180 - interior_deg), MultiPolygon([box(-100, -100, 100, 100)])
    never = replace(own, reverse="never")
    turns = turns_between(
        np.zeros((1, 3)), np.array([[0.0, 0.0, turn_rad]]), never, InsideFence(field, never)
    )
    assert turns.fits.all()
    assert turns.paths.length_m[0] <= loop_m + FIGURE


def test_open_corners_are_run_out_and_turned_with_nothing_missed(own: Rig) -> None:
    """Never in reverse, and no longer than a loop; with a fence the wedges stay."""
    field, never = MultiPolygon([box(0, 0, 80, 80)]), replace(own, reverse="never")
    hard = MultiPolygon([box(-200, -200, 400, 400)])
    rounds = _rounds(field, 1, never, hard)
    left = field.difference(shapely.union_all(rounds[0].segments.grounds))
    assert left.area == pytest.approx((80 - 2 * W_M) ** 2, abs=0.01)
    enter, leave = poses(rounds[0].segments.lines)
    turns = turns_between(leave, np.roll(enter, -1, axis=0), never, InsideFence(field, never, hard))
    assert (turns.paths.length_m <= 40.27 + FIGURE).all()
    assert (turns.paths.reverse_m == 0).all()


def test_turns_to_the_other_side_stay_inside_a_fence_from_the_fifth_round(own: Rig) -> None:
    """A loop reaches 2R beyond the crossed fence with the end of the drill, less the widths of the rounds outside; in the
    fourth round there is room to go on round to the same side, once and a quarter.
    """
    alone = replace(own, reverse="never", front_reach_m=0.0)
    field = MultiPolygon([box(0, 0, 100, 100)])
    rounds = _rounds(field, 6, alone, None)
    ran_out = [
        bool(shapely.length(one.segments.lines).min() > 100 - (2 * one.round - 1) * W_M - R_M)
        for one in rounds
    ]
    assert ran_out == [False] * 3 + [True] * 3
    fourth, fifth = (_corner_turns(rounds[k], alone, field) for k in (3, 4))
    assert (fourth.paths.turns >= 0).all()
    assert (np.abs(fourth.paths.turns) * fourth.paths.parts_m).sum(axis=1) == pytest.approx(
        2.5 * np.pi * R_M
    )
    assert (fifth.paths.turns < 0).any(axis=1).all()


def _corner_turns(one: HeadlandRound, rig: Rig, field: MultiPolygon) -> Turns:
    """The turns at the corners of a round."""
    enter, leave = poses(one.segments.lines)
    return turns_between(leave, np.roll(enter, -1, axis=0), rig, InsideFence(field, rig))


def test_an_arc_is_no_choice_for_a_sharper_bend_than_the_openers_follow(own: Rig) -> None:
    """60° in one sweep are followed at the wide corners of a field, not at the sharp ones."""
    rounds = _rounds(_rhombus(60, 500), 1, replace(own, follows_bend_deg=60.0), None)
    assert len(rounds[0].segments) == 2
