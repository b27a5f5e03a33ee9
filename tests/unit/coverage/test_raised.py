"""Where the drill is raised over a waterway, against closed forms."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from crossed_sites import site_across
from shapely import LineString, MultiPolygon, Polygon, box
from shapely.affinity import rotate

from fieldplan.coverage.cover import cover
from fieldplan.coverage.heading import best_swath_layout
from fieldplan.coverage.raised import sown_stretches
from fieldplan.coverage.route import route_s
from fieldplan.coverage.sequence import segments_in_order
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage, HeadlandRound, Swaths
from fieldplan.model.job import WorkingTerms

FIELD = box(0, 0, 400, 300)
WATERWAY_M = 20 * 0.3048
STRAIGHT = box(197, -1, 197 + WATERWAY_M, 301)


def _oblique(angle_deg: float, width_m: float = WATERWAY_M) -> Polygon:
    """A waterway at an angle to passes that run east."""
    return rotate(box(-500, 150 - width_m / 2, 900, 150 + width_m / 2), angle_deg, origin=(200, 150))


def _gap_m(waterway: Polygon, width_m: float) -> float:
    line = np.array([LineString([(0, 150), (400, 150)])], dtype=object)
    of, start_m, end_m = sown_stretches(line, MultiPolygon([waterway]), width_m)
    if len(of) == 1:
        return 0.0
    assert of.tolist() == [0, 0]
    return float(start_m[1] - end_m[0])


def _sown_m(coverage: Coverage) -> float:
    return sum(leg.length_m for leg in coverage.legs if leg.sown)


@pytest.mark.parametrize("angle_deg", [30, 45, 60, 90])
def test_the_drill_is_up_where_its_whole_width_is_over_the_waterway(angle_deg: float) -> None:
    """A band of width w meets a strip of width d at the angle θ: d/sin θ − w·cot θ."""
    theta, width_m = math.radians(angle_deg), 3.0
    whole_m = WATERWAY_M / math.sin(theta) - width_m / math.tan(theta)
    assert _gap_m(_oblique(angle_deg), width_m) == pytest.approx(whole_m)


@pytest.mark.parametrize("angle_deg", [45, 60])
def test_over_a_lane_that_is_narrower_than_full_cover_allows_it_is_up_while_its_middle_is_there(
    angle_deg: float,
) -> None:
    """A lane of 2 m and a drill of 6 m: d/sin θ."""
    theta = math.radians(angle_deg)
    assert _gap_m(_oblique(angle_deg, 2.0), 6.0) == pytest.approx(2.0 / math.sin(theta))


def test_the_drill_stays_down_where_raising_it_would_miss_more_than_a_square_of_its_width() -> None:
    """A lane of 2 m at 5°: over its 23 m, a drill of 6 m has two thirds of its width on the field."""
    assert _gap_m(_oblique(5, 2.0), 6.0) == 0


def test_a_headland_that_bends_is_broken_where_it_meets_the_waterway() -> None:
    """A ring of 100 m radius crossed twice, 3 m to either side of its middle: all of it but the arcs between,
    which end w/2·tan(asin(3/100)) earlier for the last corner of the band.
    """
    angle = np.linspace(0, 2 * np.pi, 361) + 0.5
    ring = LineString(100 * np.column_stack([np.cos(angle), np.sin(angle)]))
    waterway = MultiPolygon([box(-3, -200, 3, 200)])
    of, start_m, end_m = sown_stretches(np.array([ring], dtype=object), waterway, 3.0)
    assert len(of) == 3
    missing_m = ring.length - (end_m - start_m).sum()
    arcs_m = 4 * (100 * math.asin(3 / 100) - 1.5 * math.tan(math.asin(3 / 100)))
    assert missing_m == pytest.approx(arcs_m, abs=0.05)


def test_a_waterway_straight_across_takes_its_length_times_the_passes(
    rig: Rig, working: WorkingTerms
) -> None:
    """93 passes and three rounds twice each, 20 ft a time: not sown, driven at turning speed, nothing more
    missed and nothing sown there.
    """
    terms = replace(working, headland_rounds=3, heading_deg=90.0)
    whole = cover(Site(field_id="f", ground=MultiPolygon([FIELD]), rig=rig, working=terms))
    crossed = cover(site_across(FIELD, STRAIGHT, rig, terms))
    lifted_m = (crossed.n_passes + 2 * 3) * WATERWAY_M
    slower_s = lifted_m * (1 / rig.turn_speed_m_per_s - 1 / rig.field_speed_m_per_s)
    assert crossed.n_passes == whole.n_passes
    assert _sown_m(whole) - _sown_m(crossed) == pytest.approx(lifted_m)
    assert route_s(crossed.legs, rig) - route_s(whole.legs, rig) == pytest.approx(slower_s)
    assert crossed.audit.missed_m2 == pytest.approx(whole.audit.missed_m2)
    assert crossed.audit.outside_m2 == pytest.approx(0, abs=0.01)
    assert crossed.audit.plantable_m2 == pytest.approx(FIELD.area - 300 * WATERWAY_M)


def test_what_is_sown_of_an_oblique_waterway_is_half_a_square_an_end_and_counted_outside(
    rig: Rig, working: WorkingTerms
) -> None:
    """At 45° each end of a swath leaves w²/2 on the grass; measured anew, what lies there is what the audit
    has outside, and nothing is missed for it.
    """
    terms = replace(working, headland_rounds=3, heading_deg=90.0)
    waterway = _oblique(45)
    whole = cover(Site(field_id="f", ground=MultiPolygon([FIELD]), rig=rig, working=terms))
    crossed = cover(site_across(FIELD, waterway, rig, terms))
    audit = crossed.audit
    on_grass = shapely.union_all(shapely.intersection(crossed.sowings[0].swaths().grounds, waterway))
    assert audit.outside_m2 == pytest.approx(on_grass.intersection(FIELD).area, abs=0.1)
    swaths = crossed.n_passes + 2 * 3
    assert audit.outside_m2 == pytest.approx(swaths * rig.width_m**2, rel=0.02)
    assert audit.missed_m2 == pytest.approx(whole.audit.missed_m2, abs=1)
    closed = audit.drilled_m2 - audit.overlap_m2 - audit.outside_m2 + audit.missed_m2
    assert closed == pytest.approx(audit.plantable_m2)


def test_how_wide_a_gap_may_be_does_not_matter_there(rig: Rig, working: WorkingTerms) -> None:
    """`lift_over` from 0 to 100 ft, and a waterway of 100 m: the passes go on beyond it."""
    wide = box(150, -1, 250, 301)
    drives = [
        cover(site_across(FIELD, wide, replace(rig, lift_over_m=gap_m), working)) for gap_m in (0.0, 30.48)
    ]
    one, other = ([leg.line.wkb for leg in drive.legs] for drive in drives)
    assert one == other
    assert drives[0].n_passes < 100


@pytest.mark.parametrize(("high_m", "of_that_around"), [(300, 1.0), (200, 0.98)])
def test_a_field_cut_in_two_by_a_waterway_is_driven_as_one(
    high_m: float, of_that_around: float, rig: Rig, working: WorkingTerms
) -> None:
    """One part, one block, nothing outside; with headland along it, two blocks and more time: the more, the less
    there is to sow between the turns.
    """
    field = box(0, 0, 400, high_m)
    through = cover(site_across(field, STRAIGHT, rig, working))
    around = cover(site_across(field, STRAIGHT, rig, working, headland=True))
    assert (len(through.ground.geoms), len(through.sowings[0].blocks)) == (1, 1)
    assert (len(around.ground.geoms), len(around.sowings[0].blocks)) == (2, 2)
    assert not [leg for leg in through.legs if leg.shape == "outside"]
    assert route_s(through.legs, rig) < of_that_around * route_s(around.legs, rig)


def test_along_a_lane_at_the_edge_the_headland_is_laid_as_ever(rig: Rig, working: WorkingTerms) -> None:
    """No pass goes on beyond it, so it is driven as if headland were asked for."""
    lane = box(-1, 294, 401, 301)
    here, asked = (cover(site_across(FIELD, lane, rig, working, headland=asked)) for asked in (False, True))
    assert [leg.line.wkb for leg in here.legs] == [leg.line.wkb for leg in asked.legs]
    assert here.audit.outside_m2 == pytest.approx(0, abs=0.01)


def test_passes_run_across_a_lane_rather_than_along_it_where_that_takes_little_longer(rig: Rig) -> None:
    """On 400 m by 424 m north and south is quicker by eight turns, but half a lane of 424 m would be sown."""
    field, lane = box(0, 0, 400, 424), MultiPolygon([box(190, 0, 194, 424)])
    plain, crossed = best_swath_layout(field, rig), best_swath_layout(field, rig, crossed=lane)
    assert np.abs(plain.along) == pytest.approx([0, 1], abs=1e-6)
    assert np.abs(crossed.along) == pytest.approx([1, 0], abs=1e-6)


def test_a_round_that_is_begun_behind_a_gap_continues_nothing() -> None:
    """Three pieces of a segment, the last two behind gaps: begun at the second, the third goes on, and the
    first comes last from elsewhere.
    """
    ends = [((0, 0), (10, 0)), ((20, 0), (30, 0)), ((40, 0), (50, 0))]
    lines = np.array([LineString(pair) for pair in ends], dtype=object)
    segments = Swaths(lines=lines, grounds=lines)
    one = HeadlandRound(round=1, obstacle=False, segments=segments, goes_on=np.array([False, True, True]))
    found = segments_in_order((one,), np.array([20.0, 1.0]))
    assert [line.coords[0][0] for line in found.lines] == [20, 40, 0]
    assert found.over_gap.tolist() == [False, True, False]
