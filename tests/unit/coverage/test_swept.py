"""Ground swept: a swath that an overlay loses is found again."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
import shapely
from shapely import MultiPolygon, box

from fieldplan.coverage import swept as module
from fieldplan.coverage.cover import cover
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.errors import PlanError
from fieldplan.model.job import WorkingTerms


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
