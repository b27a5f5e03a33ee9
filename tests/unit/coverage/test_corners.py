"""What corners of headland rounds leave, beside areas worked out by hand for square corners and R = 6 m, w = 3.05 m:
lifted on one arc 2Rw a corner and round; backed in w(R − w/2), here plus what lies behind the drill when it stands
as near to the fence as it may.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from bends import swept_deg
from shapely import MultiPolygon, Point, Polygon, affinity, box

from fieldplan.coverage.corner_kinds import MAX_LEFT_FRAC
from fieldplan.coverage.corners import round_corners
from fieldplan.coverage.curved import with_bends
from fieldplan.coverage.headland import lay_rounds
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.model.coverage import HeadlandRound, Swaths
from fieldplan.model.machine import Reverse

R_M, W_M = 6.0, 3.05
NEAREST_M = W_M / 2 - 0.5 + R_M * (1 - math.cos(0.3 / R_M))
"""So near to a fence the middle may come: half a meter over the edge, less what arcs bulge between points 0.6 m apart."""
STEP_M = 0.25
"""How exactly the place behind a corner is looked for."""


def _rounds(rig: Rig, side_m: float, n_rounds: int, reverse: Reverse) -> tuple[HeadlandRound, ...]:
    """The rounds of a square field."""
    field = MultiPolygon([box(0, 0, side_m, side_m)])
    own = replace(rig, width_m=W_M, radius_m=R_M, reverse=reverse)
    laid = lay_rounds([field] * n_rounds, W_M, own.follows_bend_deg, own.sowing_radius_m)
    return round_corners(laid, own, InsideFence(field, own))


def _left_m2(rounds: tuple[HeadlandRound, ...], side_m: float, n_rounds: int) -> float:
    """Ground of the headland that no band covers."""
    deep_m = n_rounds * W_M
    headland = box(0, 0, side_m, side_m).difference(box(deep_m, deep_m, side_m - deep_m, side_m - deep_m))
    bands = shapely.union_all([band for one in rounds for band in one.segments.grounds])
    return float(headland.difference(bands).area)


@pytest.mark.parametrize("n_rounds", [1, 3])
def test_lifted_corners_leave_what_the_arc_cuts_off(rig: Rig, n_rounds: int) -> None:
    """A rig that never backs up: 36.6 m² a corner and round."""
    rounds = _rounds(rig, 100, n_rounds, "never")
    assert _left_m2(rounds, 100, n_rounds) == pytest.approx(4 * n_rounds * 2 * R_M * W_M, abs=0.01)
    for one in rounds:
        middle_m = 100 - (2 * one.round - 1) * W_M
        assert shapely.length(one.segments.lines) == pytest.approx([middle_m - 2 * R_M] * 4)


def test_a_large_field_has_no_need_to_back_into_corners(rig: Rig) -> None:
    """Four corners lifted are 146.4 m², less than three thousandths of nine hectares."""
    assert _left_m2(_rounds(rig, 300, 1, "where needed"), 300, 1) == pytest.approx(146.4, abs=0.01)


def test_backing_in_leaves_what_lies_before_the_arc(rig: Rig) -> None:
    """On 3.61 ha: 13.65 m² before each arc, and behind the drill a strip as wide as it that it cannot back over."""
    left_m2 = _left_m2(_rounds(rig, 190, 1, "where needed"), 190, 1) / 4
    behind_m = (left_m2 - W_M * (R_M - W_M / 2)) / W_M
    assert NEAREST_M <= behind_m <= NEAREST_M + STEP_M


def test_inner_rounds_back_over_the_gaps_of_outer_ones(rig: Rig) -> None:
    """Three rounds on two hectares leave no more than 13.65 m² a corner and round, and the strip at the fence; and
    not less than the squares that a drill at a fence leaves in the corners.
    """
    left_m2 = _left_m2(_rounds(rig, 141.5, 3, "where needed"), 141.5, 3)
    assert left_m2 <= 4 * (3 * W_M * (R_M - W_M / 2) + W_M * (NEAREST_M + STEP_M))
    assert 4 * NEAREST_M**2 <= left_m2 <= MAX_LEFT_FRAC * 141.5**2


@pytest.mark.parametrize("n_rounds", [1, 3])
def test_corners_leave_at_most_their_share_where_the_rig_may_back_up(rig: Rig, n_rounds: int) -> None:
    """Three thousandths of a hectare."""
    left_m2 = _left_m2(_rounds(rig, 100, n_rounds, "where needed"), 100, n_rounds)
    assert left_m2 <= MAX_LEFT_FRAC * 100**2


def test_segments_end_where_the_drill_may_stand(rig: Rig) -> None:
    """On the very edge of it rounding would decide whether a turn from there fits; here the edges are oblique."""
    field = MultiPolygon([affinity.rotate(box(0, 0, 90, 70), 23.0)])
    own = replace(rig, width_m=W_M, radius_m=R_M)
    room = InsideFence(field, own)
    rounds = round_corners(
        lay_rounds([field] * 2, W_M, own.follows_bend_deg, own.sowing_radius_m), own, room
    )
    lines = Swaths.of(one.segments for one in rounds).lines
    for nth in (0, -1):
        assert room.contains(shapely.get_coordinates(shapely.get_point(lines, nth))).all()


def test_in_the_third_round_corners_are_run_out_with_one_backing(rig: Rig) -> None:
    """Both sides as they are laid: an arc, straight back for the way between the centers of both, an arc."""
    rounds = _rounds(rig, 100, 3, "where needed")
    own = replace(rig, width_m=W_M, radius_m=R_M)
    enter, leave = poses(rounds[2].segments.lines)
    turns = turns_between(
        leave, np.roll(enter, -1, axis=0), own, InsideFence(MultiPolygon([box(0, 0, 100, 100)]), own)
    )
    back_m = math.hypot(R_M + W_M / 2, R_M - W_M / 2)
    quarter_s = math.pi / 2 * R_M / own.turn_speed_m_per_s
    assert shapely.length(rounds[2].segments.lines) == pytest.approx([100 - 5 * W_M] * 4)
    assert turns.turn_s == pytest.approx(
        [quarter_s + back_m / own.backing_speed_m_per_s + 2 * own.change_s] * 4
    )


def test_an_arc_begins_where_the_line_runs_straight_to_the_corner(rig: Rig) -> None:
    """Openers that follow 60°, a corner of 48° between bends of 24° and 20° six meters before and after: an arc from
    before these bends would lead over the fence.
    """
    lengths_m, heads_rad = np.array([300.0, 6.0, 6.0, 200.0]), np.radians([0.0, 24.0, 72.0, 92.0])
    steps = lengths_m[:, None] * np.column_stack([np.cos(heads_rad), np.sin(heads_rad)])
    points = np.vstack([[0.0, 0.0], np.cumsum(steps, axis=0)])
    field = MultiPolygon([Polygon([*points, points[-1] - [330.0, 0.0]])])
    own = replace(rig, width_m=W_M, radius_m=R_M, follows_bend_deg=60.0)
    rounds = round_corners(
        lay_rounds([field], W_M, 30.0, own.sowing_radius_m), own, InsideFence(field, own)
    )
    sown = shapely.union_all(rounds[0].segments.grounds)
    assert sown.difference(field).area < 0.01


@pytest.mark.parametrize("share", [0.6, 0.7, 0.8])
def test_no_arc_goes_on_where_a_round_has_bent_as_far_as_openers_follow(rig: Rig, share: float) -> None:
    """A round of sixteen bends whose middle runs tighter than the sowing radius, for openers that follow 60°: no segment is sown on
    into the next one.
    """
    own = replace(rig, width_m=W_M, radius_m=R_M, sowing_radius_m=2 * R_M, follows_bend_deg=60.0)
    field = MultiPolygon([Point(0, 0).buffer(share * own.sowing_radius_m + W_M / 2, quad_segs=4)])
    laid = lay_rounds([field], W_M, own.follows_bend_deg, own.sowing_radius_m)
    rounds = round_corners(with_bends(laid, own), own, InsideFence(field, own))
    lines = Swaths.of(one.segments for one in rounds).lines
    assert len(lines) > 1
    assert max(swept_deg(line, own.sowing_radius_m) for line in lines) <= own.follows_bend_deg + 1.0
