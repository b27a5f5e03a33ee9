"""Layers of edges and guides beside the parcels, and files of guides: placed once, with the rows of `fieldplan plan`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import geopandas
import pytest
import region_files as r
from conftest import TODAY
from shapely import LineString, Polygon, box

import fieldplan
from fieldplan.api.fields import Fields
from fieldplan.boundary import aside as aside_module
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, UsageError
from fieldplan.jobfile.load import load_job
from fieldplan.region.begin import run_of
from fieldplan.region.parcel import plan_parcel
from fieldplan.region.parts import parts_of
from fieldplan.region.run import Run, begun

W, S, SIDE = -95.7, 44.2, 0.002


def _square(number: int) -> Polygon:
    west = W + 0.004 * number
    return box(west, S, west + SIDE, S + SIDE)


def _county(folder: Path) -> Path:
    """Three squares; an open south side of the second, a fenced one of the third, and a line along none."""
    path = folder / "county.gpkg"
    south = [LineString([(_square(n).bounds[0], S), (_square(n).bounds[2], S)]) for n in (1, 2)]
    away = LineString([(W, S + 0.1), (W + SIDE, S + 0.1)])
    parcels = geopandas.GeoDataFrame(
        {"id": ["a", "b", "c"]}, geometry=[_square(n) for n in range(3)], crs=4326
    )
    edges = geopandas.GeoDataFrame({"edge": ["open", "fenced", "open"]}, geometry=[*south, away], crs=4326)
    parcels.to_crs(32615).to_file(path, layer="fields")
    edges.to_crs(32615).to_file(path, layer="edges")
    return path


def _guides(folder: Path, bend: float = 0.0) -> Path:
    """A line over the first square, along its west side."""
    line = LineString([(W + 0.0004, S), (W + 0.0004 + bend, S + SIDE)])
    path = folder / "guides.gpkg"
    path.unlink(missing_ok=True)
    geopandas.GeoDataFrame({"k": [1]}, geometry=[line], crs=4326).to_file(path, layer="lines")
    return path


def _run(path: Path, job: Path, **terms: Any) -> Run:
    return run_of(str(path), {"": load_job(job)}, path.parent / "out", terms=ReadingTerms(**terms))


def test_rows_are_those_of_a_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each as if its parcel were alone with all lines, which are placed once for all parcels."""
    path, job, guides = _county(tmp_path), r.quick_job(tmp_path), _guides(tmp_path)
    placed = []
    real = aside_module.lines_of

    def counted(layer: Any, *more: Any) -> Any:
        placed.append(layer.name)
        return real(layer, *more)

    monkeypatch.setattr(aside_module, "lines_of", counted)
    run = _run(path, job, guides=(guides,))
    (part,) = parts_of(run.dataset, run.cuts, [0], repeated=run.cuts[0][:0])
    rows = [plan_parcel(parcel, run.setup).row for parcel in part.parcels]
    assert placed == ["edges", "lines"]
    for row, drawn in zip(rows, ["guides-drawn", "edge-drawn", "edge-drawn"], strict=True):
        assert drawn in row["notes"]
        terms = ReadingTerms(guides=(guides,), where=(f"id = {row['field_id']}",))
        alone = fieldplan.plan(Fields(path, terms, (), 0.0, "us"), job, today=TODAY)
        totals = alone.model.fields[0].totals
        assert row["turn_m"] == pytest.approx(totals.turn_m, rel=1e-12)
        assert row["pass_m"] == pytest.approx(totals.pass_m, rel=1e-12)
    assert len({row["turn_m"] for row in rows}) == 3


def test_guides_that_are_not_there_are_told_at_once(tmp_path: Path) -> None:
    """Not in each of 100,000 rows."""
    path, job = _county(tmp_path), r.quick_job(tmp_path)
    with pytest.raises(BoundaryError) as caught:
        _run(path, job, guides=(tmp_path / "none.gpkg",))
    assert caught.value.problems[0].code == "file-not-found"


def test_a_run_does_not_go_on_with_other_guides(tmp_path: Path) -> None:
    """Of the same name: half of the rows would follow other lines."""
    path, job = _county(tmp_path), r.quick_job(tmp_path)
    with begun(_run(path, job, guides=(_guides(tmp_path),)), force=False):
        pass
    with begun(_run(path, job, guides=(_guides(tmp_path),)), force=False):
        pass
    other = _run(path, job, guides=(_guides(tmp_path, bend=0.0002),))
    with pytest.raises(UsageError) as caught, begun(other, force=False):
        pass
    assert caught.value.problems[0].code == "region-another"
