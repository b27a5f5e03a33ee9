"""Laws of ground that is crossed with the drill raised, on any simple field."""

from __future__ import annotations

import pytest
import shapely
from crossed_sites import site_across
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon, Polygon, affinity
from strategies import notched_fields, slowly, star_fields

from fieldplan.coverage.cover import cover
from fieldplan.coverage.crossings import sown_of
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage, Swaths
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.offsets import polygons_of


@st.composite
def waterways(draw: st.DrawFn) -> Polygon:
    """Strips of 3 to 15 m right across any field that is drawn."""
    middle = LineString([(-900, 0), (draw(st.floats(-100, 100)), draw(st.floats(-20, 20))), (900, 0)])
    strip = middle.buffer(draw(st.floats(1.5, 7.5)), cap_style="flat", join_style="mitre")
    return affinity.translate(
        affinity.rotate(strip, draw(st.floats(0, 180)), origin=(0, 0)), draw(st.floats(-30, 30)), 20
    )


def _crossed(field: MultiPolygon, waterway: Polygon, rig: Rig, working: WorkingTerms) -> Coverage:
    return cover(site_across(field, waterway, rig, working))


@slowly(8)
@given(field=st.one_of(star_fields(), notched_fields()), waterway=waterways())
def test_audit_closes_and_the_drill_is_raised_over_the_waterway_only(
    field: MultiPolygon, waterway: Polygon, rig: Rig, working: WorkingTerms
) -> None:
    """Drilled − double-sown − outside + missed = plantable; where a pass is broken, it is so over what is not
    plantable; and what is sown of the waterway is among what lies outside.
    """
    got = _crossed(field, waterway, rig, working)
    audit = got.audit
    closed = audit.drilled_m2 - audit.overlap_m2 - audit.outside_m2 + audit.missed_m2
    assert closed == pytest.approx(audit.plantable_m2, rel=1e-4)
    assert audit.plantable_m2 == pytest.approx(field.difference(waterway).area, rel=1e-6)
    crossed = shapely.intersection(field, waterway).buffer(0.01)
    plantable = field.difference(waterway).buffer(-0.01)
    headland = shapely.union_all(Swaths.of(one.segments for one in got.sowings[0].headland).grounds)
    plantable = plantable.difference(headland)  # a pass may be broken at the headland in a notch, too
    gaps = _gaps(got)
    assert sum(gap.difference(plantable).length for gap in gaps) == pytest.approx(
        sum(gap.length for gap in gaps), rel=0.01
    )
    assert sown_of(got, polygons_of(crossed)) <= audit.outside_m2 + 0.02 * waterway.length


@slowly(8)
@given(field=star_fields(), waterway=waterways(), turn=st.floats(1, 179), move=st.floats(-500, 500))
def test_totals_stay_when_field_and_waterway_are_turned_and_moved(
    field: MultiPolygon, waterway: Polygon, turn: float, move: float, rig: Rig, working: WorkingTerms
) -> None:
    """Sown length and what is missed do not depend on where north is."""
    here = _crossed(field, waterway, rig, working)
    moved = [
        affinity.translate(affinity.rotate(one, turn, origin=(0, 0)), move, -move)
        for one in (field, waterway)
    ]
    there = _crossed(*moved, rig, working)
    assert there.audit.drilled_m2 == pytest.approx(here.audit.drilled_m2, rel=0.01)
    assert there.audit.missed_m2 / there.audit.plantable_m2 == pytest.approx(
        here.audit.missed_m2 / here.audit.plantable_m2, abs=0.003
    )


def _gaps(coverage: Coverage) -> list[LineString]:
    """The raised stretches within passes, but for ways round what the drill may not be driven over."""
    return [
        leg.line
        for before, leg, after in zip(coverage.legs, coverage.legs[1:], coverage.legs[2:], strict=False)
        if before.kind == after.kind == "pass"
        and before.number == after.number
        and leg.kind == "transfer"
        and shapely.get_num_points(leg.line) == 2
    ]
