"""The audit against ground measured anew from the legs of the drive, and against points thrown at the
field: nothing of its own.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import shapely.affinity
from conftest import SAMPLES
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon
from shapely.ops import substring
from strategies import notched_fields, slowly, star_fields

from fieldplan.boundary.load import load_fields
from fieldplan.coverage.cover import cover
from fieldplan.coverage.field import cover_field
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import Job, WorkingTerms
from fieldplan.plane.frame import frame_near

SIGMAS = 5.0
SLOWLY = slowly(6)


def _agrees(ground: MultiPolygon, got: Coverage, cell_m: float) -> None:
    """Bands as wide as the drill along every sown leg: their union, and points thrown at them, one into
    each cell of a grid.

    A cell that no edge of a band runs through is counted right. One that an edge runs through is off by at
    most half a cell's standard deviation, so a sum is off by about cell² × √(cells on edges / 4).
    """
    assert len(got.sowings) == 1
    width_m, audit = got.drill_width_m, got.audit
    sown = [leg for leg in got.legs if leg.sown]
    assert audit.drilled_m2 == pytest.approx(sum(leg.length_m for leg in sown) * width_m, rel=1e-9)
    # in halves: the library fills the ground inside a band that comes back over its own beginning
    halves = [
        substring(leg.line, start, start + 0.5, normalized=True) for leg in sown for start in (0.0, 0.5)
    ]
    bands = shapely.buffer(halves, width_m / 2, cap_style="flat", join_style="mitre")
    union = shapely.union_all(bands, grid_size=1e-5)
    assert audit.missed_m2 == pytest.approx(ground.difference(union).area, rel=0.01, abs=1.0)
    assert audit.outside_m2 == pytest.approx(union.difference(ground).area, rel=0.01, abs=1.0)
    off_m2 = SIGMAS * cell_m**2 * np.sqrt((shapely.length(bands).sum() + ground.length) / cell_m / 4)
    west, south, east, north = shapely.total_bounds([*bands, ground])
    x, y = np.meshgrid(np.arange(west, east, cell_m), np.arange(south, north, cell_m))
    thrown = np.random.default_rng(1).random((2, *x.shape)) * cell_m
    x, y = (x + thrown[0]).ravel(), (y + thrown[1]).ravel()
    # bands look for points, not points for bands: each band is then prepared once, for all of its points
    _, points = shapely.STRtree(shapely.points(x, y)).query(bands, predicate="intersects")
    times = np.bincount(points, minlength=len(x))
    inside = shapely.contains_xy(ground, x, y)
    covered_m2 = audit.plantable_m2 - audit.missed_m2 + audit.outside_m2
    for measured, sentence in (
        (times.sum(), audit.drilled_m2),
        (np.maximum(times - 1, 0).sum(), audit.overlap_m2),
        ((times > 0).sum(), covered_m2),
        (inside.sum(), audit.plantable_m2),
    ):
        assert measured * cell_m**2 == pytest.approx(sentence, abs=off_m2)


@SLOWLY
@given(field=star_fields())
def test_the_audit_is_what_the_drive_covers_on_star_shaped_fields(
    field: MultiPolygon, rig: Rig, working: WorkingTerms
) -> None:
    """Missed, outside, sown twice and drilled, each by itself."""
    _agrees(field, cover(Site(field_id="f", ground=field, rig=rig, working=working)), cell_m=1.0)


@SLOWLY
@given(field=notched_fields())
def test_the_audit_is_what_the_drive_covers_on_notched_fields(
    field: MultiPolygon, rig: Rig, working: WorkingTerms
) -> None:
    """The same where fields are cut into blocks."""
    _agrees(field, cover(Site(field_id="f", ground=field, rig=rig, working=working)), cell_m=1.5)


@SLOWLY
@given(field=star_fields(), bulge=st.floats(-0.15, 0.15), turn_deg=st.floats(0, 180))
def test_the_audit_is_what_the_drive_covers_along_curves(
    field: MultiPolygon, bulge: float, turn_deg: float, rig: Rig, working: WorkingTerms
) -> None:
    """The same where passes follow an arc that was drawn across the field, and none bends tighter than it may."""
    guide = _arc_across(field, bulge, turn_deg)
    got = cover(Site(field_id="f", ground=field, rig=rig, working=working, guides=(guide,)))
    _agrees(field, got, cell_m=1.0)
    assert got.pattern == "guide"
    blocks = [block for block in got.sowings[0].blocks if block.guide is not None]
    assert all(block.least_radius_m >= rig.pass_radius_m * (1 - 1e-3) for block in blocks)


def _arc_across(field: MultiPolygon, bulge: float, turn_deg: float) -> LineString:
    """A parabola through the middle of a field that leaves its chord by a share of its length."""
    x = np.linspace(-1, 1, 41)
    reach_m = float(np.hypot(*np.ptp(shapely.get_coordinates(field), axis=0)))
    line = LineString(np.stack([x, bulge * (1 - x**2)], axis=1) * reach_m)
    middle = field.representative_point()
    return shapely.affinity.translate(
        shapely.affinity.rotate(line, turn_deg, origin=(0, 0)), middle.x, middle.y
    )


@pytest.mark.parametrize("name", ["farm.geojson", "pivot.kml", "ponds.gpkg", "restoration.zip"])
def test_the_audit_is_what_the_drive_covers_on_sample_fields(name: str, job: Job) -> None:
    """The first two fields of each sample."""
    for field in load_fields(SAMPLES / name).fields[:2]:
        frame = frame_near(field.ground)
        _agrees(frame.to_plane(field.plantable), cover_field(field, job, frame), cell_m=3.0)
