"""Laws of coverage on any simple field."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace

import numpy as np
import pytest
import shapely
from bends import swept_deg
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, affinity
from strategies import meters, slowly, star_fields

from fieldplan.coverage.cover import cover
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import PatternWord, WorkingTerms
from fieldplan.plane.travel import TOLERANCE_M

SLOWLY = slowly(12)
DRAWN_DEG = 2.0
"""A bend drawn as an arc is a little shorter than the two steps before, and the steps of arcs than the arcs."""


def _covered(field: MultiPolygon, rig: Rig, working: WorkingTerms) -> Coverage:
    return cover(Site(field_id="f", ground=field, rig=rig, working=working))


@SLOWLY
@given(field=star_fields())
def test_audit_closes_and_swaths_cover_what_is_not_missed(
    field: MultiPolygon, rig: Rig, working: WorkingTerms
) -> None:
    """Drilled − double-sown − outside + missed = plantable to 0.01 %; a raster of points agrees with the
    missed share.
    """
    got = _covered(field, rig, working)
    audit = got.audit
    closed = audit.drilled_m2 - audit.overlap_m2 - audit.outside_m2 + audit.missed_m2
    assert closed == pytest.approx(audit.plantable_m2, rel=1e-4)
    assert sum(audit.overlap_by_cause_m2.values()) == pytest.approx(audit.overlap_m2, abs=1e-6)
    west, south, east, north = field.bounds
    x, y = np.meshgrid(np.arange(west, east, 3.0), np.arange(south, north, 3.0))
    points = shapely.points(x[shapely.contains_xy(field, x, y)], y[shapely.contains_xy(field, x, y)])
    tree = shapely.STRtree(got.sowings[0].swaths().grounds)
    hit = np.zeros(len(points), dtype=bool)
    hit[tree.query(points, predicate="intersects")[0]] = True
    assert 1 - hit.mean() == pytest.approx(audit.missed_m2 / audit.plantable_m2, abs=0.01)


@SLOWLY
@given(field=star_fields(), turn=st.floats(1, 179), move=st.floats(-500, 500))
def test_totals_stay_when_the_field_is_turned_and_moved(
    field: MultiPolygon, turn: float, move: float, rig: Rig, working: WorkingTerms
) -> None:
    """Sown length and passes do not depend on where north is."""
    here = _covered(field, rig, working)
    there = _covered(
        affinity.translate(affinity.rotate(field, turn, origin=(0, 0)), move, -move), rig, working
    )
    assert there.audit.drilled_m2 == pytest.approx(here.audit.drilled_m2, rel=0.01)
    assert there.audit.missed_m2 / there.audit.plantable_m2 == pytest.approx(
        here.audit.missed_m2 / here.audit.plantable_m2, abs=0.003
    )


@SLOWLY
@given(field=star_fields())
def test_transfers_keep_to_the_ground(field: MultiPolygon, rig: Rig, working: WorkingTerms) -> None:
    """No transfer leaves the ground by more than the tolerance, but for pass ends that lie past the
    edge.
    """
    got = _covered(field, rig, working)
    past_edge = 2 * rig.width_m
    room = shapely.buffer(field, TOLERANCE_M + past_edge, join_style="mitre")
    middle = shapely.buffer(field, TOLERANCE_M + 1e-6, join_style="mitre")
    for leg in got.legs:
        if leg.kind == "transfer":
            assert room.covers(leg.line)
            assert leg.line.difference(middle).length <= 2 * past_edge


@SLOWLY
@given(field=star_fields())
def test_same_field_same_drive(field: MultiPolygon, rig: Rig, working: WorkingTerms) -> None:
    """The same input gives the same legs, and one leg starts where another ended."""
    one, two = _covered(field, rig, working), _covered(field, rig, working)
    assert [leg.line.wkb for leg in one.legs] == [leg.line.wkb for leg in two.legs]
    for leg, following in zip(one.legs, one.legs[1:], strict=False):
        assert np.hypot(*np.subtract(leg.line.coords[-1], following.line.coords[0])) < 1e-6


@st.composite
def _round_grounds(draw: st.DrawFn) -> MultiPolygon:
    """Grounds of many small bends: discs, and corridors with round ends and elbows, some with a round pond."""
    radius_m, quad_segs = draw(meters(5, 30)), draw(st.sampled_from([3, 6, 12]))
    length_m = draw(st.sampled_from([0.0, 60.0, 180.0]))
    middle = shapely.LineString([(0, 0), (length_m, 0), (length_m, draw(meters(0, 150)))])
    ground = middle.buffer(radius_m, quad_segs=quad_segs)
    # a bend on its inside, too
    ground = ground.buffer(draw(meters(1, 12)), quad_segs=quad_segs).buffer(-1.0, quad_segs=quad_segs)
    pond = shapely.Point(length_m, 0).buffer(draw(meters(2, 4)), quad_segs=quad_segs)
    return MultiPolygon([ground.difference(pond) if draw(st.booleans()) else ground])


@slowly(40)
@given(
    field=st.one_of(_round_grounds(), star_fields()),
    n_rounds=st.sampled_from([None, 1, 3]),
    pattern=st.sampled_from(["best", "rounds"]),
)
def test_no_sown_leg_bends_tighter_than_openers_follow(
    field: MultiPolygon, n_rounds: int | None, pattern: PatternWord, rig: Rig, working: WorkingTerms
) -> None:
    """Over any stretch of it, its turn to one side is no more than what the job says that they follow in one sweep besides
    an arc of the sowing radius.
    """
    terms = replace(working, headland_rounds=n_rounds, pattern=pattern)
    for leg in _covered(field, rig, terms).legs:
        if leg.sown:
            assert swept_deg(leg.line, rig.sowing_radius_m) <= rig.follows_bend_deg + DRAWN_DEG


def test_a_ragged_round_field_takes_little_memory(rig: Rig, working: WorkingTerms) -> None:
    """10,000 corners, each a little off: choosing a heading weighs no edge against every other one (0.7 GB
    at the peak).
    """
    turn = np.linspace(0, 2 * np.pi, 10_000, endpoint=False)
    radius = 800 + np.random.default_rng(1).normal(0, 0.02, len(turn))
    field = MultiPolygon([Polygon(np.column_stack([radius * np.cos(turn), radius * np.sin(turn)]))])
    tracemalloc.start()
    audit = _covered(field, rig, working).audit
    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak_bytes < 300e6
    assert audit.missed_m2 < 0.005 * audit.plantable_m2


@pytest.mark.parametrize("radius_m", [3.0, 5.0, 7.0, 8.0, 10.0, 12.0, 15.0, 28.0])
def test_audit_closes_on_small_round_ground(radius_m: float, rig: Rig, working: WorkingTerms) -> None:
    """Rings too tight for a wide drill are not driven: what is drilled less double and outside is the
    ground that is not missed.
    """
    turn = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    field = MultiPolygon([Polygon(radius_m * np.column_stack([np.cos(turn), np.sin(turn)]))])
    for width_m in (3.048, 9.144):
        if width_m < 2 * radius_m:
            audit = _covered(field, replace(rig, width_m=width_m), working).audit
            closed = audit.drilled_m2 - audit.overlap_m2 - audit.outside_m2 + audit.missed_m2
            assert closed == pytest.approx(audit.plantable_m2, rel=5e-4)
