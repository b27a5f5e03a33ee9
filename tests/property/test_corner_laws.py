"""Laws of headland corners on any simple field."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, affinity
from strategies import meters, notched_fields, slowly, star_fields

from fieldplan.coverage.corner_kinds import MAX_LEFT_FRAC, Corners
from fieldplan.coverage.corners import round_corners
from fieldplan.coverage.cover import cover
from fieldplan.coverage.curved import with_bends
from fieldplan.coverage.edges import EdgeTerms, edges_of
from fieldplan.coverage.headland import lay_rounds
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, HeadlandRound, Swaths
from fieldplan.model.job import WorkingTerms

FIELDS = st.one_of(star_fields(), notched_fields())
BENDS_DEG = st.sampled_from([15.0, 30.0, 60.0, 90.0])
MM = 0.001


def _rounds(field: MultiPolygon, n_rounds: int, rig: Rig) -> tuple[HeadlandRound, ...]:
    laid = lay_rounds([field] * n_rounds, rig.width_m, rig.follows_bend_deg, rig.sowing_radius_m)
    return round_corners(with_bends(laid, rig), rig, InsideFence(field, rig))


def _sown_m(rounds: tuple[HeadlandRound, ...]) -> float:
    """Length of all rounds: which of several corners alike is backed into does not matter."""
    return sum(one.segments.length_m for one in rounds)


@slowly(24)
@given(field=FIELDS, follows_deg=BENDS_DEG, turn=meters(1, 179), move=meters(-500, 500))
def test_corners_are_the_same_wherever_the_field_lies(
    field: MultiPolygon, follows_deg: float, turn: float, move: float, rig: Rig
) -> None:
    """Moved and turned: as much is sown, to one percent. How far a drill can be backed is looked at in steps, and of
    corners alike it may be another one that is backed into.
    """
    own = replace(rig, follows_bend_deg=follows_deg)
    there = affinity.translate(affinity.rotate(field, turn, origin=(0, 0)), move, -move)
    assert _sown_m(_rounds(there, 2, own)) == pytest.approx(_sown_m(_rounds(field, 2, own)), rel=0.01)


@slowly(24)
@given(field=FIELDS, follows_deg=BENDS_DEG)
def test_lines_sown_around_bends_turn_no_tighter_than_openers_follow(
    field: MultiPolygon, follows_deg: float, rig: Rig
) -> None:
    """A step of an arc turns by no more than its length over the sowing radius; other bends are of fifteen degrees at most, or
    lie too near to each other for an arc.
    """
    own = replace(rig, follows_bend_deg=follows_deg, sowing_radius_m=rig.radius_m)
    for line in Swaths.of(one.segments for one in _rounds(field, 2, own)).lines:
        step = np.diff(shapely.get_coordinates(line), axis=0)
        turn = np.abs(np.angle((step[1:] @ [1, 1j]) / (step[:-1] @ [1, 1j])))
        length_m = np.hypot(*step.T)
        long = np.minimum(length_m[1:], length_m[:-1]) > 2 * own.sowing_radius_m
        assert np.degrees(turn[long]).max(initial=0) <= 15 + MM


@slowly(12)
@given(field=FIELDS, sides=st.sampled_from([("north",), ("south", "east"), ()]))
def test_opening_an_edge_costs_no_time(
    field: MultiPolygon, sides: tuple[str, ...], rig: Rig, working: WorkingTerms
) -> None:
    """Within 1 % of the whole route, with the same rounds, heading and blocks."""
    terms = EdgeTerms(edge="fenced" if sides else "open", open_sides=sides)
    alike = replace(working, headland_rounds=2, heading_deg=0.0, max_blocks=1)
    site = Site(field_id="f", ground=field, rig=rig, working=alike)
    opened = replace(site, fenced=edges_of(field, terms, 0.0).fenced(field, field, [], rig))
    assert route_s(cover(opened).legs, rig) <= 1.01 * route_s(cover(site).legs, rig)


@st.composite
def _corners(draw: st.DrawFn) -> Corners:
    """Up to six corners with any room about them."""
    n = draw(st.integers(1, 6))

    def each(low: float, high: float) -> Array:
        return np.array(draw(st.lists(meters(low, high), min_size=n, max_size=n)))

    def some(values: Array) -> Array:
        kept = np.array(draw(st.lists(st.booleans(), min_size=n, max_size=n)))
        return np.where(kept, values, np.inf)

    return Corners(
        turn_rad=each(0.6, 2.5),
        cut_end_m=each(2, 15),
        cut_begin_m=each(2, 15),
        short_m=each(0, 2),
        reach_m=each(0, 4),
        fits=np.isfinite(some(np.zeros(n))),
        full_s=some(each(18, 40)),
        curve_end_m=each(2, 15),
        curve_begin_m=each(2, 15),
        curve_left_m2=some(each(1, 40)),
    )


@slowly(60)
@given(corners=_corners(), ground_m2=meters(1_000, 100_000))
def test_no_other_choice_at_one_corner_is_quicker_and_leaves_little_enough(
    corners: Corners, ground_m2: float, rig: Rig
) -> None:
    """As long as the share of the field is kept; and where it is not, nothing leaves less."""
    choice = corners.chosen(rig, ground_m2)
    cost_s, left_m2 = corners.costs_s(rig), corners.left_m2(rig.width_m)
    every = np.isfinite(cost_s).any(axis=0).nonzero()[0]
    least_m2 = np.where(np.isfinite(cost_s), left_m2, np.inf).min(axis=0)
    left = left_m2[choice[every], every].sum()
    if left > MAX_LEFT_FRAC * ground_m2 + MM:
        assert left == pytest.approx(least_m2[every].sum(), abs=1e-4)
        return
    spare_m2 = MAX_LEFT_FRAC * ground_m2 - left
    for k in every:
        quickest = cost_s[:, k].min()
        more_m2 = left_m2[cost_s[:, k].argmin(), k] - left_m2[choice[k], k]
        assert cost_s[choice[k], k] <= quickest + 1e-9 or more_m2 > spare_m2 - MM
