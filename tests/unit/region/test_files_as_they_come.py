"""GeoParquet of others: what concerns the whole file is said at once, what concerns a row is a code in that row."""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import pytest
import region_files as r
import shapely

from fieldplan.boundary.load import examine
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError
from fieldplan.jobfile.load import load_job
from fieldplan.region.begin import run_of
from fieldplan.region.dataset import dataset_of
from fieldplan.region.parcel import Parcel, plan_parcel

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


def _circle(west: float, south: float, side: float, kind: int = 8) -> bytes:
    """A round outline as binary, in a square: two half circles by the standard (OGC 06-103r4)."""
    middle = south + side / 2
    places = [(west, middle), (west + side / 2, south + side), (west + side, middle)]
    places += [(west + side / 2, south), (west, middle)]
    ring = struct.pack("<BII", 1, kind, len(places)) + b"".join(struct.pack("<dd", *at) for at in places)
    return struct.pack("<BII", 1, 10, 1) + ring


def _with_second(folder: Path, binary: bytes) -> Path:
    """The county with another outline in its second row."""
    import pyarrow as pa

    table = parquet.read_table(r.county(folder / "county.parquet"))
    outlines = table.column("geometry").to_pylist()
    outlines[1] = binary
    at = table.schema.get_field_index("geometry")
    path = folder / "curved.parquet"
    parquet.write_table(
        table.set_column(at, table.schema.field(at), pa.array(outlines, type=pa.binary())), path
    )
    return path


def _features(path: Path) -> list[Any]:
    dataset, _ = dataset_of(str(path), ReadingTerms())
    return [feature for _, _, feature in dataset.features(np.arange(10))]


def test_a_curve_is_drawn_and_noted_in_its_row(tmp_path: Path) -> None:
    """As in other formats: the rows beside it say nothing of curves."""
    path = _with_second(tmp_path, _circle(-95.7, 44.2, 0.002))
    features = _features(path)
    assert [n for n, feature in enumerate(features) if feature.geometry is None] == [5]
    assert features[1].geometry.area == pytest.approx(math.pi * 0.001**2, rel=1e-6)
    setup = r.setup_for(path, r.quick_job(tmp_path))
    notes = [plan_parcel(Parcel(row=n, feature=features[n]), setup).row["notes"] for n in (0, 1)]
    assert ["curves-straightened" in of_row for of_row in notes] == [False, True]


@pytest.mark.parametrize("in_collection", [False, True])
def test_a_curve_is_drawn_by_check_and_plan(in_collection: bool, tmp_path: Path) -> None:
    """The same outline as in a region, with a note; the file was refused, or damaged where a collection held the curve."""
    curve = _circle(-95.7, 44.2, 0.002)
    path = _with_second(tmp_path, struct.pack("<BII", 1, 7, 1) + curve if in_collection else curve)
    found = examine(path, ReadingTerms(skip_bad=True, where=("id = p1", "county = Ash")))
    of_region = _features(path)[1]
    assert found.fields[0].ground.geoms[0].area == pytest.approx(of_region.geometry.area, rel=1e-12)
    assert "curves-straightened" in {note.code for note in found.notes}


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (lambda binary: binary[:-8], "unread/no-geometry"),
        (lambda binary: binary + b"more", "unread/more-bytes"),
        (lambda _: _circle(-95.7, 44.2, math.nan), "wkt/no-place"),
        (lambda _: _circle(-95.7, 44.2, 0.002, kind=13), "unread/no-geometry"),
    ],
)
def test_a_curve_that_is_none_stops_one_row(
    spoil: Callable[[bytes], bytes], why: str, tmp_path: Path
) -> None:
    """The row says why; the other rows are read."""
    features = _features(_with_second(tmp_path, spoil(_circle(-95.7, 44.2, 0.002))))
    assert [n for n, feature in enumerate(features) if feature.unreadable] == [1]
    assert features[1].unreadable.code == why


def test_a_ring_left_open_is_closed_as_in_other_formats(tmp_path: Path) -> None:
    """With a note in its row; its bytes were called no geometry."""
    binary = shapely.box(-95.7, 44.2, -95.698, 44.202).wkb
    (n_places,) = struct.unpack_from("<I", binary, 9)
    opened = binary[:9] + struct.pack("<I", n_places - 1) + binary[13:-16]
    path = _with_second(tmp_path, opened)
    assert [n for n, feature in enumerate(_features(path)) if feature.ring_unclosed] == [1]
    found = examine(path, ReadingTerms(skip_bad=True))
    assert "ring-closed" in {note.code for note in found.notes if note.field_id == "p1"}
