"""GeoParquet of others: what concerns the whole file is said at once, what concerns a row is a code in that row."""

from __future__ import annotations

import json
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import pytest
import region_files as r

from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError
from fieldplan.jobfile.load import load_job
from fieldplan.region.begin import run_of
from fieldplan.region.dataset import dataset_of

parquet = pytest.importorskip("pyarrow.parquet", reason="regions are read from it: the extra scale")
About = dict[str, Any]


def _described(folder: Path, change: Callable[[About], object]) -> Path:
    """The county with another description of its outlines."""
    table = parquet.read_table(r.county(folder / "county.parquet"))
    about = json.loads(table.schema.metadata[b"geo"])
    change(about)
    path = folder / "described.parquet"
    parquet.write_table(table.replace_schema_metadata({b"geo": json.dumps(about).encode()}), path)
    return path


def _problem(path: Path, **terms: Any) -> Any:
    jobs = {"": load_job(r.quick_job(path.parent))}
    with pytest.raises(BoundaryError) as caught:
        run_of(str(path), jobs, path.parent / "out", terms=ReadingTerms(**terms))
    return caught.value.problems[0]


@pytest.mark.parametrize("said", [None, "EPSG:99999", {"type": "nonsense"}])
def test_a_file_in_no_known_system_is_one_question(said: object, tmp_path: Path) -> None:
    """Not a code in each of 100,000 rows: the answer is one option, and the message shows where it would lie."""
    path = _described(tmp_path, lambda about: about["columns"]["geometry"].update(crs=said))
    problem = _problem(path)
    assert problem.code == "crs-missing"
    assert "--crs EPSG:4326" in problem.hint


def test_an_option_that_names_no_system_is_told_at_once(tmp_path: Path) -> None:
    """As by `fieldplan check`."""
    assert _problem(r.county(tmp_path / "county.parquet"), crs="EPSG:99999").code == "crs-unknown"


def test_a_file_without_rows_has_no_fields(tmp_path: Path) -> None:
    """An empty result would look as if all were done."""
    whole = geopandas.read_parquet(r.county(tmp_path / "county.parquet"))
    whole.iloc[:0].to_parquet(tmp_path / "none.parquet")
    assert _problem(tmp_path / "none.parquet").code == "no-fields"


def test_outlines_in_a_column_that_is_not_there_are_told(tmp_path: Path) -> None:
    """The description names a column that the table lacks."""

    def rename(about: About) -> None:
        about["columns"]["shape"] = about["columns"].pop("geometry")
        about["primary_column"] = "shape"

    assert _problem(_described(tmp_path, rename)).code == "format-unknown"


def test_a_curve_stops_one_row(tmp_path: Path) -> None:
    """Of well-known binary (OGC 06-103r4) with an arc, which the library does not read: the other rows are."""
    import pyarrow as pa

    corners = [(-95.7, 44.2), (-95.699, 44.201), (-95.698, 44.2), (-95.699, 44.199), (-95.7, 44.2)]
    arc = (
        b"\x01" + struct.pack("<II", 8, len(corners)) + b"".join(struct.pack("<dd", *at) for at in corners)
    )
    table = parquet.read_table(r.county(tmp_path / "county.parquet"))
    binary = table.column("geometry").to_pylist()
    binary[1] = b"\x01" + struct.pack("<II", 10, 1) + arc
    at = table.schema.get_field_index("geometry")
    curved = table.set_column(at, table.schema.field(at), pa.array(binary, type=pa.binary()))
    parquet.write_table(curved, tmp_path / "curved.parquet")
    dataset, _ = dataset_of(str(tmp_path / "curved.parquet"), ReadingTerms())
    features = [feature for _, _, feature in dataset.features(np.arange(10))]
    assert [n for n, feature in enumerate(features) if feature.unreadable] == [1]
    assert [n for n, feature in enumerate(features) if feature.geometry is None] == [1, 5]
