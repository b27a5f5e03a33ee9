"""Short segments of headland rounds, on fields with a corner that is cut off by an edge of 3.5 m."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.corners import round_corners
from fieldplan.coverage.headland import lay_rounds
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.stubs import MAX_LEFT_FRAC, without_stubs
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.worth import missed_s
from fieldplan.model.coverage import HeadlandRound
from fieldplan.plane.offsets import inset


def _cut_off(wide_m: float, high_m: float) -> MultiPolygon:
    """A rectangle without a corner."""
    return MultiPolygon(
        [Polygon([(0, 0), (wide_m, 0), (wide_m, high_m - 2.5), (wide_m - 2.5, high_m), (0, high_m)])]
    )


def _rounds(field: MultiPolygon, rig: Rig) -> tuple[tuple[HeadlandRound, ...], tuple[HeadlandRound, ...]]:
    """One round with its stubs, and without them."""
    room = InsideFence(field, rig)
    rounds = round_corners(
        lay_rounds([field], rig.width_m, rig.follows_bend_deg, rig.sowing_radius_m), rig, room
    )
    return rounds, without_stubs(rounds, inset(field, rig.width_m), rig, room)


def _sown(rounds: tuple[HeadlandRound, ...]) -> shapely.Geometry:
    return shapely.union_all(np.concatenate([one.segments.grounds for one in rounds]))


def test_a_stub_is_left_out_and_the_ground_of_its_neighbors_stays(rig: Rig) -> None:
    """Five segments, then the four along the sides as they were."""
    (before,), (after,) = _rounds(_cut_off(120, 90), rig)
    lengths_m = shapely.length(before.segments.lines)
    assert (len(before.segments), len(after.segments)) == (5, 4)
    assert lengths_m.min() < 4.0
    assert (
        shapely.length(after.segments.lines).tolist() == np.delete(lengths_m, lengths_m.argmin()).tolist()
    )


def test_stubs_leave_no_more_than_they_are_worth_and_a_share_of_the_field(rig: Rig) -> None:
    """The turns that are saved take less than a minute here."""
    field = _cut_off(120, 90)
    rounds, left = _rounds(field, rig)
    left_m2 = _sown(rounds).difference(_sown(left)).intersection(field).area
    assert 0 < left_m2 <= MAX_LEFT_FRAC * field.area
    assert missed_s(left_m2, rig) < 60.0


@pytest.mark.parametrize(("wide_m", "high_m", "n"), [(120, 90, 4), (24, 18, 5)])
def test_on_a_small_field_a_stub_is_too_much_of_it(rig: Rig, wide_m: float, high_m: float, n: int) -> None:
    """0.22 % of 0.04 ha is a square meter."""
    _, (after,) = _rounds(_cut_off(wide_m, high_m), rig)
    assert len(after.segments) == n


def test_where_turns_take_no_time_every_segment_is_sown(rig: Rig) -> None:
    """A rig that is ten times as quick while it is lifted, and stops for nothing."""
    quick = replace(
        rig, turn_speed_m_per_s=13.0, backing_speed_m_per_s=13.0, change_s=0.0, turn_extra_s=0.0
    )
    rounds, left = _rounds(_cut_off(120, 90), quick)
    assert [len(one.segments) for one in (*rounds, *left)] == [5, 5]
