"""Ground swept: a swath that an overlay loses is found again."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
import shapely
from conftest import SAMPLES
from shapely import MultiPolygon, box

from fieldplan.boundary.load import load_fields
from fieldplan.coverage import swept as module
from fieldplan.coverage.cover import cover
from fieldplan.coverage.field import cover_field
from fieldplan.coverage.site import Site
from fieldplan.coverage.swept import GRID_M, Swept
from fieldplan.coverage.terms import Rig
from fieldplan.errors import PlanError
from fieldplan.model.job import Job, WorkingTerms
from fieldplan.plane.frame import frame_near


def test_a_lost_swath_is_found_again(
    monkeypatch: pytest.MonkeyPatch, rig: Rig, working: WorkingTerms
) -> None:
    """An overlay that drops the last polygon unless it is rounded to a grid: nothing is reported missed all
    the same.
    """
    field = MultiPolygon([box(0, 0, 300, 200)])
    right = cover(Site(field_id="f", ground=field, rig=rig, working=working)).audit
    whole = shapely.union_all

    drawn = right.missed_ground.area

    def losing(polygons: list[shapely.Polygon], grid_size: float | None = None) -> shapely.Geometry:
        return whole(polygons[:-1] if grid_size is None else polygons, grid_size=grid_size)

    lossy = SimpleNamespace(**{**vars(shapely), "union_all": losing})
    monkeypatch.setattr(module, "shapely", lossy)  # there alone: the layout has overlays of its own
    found = cover(Site(field_id="f", ground=field, rig=rig, working=working)).audit
    assert found.missed_m2 == pytest.approx(right.missed_m2, abs=0.5)
    assert found.overlap_m2 == pytest.approx(right.overlap_m2, abs=0.5)
    assert found.missed_ground.area == pytest.approx(drawn, abs=0.5)


def test_a_field_that_no_swath_fits_on_is_refused(rig: Rig, working: WorkingTerms) -> None:
    """Nothing is sown, all is missed: that is said, not stumbled over."""
    with pytest.raises(PlanError, match="nowhere as wide"):
        cover(Site(field_id="f", ground=MultiPolygon([box(0, 0, 1.0, 40.0)]), rig=rig, working=working))


@pytest.mark.parametrize("name", ["farm.geojson", "ponds.gpkg"])
def test_areas_are_those_of_overlays_on_sample_fields(name: str, job: Job) -> None:
    """To a hundred-thousandth of the field, with all swaths overlaid one by one."""
    for field in load_fields(SAMPLES / name).fields[:2]:
        frame = frame_near(field.ground)
        got, ground = cover_field(field, job, frame), frame.to_plane(field.plantable)
        grounds = got.sowings[0].swaths().grounds
        union, off_m2 = shapely.union_all(grounds, grid_size=GRID_M), 1e-5 * ground.area
        missed = shapely.difference(ground, union)
        assert got.audit.missed_m2 == pytest.approx(missed.area, abs=off_m2)
        assert got.audit.outside_m2 == pytest.approx(shapely.difference(union, ground).area, abs=off_m2)
        assert got.audit.overlap_m2 == pytest.approx(shapely.area(grounds).sum() - union.area, abs=off_m2)
        assert got.audit.missed_ground.area == pytest.approx(missed.area, abs=off_m2)


def test_missed_ground_is_cut_when_somebody_looks(
    monkeypatch: pytest.MonkeyPatch, rig: Rig, working: WorkingTerms
) -> None:
    """Not for a route that comes back for nothing: what is missed at corners of the headland is given up."""
    cuts: list[float | None] = []
    cut = Swept._cut
    monkeypatch.setattr(Swept, "_cut", lambda one, grid_m: (cuts.append(grid_m), cut(one, grid_m))[1])
    field = MultiPolygon([box(0, 0, 300, 200)])
    audit = cover(Site(field_id="f", ground=field, rig=rig, working=working)).audit
    assert audit.missed_m2 > rig.width_m**2
    assert not cuts
    assert audit.missed_ground.area == pytest.approx(audit.missed_m2, rel=1e-6)
    assert cuts == [None]
