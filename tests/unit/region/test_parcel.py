"""One parcel of a region is planned as ``fieldplan plan`` plans it alone, or has a code that says why not."""

from __future__ import annotations

from pathlib import Path

import geopandas
import numpy as np
import pytest
import region_files as r
from conftest import TODAY

import fieldplan
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.region import dataset as dataset_module
from fieldplan.region import parcel as parcel_module
from fieldplan.region.dataset import dataset_of, identity_of, repeated_rows
from fieldplan.region.parcel import FAULT, Parcel, Setup, plan_parcel


@pytest.fixture(scope="module")
def county(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The county's file."""
    return r.county(tmp_path_factory.mktemp("county") / "county.parquet")


@pytest.fixture(scope="module")
def setup(county: Path) -> Setup:
    """With the quick job beside it."""
    return r.setup_for(county, r.quick_job(county.parent))


@pytest.fixture(scope="module")
def parcels(county: Path) -> list[Parcel]:
    """All parcels of the county."""
    dataset, terms = dataset_of(str(county), ReadingTerms())
    again = set(repeated_rows(dataset, terms).tolist())
    return [
        Parcel(row=row, feature=feature, repeated=row in again)
        for row, _, feature in dataset.features(np.arange(10))
    ]


@pytest.fixture(scope="module")
def rows(parcels: list[Parcel], setup: Setup) -> list[dict[str, object]]:
    """A row each."""
    return [plan_parcel(parcel, setup).row for parcel in parcels]


def test_every_row_has_its_code(rows: list[dict[str, object]]) -> None:
    """Rows in are rows out, each planned or with the code that a plan would stop with."""
    assert [row["code"] for row in rows] == r.CODES
    assert [row["row"] for row in rows] == list(range(10))


def test_a_refused_outline_is_kept_and_measured(rows: list[dict[str, object]]) -> None:
    """A bow tie has its outline and area; a row without an outline has neither."""
    assert rows[3]["geometry"] is not None
    half = rows[0]["mapped_m2"]
    assert isinstance(half, float)
    assert rows[3]["mapped_m2"] == pytest.approx(half / 2, rel=1e-3)  # two triangles of a quarter each
    assert rows[5].get("geometry") is None


def test_an_id_that_comes_again_is_noted(rows: list[dict[str, object]]) -> None:
    """At the later row; both keep it."""
    noted = [row["row"] for row in rows if "id-twice" in row["notes"]]  # type: ignore[operator]
    assert noted == [7]
    assert rows[7]["field_id"] == rows[1]["field_id"] == "p1"


def test_region_equals_plan(county: Path, setup: Setup, rows: list[dict[str, object]]) -> None:
    """Each figure of a row is that of ``fieldplan plan`` for a file with this parcel alone."""
    frame = geopandas.read_parquet(county)
    for number in (0, 7, 9):
        plan = fieldplan.plan(frame.iloc[[number]], setup.jobs[""], today=TODAY).to_dict()
        field, row = plan["fields"][0], rows[number]
        for part in ("area", "coverage", "time"):
            same = {key: value for key, value in field[part].items() if key in row}
            assert same == {key: row[key] for key in same}
            assert same
        assert plan["job_time"]["job_s"] == row["job_s"]
        assert plan["totals"]["refills"] == row["refills"]
        order = {(line["species"], line["lot"]): line["need_kg"] for line in plan["order"]}
        assert order == {(lot["species"], lot["lot"]): lot["need_kg"] for lot in row["seed"]}  # type: ignore[attr-defined]
        of_field = {note["code"] for note in plan["notes"] if note.get("field_id")}
        assert set(row["notes"]) - {"id-twice"} <= {note["code"] for note in plan["notes"]}  # type: ignore[call-overload]
        assert of_field <= set(row["notes"])  # type: ignore[call-overload]


def test_a_fault_of_the_planner_is_a_code(
    parcels: list[Parcel], setup: Setup, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The kind of fault stands beside it, and the outline is kept."""

    def faulty(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(parcel_module, "plan_field", faulty)
    row = plan_parcel(parcels[0], setup).row
    assert (row["code"], row["detail"]) == (FAULT, "ZeroDivisionError")
    assert row["geometry"] is not None


def test_fiboa_layout_is_read(tmp_path: Path) -> None:
    """A file of the open boundary format: ``id``, ``metrics:area`` and a covering box beside the outline."""
    frame = geopandas.read_parquet(r.county(tmp_path / "a.parquet"))[["id", "geometry"]].iloc[:2]
    frame["metrics:area"] = [1.0, 2.0]
    frame["determination:method"] = "unknown"
    frame.to_parquet(tmp_path / "fiboa.parquet", schema_version="1.1.0", write_covering_bbox=True)
    dataset, _ = dataset_of(str(tmp_path / "fiboa.parquet"), ReadingTerms())
    (_, _, first), _ = dataset.features(np.arange(2))
    assert set(first.attributes) == {"id", "metrics:area", "determination:method"}
    assert first.attributes["id"] == "p0"


def test_bytes_that_are_no_outline_are_a_code(county: Path, tmp_path: Path, setup: Setup) -> None:
    """A row whose geometry is damaged, in a file that is fine otherwise, written by the library for Parquet itself."""
    import pyarrow as pa
    from pyarrow import parquet

    table = parquet.read_table(county)
    binary = table.column("geometry").to_pylist()
    binary[0], binary[1] = b"\x01garbage", binary[1][: len(binary[1]) // 2]
    at = table.schema.get_field_index("geometry")
    broken = table.set_column(at, table.schema.field(at), pa.array(binary, type=pa.binary()))
    parquet.write_table(broken, tmp_path / "broken.parquet")
    dataset, _ = dataset_of(str(tmp_path / "broken.parquet"), ReadingTerms())
    features = [(row, feature) for row, _, feature in dataset.features(np.arange(3))]
    rows = [plan_parcel(Parcel(row=row, feature=feature), setup).row for row, feature in features]
    assert [row["code"] for row in rows] == ["geometry-unreadable", "geometry-unreadable", ""]


def test_object_in_a_store_is_read(county: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By the library's own file systems: that of this machine stands in for a store."""
    monkeypatch.setattr(dataset_module, "_STORES", ("file://",))
    address = f"file://{county}"
    dataset, _ = dataset_of(address, ReadingTerms())
    assert sum(dataset.groups) == 10
    assert identity_of(address).sha256 == identity_of(str(county)).sha256


def test_rows_that_are_not_wanted_are_skipped(county: Path) -> None:
    """Any rows in ascending order, across row groups."""
    dataset, _ = dataset_of(str(county), ReadingTerms())
    found = [(row, feature.attributes["id"]) for row, _, feature in dataset.features(np.array([1, 8, 9]))]
    assert found == [(1, "p1"), (8, "p8"), (9, "p9")]
