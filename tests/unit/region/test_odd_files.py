"""Files of a region as the world has them: encodings, columns and places; no acre is lost, none is lost without a code."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import pytest
import region_files as r
import shapely
from pyproj import CRS, Transformer
from shapely import GeometryCollection, LineString, MultiPolygon, Point, Polygon, box

from fieldplan.boundary.load import examine
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError
from fieldplan.jobfile.load import load_job
from fieldplan.model.region import Cell
from fieldplan.region.begin import run_of
from fieldplan.region.columns import Row
from fieldplan.region.dataset import repeated_rows
from fieldplan.region.parcel import Setup, plan_parcel, row_without_plan
from fieldplan.region.parts import parts_of
from fieldplan.region.squares import Squares

pa = pytest.importorskip("pyarrow", reason="regions are read from it: the extra scale")
W, S, SIDE = -95.7, 44.2, 0.002


def _square(number: int = 0) -> Polygon:
    west = W + 0.004 * number
    return box(west, S, west + SIDE, S + SIDE)


def _parquet(path: Path, binary: list[bytes | None], said: Any = None, **columns: Any) -> Path:
    """GeoParquet as others write it, with more to say of its geometries and with more columns."""
    from pyarrow import parquet

    about = {"encoding": "WKB", "geometry_types": [], **(said or {})}
    geo = {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": about}}
    table = pa.table(
        {
            "id": [f"p{n}" for n in range(len(binary))],
            **columns,
            "geometry": pa.array(binary, type=pa.binary()),
        }
    )
    parquet.write_table(table.replace_schema_metadata({b"geo": json.dumps(geo).encode()}), path)
    return path


def _rows(path: Path) -> list[Row]:
    """A row each: of what is refused as it stands in the result, of the rest the acres that were read."""
    run = run_of(
        str(path),
        {"": load_job(r.quick_job(path.parent))},
        path.parent / "out",
        terms=ReadingTerms(),
    )
    repeated = repeated_rows(run.dataset, ReadingTerms())
    parts = parts_of(run.dataset, run.cuts, range(len(run.cuts)), repeated)
    return [_row(parcel, run.setup) for part in parts for parcel in part.parcels]


def _row(parcel: Any, setup: Setup) -> Row:
    from fieldplan.boundary.load import examine_layers
    from fieldplan.region.parcel import replace

    layer = replace(setup.layers[parcel.layer], features=(parcel.feature,))
    found = examine_layers(setup.path, setup.kind, (layer,), setup.terms, n_before=parcel.row)
    if found.problems or not found.fields:
        return plan_parcel(parcel, setup).row
    row = row_without_plan(parcel, setup, "")
    return {**row, "mapped_m2": found.fields[0].mapped_m2}


def _acres(path: Path) -> list[tuple[str, int]]:
    return [(row["code"], round(row.get("mapped_m2") or 0)) for row in _rows(path)]


M2 = 35_528
"""Of `_square`; every spelling of it must give the same."""


@pytest.mark.parametrize("several", [False, True])
def test_outlines_as_lists_of_places_are_those_of_binary(several: bool, tmp_path: Path) -> None:
    """Both encodings of GeoParquet 1.1; the parcels are the same, whichever a program chose."""
    shapes = [_square(0), _square(1), None]
    if several:
        shapes = [MultiPolygon([_square(0)]), MultiPolygon([_square(1), _square(2)]), None]
    frame = geopandas.GeoDataFrame({"id": ["a", "b", "c"]}, geometry=shapes, crs=4326)
    frame.to_parquet(tmp_path / "lists.parquet", geometry_encoding="geoarrow")
    frame.to_parquet(tmp_path / "binary.parquet")
    lists, binary = _acres(tmp_path / "lists.parquet"), _acres(tmp_path / "binary.parquet")
    assert lists == binary == [("", M2), ("", 2 * M2 if several else M2), ("no-geometry", 0)]


def test_spellings_of_one_square_are_one_square(tmp_path: Path) -> None:
    """Big-endian, with heights, with measures, by either way to write those (OGC 06-103r4; PostGIS)."""
    high = shapely.force_3d(_square(), 300.0)
    measured = shapely.from_wkt(
        f"POLYGON M (({', '.join(f'{x} {y} {n}' for n, (x, y) in enumerate(_square().exterior.coords))}))"
    )
    spelled = [
        shapely.to_wkb(_square(), byte_order=0),
        shapely.to_wkb(high, flavor="iso"),
        shapely.to_wkb(high, flavor="extended"),
        shapely.to_wkb(measured, flavor="iso"),
        shapely.to_wkb(measured, flavor="extended"),
        GeometryCollection([_square(), Point(W, S)]).wkb,
        GeometryCollection([GeometryCollection([_square(), LineString([(W, S), (W + 1, S)])])]).wkb,
    ]
    assert _acres(_parquet(tmp_path / "spelled.parquet", spelled)) == [("", M2)] * len(spelled)


def test_what_is_no_outline_has_a_code(tmp_path: Path) -> None:
    """Nothing, empty shapes, points, and bytes that end too early: each row says which."""
    binary = [None, b"", Polygon().wkb, Point().wkb, GeometryCollection([Point(W, S)]).wkb, _square().wkb]
    codes = [code for code, _ in _acres(_parquet(tmp_path / "none.parquet", binary))]
    assert codes == ["no-geometry", "geometry-unreadable", "no-geometry", "no-geometry", "points", ""]


def test_a_geometry_that_ends_too_early_is_named(tmp_path: Path) -> None:
    """By plan and check too, so that the rest can be planned: the whole file was called damaged."""
    path = _parquet(tmp_path / "early.parquet", [_square(0).wkb, _square(1).wkb[:-9], None, _square(2).wkb])
    found = examine(path)
    assert [problem.code for problem in found.problems] == ["geometry-unreadable"]
    assert found.problems[0].about == "feature 2"
    left = examine(path, ReadingTerms(skip_bad=True))
    assert [field.field_id for field in left.fields] == ["p0", "p3"]
    assert not left.problems


def test_other_columns_of_geometries_are_told_and_are_no_attributes(tmp_path: Path) -> None:
    """Their bytes stood in every row of the result; and whoever has outlines in the other column reads why there are none."""
    binary: list[bytes | None] = [_square(0).wkb, _square(1).wkb]
    points = pa.array([_square(n).centroid.wkb for n in (0, 1)], type=pa.binary())
    path = _parquet(tmp_path / "two.parquet", binary, middle=points)
    from pyarrow import parquet

    table = parquet.read_table(path)
    geo = json.loads(table.schema.metadata[b"geo"])
    geo["columns"]["middle"] = geo["columns"]["geometry"]
    parquet.write_table(table.replace_schema_metadata({b"geo": json.dumps(geo).encode()}), path)
    assert [row["attributes"] for row in _rows(path)] == ['{"id": "p0"}', '{"id": "p1"}']
    told = [note for note in examine(path).notes if note.code == "other-geometries"]
    assert [(note.values["name"], note.values["others"]) for note in told] == [("geometry", ("middle",))]


def test_boxes_of_outlines_are_no_attributes(tmp_path: Path) -> None:
    """The covering of GeoParquet 1.1."""
    sides = ("xmin", "ymin", "xmax", "ymax")
    boxes = [dict(zip(sides, _square(n).bounds, strict=True)) for n in (0, 1)]
    said = {"covering": {"bbox": {side: ["box", side] for side in sides}}}
    path = _parquet(tmp_path / "boxes.parquet", [_square(0).wkb, _square(1).wkb], said, box=boxes)
    assert [row["attributes"] for row in _rows(path)] == ['{"id": "p0"}', '{"id": "p1"}']


@pytest.mark.parametrize("leave_out", [("id",), ("id", "area", "bbox", "scope", "usages")])
def test_a_system_without_a_code_is_read_by_its_parameters(
    leave_out: tuple[str, ...], tmp_path: Path
) -> None:
    """PROJJSON as a database writes it that keeps no codes, in feet of a state's zone."""
    zone = CRS(2227)
    to_feet = Transformer.from_crs("OGC:CRS84", zone, always_xy=True)
    square = box(-122.0, 37.5, -121.998, 37.502)
    in_feet = shapely.transform(square, lambda xy: np.column_stack(to_feet.transform(xy[:, 0], xy[:, 1])))
    said = {key: value for key, value in json.loads(zone.to_json()).items() if key not in leave_out}
    path = _parquet(tmp_path / "feet.parquet", [in_feet.wkb], {"crs": said})
    degrees = _parquet(tmp_path / "degrees.parquet", [square.wkb])
    (code, in_zone), (_, on_earth) = _acres(path)[0], _acres(degrees)[0]
    assert code == ""
    assert in_zone == pytest.approx(on_earth, rel=1e-5)  # a side of 176 m is a straight line in both


