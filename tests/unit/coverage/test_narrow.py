"""Narrow ground: passes along its middle bend with it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from bends import swept_deg
from shapely import LineString, MultiPolygon, Polygon, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.narrow import between_bends, is_narrow, passes_along
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage, longest_step
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.offsets import inset

ANGLES = np.radians(np.arange(0, 91, 5))
ARC = LineString(np.stack([300 * np.cos(ANGLES), 300 * np.sin(ANGLES)], axis=1))
"""A quarter of a circle with a radius of 300 m, in steps that bend by 5°."""
ELBOW = LineString([(0, 0), (200, 0), (200, 120)])


def _corridor(middle: LineString, wide_m: float) -> Polygon:
    return Polygon(shapely.buffer(middle, wide_m / 2, cap_style="flat", join_style="mitre"))


def _anywhere(rig: Rig) -> InsideFence:
    return InsideFence(MultiPolygon([box(-1000, -1000, 1000, 1000)]), rig)


def _covered(field: Polygon, rig: Rig, working: WorkingTerms) -> Coverage:
    return cover(Site(field_id="f", ground=MultiPolygon([field]), rig=rig, working=working))


@pytest.mark.parametrize(("wide_m", "narrow"), [(2.9, True), (3.1, False)])
def test_narrow_is_what_one_pass_covers(wide_m: float, narrow: bool, rig: Rig) -> None:
    """A drill of 3 m, along a corridor that bends."""
    assert is_narrow(_corridor(ARC, wide_m), replace(rig, width_m=3.0)) == narrow


@pytest.mark.parametrize("wide_m", [2.9, 3.1, 14.9, 15.1, 40.0])
@pytest.mark.parametrize("jag_m", [0.0, 0.5, 4.0])
def test_wide_ground_is_told_from_narrow_without_an_inset(wide_m: float, jag_m: float, rig: Rig) -> None:
    """Whatever its edge: jags make that long, and corners that point into the ground reach far with their miters."""
    x = np.arange(0.0, 101.0, 2.0)
    top = np.stack([x, wide_m - jag_m * (np.arange(len(x)) % 2)], axis=1)
    ground = Polygon([(0, 0), (100, 0), *top[::-1]]).buffer(0)
    parts = [part for part in shapely.get_parts(ground) if isinstance(part, Polygon)]
    for part in parts:
        assert is_narrow(part, replace(rig, width_m=3.0)) == inset(part, 1.5).is_empty


def test_ground_all_round_something_is_not_narrow(rig: Rig) -> None:
    """Its middle is a ring, which one pass from end to end leaves half unsown."""
    assert not is_narrow(box(0, 0, 50, 50) - box(1, 1, 49, 49), replace(rig, width_m=3.0))


def test_a_middle_that_comes_back_to_one_place_is_followed(rig: Rig) -> None:
    """Of a cross with unequal arms, two arms are gone along at once, each on one side: the place between them stays
    where it is, and steps from it to itself have no direction.
    """
    cross, drill = box(-66, 5.5, 8, 6.5) | box(5.5, -15, 6.5, 33), replace(rig, width_m=3.0)
    for room in (_anywhere(drill), InsideFence(MultiPolygon([cross.buffer(2)]), drill)):
        found = passes_along(cross, drill, room)
        assert len(found)
        assert np.isfinite(shapely.get_coordinates(found.lines)).all()


@pytest.mark.parametrize("wide_m", [0.5, 2.0, 2.9])
def test_one_pass_goes_along_an_arc(wide_m: float, rig: Rig) -> None:
    """It covers the ground, is no longer than it, and its middle is that of the corridor as near as the drill's
    spare width lets it be.
    """
    ground, drill = _corridor(ARC, wide_m), replace(rig, width_m=3.0)
    found = passes_along(ground, drill, _anywhere(drill))
    assert len(found) == 1
    assert found.length_m == pytest.approx(ARC.length, rel=0.01)
    assert shapely.intersection(found.grounds[0], ground).area >= 0.98 * ground.area
    assert found.lines[0].hausdorff_distance(ARC) < 1.0


def test_a_pass_ends_at_a_bend_that_openers_do_not_follow(rig: Rig) -> None:
    """An elbow of 90° is two passes, one an arm; together they cover it but for what is beyond both at the bend."""
    ground, drill = _corridor(ELBOW, 2.0), replace(rig, width_m=3.0, follows_bend_deg=30.0)
    found = passes_along(ground, drill, _anywhere(drill))
    assert sorted(shapely.length(found.lines)) == pytest.approx([120, 200], abs=2)
    assert shapely.difference(ground, shapely.union_all(found.grounds)).area < 0.02 * ground.area


def test_passes_along_the_middle_end_where_the_drill_may_stand(rig: Rig) -> None:
    """Ground up to a fence at both ends: short of them by as much as any pass."""
    drill = replace(rig, width_m=3.0)
    field = MultiPolygon([_corridor(ARC, 9.0)])
    room = InsideFence(field, drill)
    line = passes_along(_corridor(ARC, 2.0), drill, room).lines[0]
    assert line.distance(field.boundary) == pytest.approx(
        room.clear.boundary.distance(field.boundary), abs=1e-6
    )
    assert shapely.covers(shapely.buffer(room.clear, 1e-6), line)


def test_a_corridor_round_an_elbow_is_not_sown_across(rig: Rig, working: WorkingTerms) -> None:
    """Arms 8 m wide, a drill of 3 m: one round and one pass an arm. Sown with one heading, the shorter arm took a
    pass every 3 m: 40 in all.
    """
    got = _covered(_corridor(ELBOW, 8.0), replace(rig, width_m=3.0), working)
    assert got.n_passes == 2
    assert got.audit.missed_m2 < 0.02 * got.audit.plantable_m2


def test_sums_of_bent_passes_agree_with_their_bands(rig: Rig, working: WorkingTerms) -> None:
    """Rounds along both edges of 8 m leave 2 m for a pass of 3 m: the rest of it overlaps them."""
    got = _covered(_corridor(ARC, 8.0), replace(rig, width_m=3.0), working)
    assert [block.bent for block in got.sowings[0].blocks] == [True]
    sown = [leg.line for leg in got.legs if leg.sown]
    bands = shapely.buffer(sown, 1.5, cap_style="flat", join_style="mitre")
    union = shapely.union_all(bands, grid_size=1e-5)
    audit = got.audit
    assert audit.drilled_m2 == pytest.approx(3.0 * shapely.length(sown).sum())
    assert audit.missed_m2 == pytest.approx(shapely.difference(got.ground, union).area, abs=0.5)
    assert audit.overlap_m2 == pytest.approx(audit.drilled_m2 - union.area, abs=0.5)
    assert audit.overlap_by_cause_m2["last pass"] == pytest.approx(1.0 * ARC.length, rel=0.05)


@pytest.mark.parametrize("n_rounds", [1, 4])
def test_rounds_on_a_narrow_field_are_chosen_by_driving(
    n_rounds: int, rig: Rig, working: WorkingTerms
) -> None:
    """An elbow less than four drill widths wide, for which two rounds are foreseen: no worse than with one or with
    four, weighed by time, by seed and by what is missed.
    """
    field = _corridor(ELBOW, 11.0)
    drill = replace(rig, width_m=3.0)
    chosen = _covered(field, drill, working)
    asked = _covered(field, drill, replace(working, headland_rounds=n_rounds))

    def weighed_s(got: Coverage) -> float:
        missed_s = 30 * got.audit.missed_m2 / drill.width_m / drill.field_speed_m_per_s
        seed_s = 0.5 * got.audit.drilled_m2 / asked.audit.drilled_m2 * route_s(asked.legs, drill)
        return route_s(got.legs, drill) + missed_s + seed_s

    assert weighed_s(chosen) <= 1.001 * weighed_s(asked)


def test_the_longest_straight_part_gives_the_heading() -> None:
    """Of two lines, one of which bends; the step from one line to the next is none."""
    lines = np.array([LineString([(0, 0), (4, 0), (4, 9)]), LineString([(90, 0), (90, 5)])])
    assert longest_step(lines).equals(LineString([(4, 0), (4, 9)]))


@pytest.mark.parametrize("n_bends", [3, 6, 12])
def test_a_pass_along_the_middle_ends_in_an_elbow_of_small_bends(n_bends: int, rig: Rig) -> None:
    """A right angle within 5 m, and another one within 40 m that the openers follow."""
    drill = replace(rig, follows_bend_deg=30.0, sowing_radius_m=12.0)
    for radius_m, whole in ((5.0, False), (40.0, True)):
        turn = np.linspace(0, np.pi / 2, n_bends + 1)
        arc = radius_m * np.column_stack([np.sin(turn), 1 - np.cos(turn)])
        line = LineString([(-50.0, 0.0), *arc, (arc[-1, 0], arc[-1, 1] + 50.0)])
        parts = between_bends(line, drill)
        assert (len(parts) == 1) == whole
        assert max(swept_deg(part, 12.0) for part in parts) <= 30.0 + 0.02
        assert shapely.length(parts).sum() == pytest.approx(line.length)
