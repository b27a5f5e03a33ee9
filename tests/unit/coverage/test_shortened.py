"""Segments of headland rounds beside a nook in which a drill cannot turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.corners import round_corners
from fieldplan.coverage.headland import lay_rounds
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.shortened import MAX_LEFT_FRAC, shortened
from fieldplan.coverage.stubs import without_stubs
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import transfers_at
from fieldplan.coverage.turns import turns_between
from fieldplan.coverage.worth import missed_s
from fieldplan.model.coverage import Array, HeadlandRound
from fieldplan.plane.offsets import inset

Points = Sequence[tuple[float, float]]
SLIM_NOOK: Points = [(0, 0), (80, 0), (80, 120), (0, 120), (0, 92), (-18, 77), (0, 87)]
"""A nook of 18 m beside a rectangle, into which its round runs from a sharp corner."""
DEEP_NOOK: Points = [(0, 0), (80, 0), (80, 120), (0, 120), (0, 74), (-10, 54), (0, 68)]
SQUARE: Points = [(0, 0), (90, 0), (90, 90), (0, 90)]


def _rounds(points: Points, rig: Rig) -> tuple[InsideFence, HeadlandRound, HeadlandRound]:
    """One round with all of its segments, and with those that may be shortened."""
    field = MultiPolygon([Polygon(points)])
    room, inside = InsideFence(field, rig), inset(field, rig.width_m)
    rounds = round_corners(
        lay_rounds([field], rig.width_m, rig.follows_bend_deg, rig.sowing_radius_m), rig, room
    )
    rounds = without_stubs(rounds, inside, rig, room)
    (before,), (after,) = rounds, shortened(rounds, inside, rig, room, None)
    return room, before, after


def _turns_s(room: InsideFence, one: HeadlandRound, rig: Rig) -> Array:
    """What leads from each segment to the next: turns, infinite where none fits."""
    enter, leave = poses(one.segments.lines)
    return turns_between(leave, np.roll(enter, -1, axis=0), rig, room).turn_s


def _left_m2(room: InsideFence, before: HeadlandRound, after: HeadlandRound, rig: Rig) -> float:
    inside = inset(room.ground, rig.width_m)
    sown = shapely.union_all([inside, *after.segments.grounds])
    all_ground = shapely.union_all([inside, *before.segments.grounds])
    return float(all_ground.difference(sown).intersection(room.ground).area)


def test_a_segment_ends_before_a_nook_that_no_turn_leads_out_of(rig: Rig) -> None:
    """The turn and the ground that is left take less than the way round; no other segment changes."""
    room, before, after = _rounds(SLIM_NOOK, rig)
    (corner,) = np.isinf(_turns_s(room, before, rig)).nonzero()[0]
    turn_s = _turns_s(room, after, rig)
    assert np.isfinite(turn_s).all()
    enter, leave = poses(before.segments.lines)
    following = (corner + 1) % len(enter)
    way = transfers_at(room, np.full(2, np.nan)).between(
        leave[[corner]], enter[[following]], np.array([True])
    )[0]
    left_m2 = _left_m2(room, before, after, rig)
    assert 0 < left_m2 <= MAX_LEFT_FRAC * room.ground.area
    assert turn_s[corner] + missed_s(left_m2, rig) < way.drive_s
    others = np.delete(np.arange(len(enter)), [corner, following])
    assert (after.segments.lines[others] == before.segments.lines[others]).all()


def test_what_is_cut_off_lies_at_the_corner(rig: Rig) -> None:
    """What remains of a segment lies on it, and sows ground as wide as the drill."""
    _, before, after = _rounds(SLIM_NOOK, rig)
    for cut, whole, ground in zip(
        after.segments.lines, before.segments.lines, after.segments.grounds, strict=True
    ):
        assert shapely.hausdorff_distance(cut, shapely.intersection(cut, whole.buffer(1e-6))) < 1e-5
        assert ground.area == pytest.approx(cut.length * rig.width_m, rel=0.02)
    assert after.segments.length_m < before.segments.length_m


@pytest.mark.parametrize("points", [DEEP_NOOK, SQUARE])
def test_segments_stay_where_what_is_left_would_be_worth_more(rig: Rig, points: Points) -> None:
    """The way is driven; without one there is nothing to save."""
    _, before, after = _rounds(points, rig)
    assert after.segments.lines.tolist() == before.segments.lines.tolist()


def test_ways_that_take_next_to_no_time_are_driven(rig: Rig) -> None:
    """A rig that is thirty times as quick while it is lifted."""
    quick = replace(
        rig, turn_speed_m_per_s=40.0, backing_speed_m_per_s=40.0, change_s=0.0, turn_extra_s=0.0
    )
    _, before, after = _rounds(SLIM_NOOK, quick)
    assert after.segments.lines.tolist() == before.segments.lines.tolist()