def _strip(west: float, east: float, south: float = 51.9) -> Polygon:
    return Polygon([(west, south), (east, south), (east, south + SIDE), (west, south + SIDE)])


def test_a_county_on_both_sides_of_longitude_180(tmp_path: Path) -> None:
    """The same strip on one side, cut into two, and as one ring that jumps: that one is refused, with its outline there."""
    cut = MultiPolygon([_strip(179.999, 180.0), _strip(-180.0, -179.999)])
    jumps = _strip(179.999, -179.999)
    path = _parquet(tmp_path / "line.parquet", [_strip(179.99, 179.992).wkb, cut.wkb, jumps.wkb])
    rows = _rows(path)
    assert [row["code"] for row in rows] == ["", "", "across-date-line"]
    assert {round(row["mapped_m2"] / 10) for row in rows} == {round(rows[0]["mapped_m2"] / 10)}
    whole = shapely.from_wkb(rows[2]["geometry"])
    assert [part.bounds[2] - part.bounds[0] for part in whole.geoms] == pytest.approx([0.001, 0.001])
    squares = Squares()
    for row in rows:
        squares.add({**row, "job_s": 3600.0})
    assert all(abs(one.lon_deg) > 179.9 for one in squares.cells())  # not in the middle of the map


def test_the_map_of_a_county_on_both_sides_of_longitude_180() -> None:
    """Is as wide as the county, not as the Earth."""
    from types import SimpleNamespace

    from fieldplan.report.pictures.region_svg import region_svg
    from fieldplan.report.words.quantities import Quantities

    def cells(*lons: float) -> Any:
        made = tuple(
            Cell(lon_deg=lon, lat_deg=52.0, job_s=3600.0, n_planned=1, n_refused=0) for lon in lons
        )
        return SimpleNamespace(name="county", cells=made, cell_deg=0.25)

    assert region_svg(cells(179.5, -180.0), Quantities("us")) == region_svg(
        cells(-10.5, -10.0), Quantities("us")
    )


def test_an_encoding_that_no_standard_has_is_told(tmp_path: Path) -> None:
    """At once, for all rows share it."""
    path = _parquet(tmp_path / "text.parquet", [_square().wkb], {"encoding": "WKT"})
    with pytest.raises(BoundaryError) as caught:
        _rows(path)
    assert caught.value.problems[0].code == "parquet-encoding"


def test_ids_that_come_again_are_noted_in_their_rows(tmp_path: Path) -> None:
    """All but the first."""
    path = _parquet(tmp_path / "twice.parquet", [_square(n).wkb for n in range(3)])
    from pyarrow import parquet

    table = parquet.read_table(path)
    parquet.write_table(table.set_column(0, "id", pa.array(["a", "b", "a"])), path)
    assert [row["notes"] for row in _rows(path)] == [[], [], ["id-twice"]]
