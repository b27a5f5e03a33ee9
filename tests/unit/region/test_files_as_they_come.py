"""GeoParquet of others: what concerns the whole file is said at once, what concerns a row is a code in that row."""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import pytest
import region_files as r
import shapely

from fieldplan.boundary.attributes import text_of
from fieldplan.boundary.load import examine
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError
from fieldplan.jobfile.load import load_job
from fieldplan.region import begin as begin_module
from fieldplan.region import dataset as dataset_module
from fieldplan.region.begin import run_of
from fieldplan.region.dataset import dataset_of, values_of
from fieldplan.region.outline import outline_of
from fieldplan.region.parcel import Parcel, plan_parcel, row_without_plan

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


def _with_column(folder: Path, name: str, column: Any) -> Path:
    """The county with another column, or another in its place."""
    table = parquet.read_table(r.county(folder / "county.parquet"))
    at = table.schema.get_field_index(name)
    put = table.append_column if at < 0 else partial(table.set_column, at)
    parquet.write_table(put(name, column), folder / "column.parquet")
    return folder / "column.parquet"


@pytest.mark.parametrize("covering", [[1], {"bbox": {"xmin": 1}}, {"bbox": "box"}])
def test_a_covering_that_is_none_is_not_looked_at(covering: object, tmp_path: Path) -> None:
    """It says where boxes are, which are not needed: the run ended in a traceback."""
    path = _described(tmp_path, lambda about: about["columns"]["geometry"].update(covering=covering))
    assert len(_features(path)) == 10


def test_outlines_that_are_numbers_are_told(tmp_path: Path) -> None:
    """Numbers where binary should be: the run ended in a traceback."""
    path = _with_column(tmp_path, "geometry", [[1] * 10])
    problem = _problem(path)
    assert (problem.code, problem.file) == ("parquet-encoding", str(path))
    assert "int64" in str(problem)


def test_outlines_in_lists_of_another_depth_are_told(tmp_path: Path) -> None:
    """Lists of numbers where lists of rings of places should be."""
    flat = _with_column(tmp_path, "geometry", [[[1.0]] * 10])
    table = parquet.read_table(flat)
    about = json.loads(table.schema.metadata[b"geo"])
    about["columns"]["geometry"]["encoding"] = "polygon"
    parquet.write_table(table.replace_schema_metadata({b"geo": json.dumps(about).encode()}), flat)
    assert _problem(flat).code == "parquet-encoding"


def test_two_columns_of_outlines_with_one_name_are_told(tmp_path: Path) -> None:
    """Nothing says which is meant."""
    table = parquet.read_table(r.county(tmp_path / "county.parquet"))
    twice = table.append_column("geometry", table.column("geometry"))
    parquet.write_table(twice, tmp_path / "twice.parquet")
    assert _problem(tmp_path / "twice.parquet").code == "frame-column-twice"


def test_a_text_in_no_character_set_is_left_out_of_its_row(tmp_path: Path) -> None:
    """With a note there; the whole file was called damaged, for one letter in a name."""
    import pyarrow as pa

    texts = pa.array([b"Ash"] * 3 + [b"\xc4lm"] + [b"Elm"] * 6)
    path = _with_column(tmp_path, "town", pa.Array.from_buffers(pa.string(), 10, texts.buffers()))
    features = _features(path)
    assert [feature.attributes["town"] for feature in features] == ["Ash"] * 3 + [None] + ["Elm"] * 6
    assert [n for n, feature in enumerate(features) if feature.remarks] == [3]
    setup = r.setup_for(path, r.quick_job(tmp_path))
    assert features[3].remarks[0].code == "text-unread"
    row = plan_parcel(Parcel(row=3, feature=features[3]), setup).row
    assert json.loads(row["attributes"])["town"] is None


def test_ids_of_bytes_are_the_texts_they_spell(tmp_path: Path) -> None:
    """As databases write them; they stood there as b'p0'."""
    import pyarrow as pa

    path = _with_column(tmp_path, "id", pa.array([b"p%d" % n for n in range(9)] + [b"\xff\xfe"]))
    setup = r.setup_for(path, r.quick_job(tmp_path))
    ids = [
        row_without_plan(Parcel(row=n, feature=feature), setup, "")["field_id"]
        for n, feature in enumerate(_features(path))
    ]
    assert ids == [*(f"p{n}" for n in range(9)), "fffe"]


def _swapped(folder: Path, rows: Callable[[int], bool]) -> Path:
    frame = geopandas.read_parquet(r.county(folder / "county.parquet"))
    outlines = [
        shapely.transform(shape, lambda xy: xy[:, ::-1]) if shape is not None and rows(n) else shape
        for n, shape in enumerate(frame.geometry)
    ]
    frame.set_geometry(outlines, crs=4326).to_parquet(folder / "swapped.parquet")
    return folder / "swapped.parquet"


def test_a_file_that_is_swapped_as_a_whole_is_one_question(tmp_path: Path) -> None:
    """With the option that answers it; every row had the code, and none said what to do."""
    problem = _problem(_swapped(tmp_path, lambda _: True))
    assert problem.code == "axes-in-doubt"
    assert "--axes" in problem.hint


@pytest.mark.parametrize("n", [2, 9])
def test_a_file_that_is_swapped_but_for_a_row_is_planned(
    n: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wherever that row is: among the first that are looked at, or among the last."""
    monkeypatch.setattr(begin_module, "PROBED_ROWS", 4)
    path = _swapped(tmp_path, lambda number: number != n)
    run = run_of(str(path), {"": load_job(r.quick_job(tmp_path))}, tmp_path / "out", terms=ReadingTerms())
    assert run.n_rows == 10


def test_a_system_that_says_nothing_is_none(tmp_path: Path) -> None:
    """An empty object: it was called a system of the name None."""
    path = _described(tmp_path, lambda about: about["columns"]["geometry"].update(crs={}))
    assert "declares no reference system" in str(_problem(path))


def test_a_store_that_cannot_be_reached_is_not_a_damaged_file(monkeypatch: pytest.MonkeyPatch) -> None:
    """To export it again would not help."""

    def unreachable(_: str) -> Any:
        raise OSError("no such host")

    monkeypatch.setattr(dataset_module, "_stream", unreachable)
    with pytest.raises(BoundaryError) as caught:
        dataset_of("s3://county/fields.parquet", ReadingTerms())
    assert caught.value.problems[0].code == "file-unreadable"
    assert "damaged" not in str(caught.value)


def test_a_folder_of_parquet_names_a_file_in_it(tmp_path: Path) -> None:
    """As it does for other formats."""
    r.county(tmp_path / "county.parquet")
    with pytest.raises(BoundaryError) as caught:
        dataset_of(str(tmp_path), ReadingTerms())
    assert str(tmp_path / "county.parquet") in caught.value.problems[0].hint


def test_rows_off_the_earth_are_not_in_the_bounds(tmp_path: Path) -> None:
    """One of them made the bounds of the county endless."""
    table = parquet.read_table(_with_second(tmp_path, shapely.box(1e300, 0, 2e300, 1).wkb))
    path = tmp_path / "curved.parquet"
    assert table.num_rows == 10
    run = run_of(str(path), {"": load_job(r.quick_job(tmp_path))}, tmp_path / "out", terms=ReadingTerms())
    whole = geopandas.read_parquet(tmp_path / "county.parquet").drop(index=1)
    assert outline_of(run).bounds_deg == pytest.approx(tuple(whole.total_bounds), rel=1e-12)


def test_values_are_counted_as_they_are_added_up(tmp_path: Path) -> None:
    """A dry run had other texts for times and for numbers that are none than the sums have."""
    import pyarrow as pa

    times = pa.array([0, None, *range(8)], pa.timestamp("s", "UTC"))
    path = _with_column(tmp_path, "seen", times)
    setup = r.setup_for(path, r.quick_job(tmp_path))
    dataset, _ = dataset_of(str(path), ReadingTerms())
    rows = [
        row_without_plan(Parcel(row=n, feature=one), setup, "") for n, one in enumerate(_features(path))
    ]
    added = [text_of(json.loads(row["attributes"]), "seen") or "" for row in rows]
    assert list(values_of(dataset, "seen")) == added


def test_a_ring_of_lists_that_is_none_stops_one_row(tmp_path: Path) -> None:
    """Of two places, of a place without a number; the whole file was called damaged."""
    import pyarrow as pa

    places = [{"x": x, "y": y} for x, y in shapely.box(-95.7, 44.2, -95.698, 44.202).exterior.coords]
    without = [places[0], {**places[1], "x": None}, *places[2:]]
    apart = [{**places[0], "x": None}, *places[1:]]
    kind = pa.list_(pa.list_(pa.struct([("x", pa.float64()), ("y", pa.float64())])))
    outlines = pa.array([[places], [places[:2]], None, [without], [apart], *[[places]] * 5], kind)
    path = _with_column(tmp_path, "geometry", outlines)
    table = parquet.read_table(path)
    about = json.loads(table.schema.metadata[b"geo"])
    about["columns"]["geometry"]["encoding"] = "polygon"
    parquet.write_table(table.replace_schema_metadata({b"geo": json.dumps(about).encode()}), path)
    features = _features(path)
    assert [n for n, feature in enumerate(features) if feature.unreadable] == [1, 4]
    assert [n for n, feature in enumerate(features) if feature.geometry is None] == [1, 2, 4]
    assert not np.isfinite(shapely.get_coordinates(features[3].geometry)).all()


@pytest.mark.parametrize(
    "asked", [{"where": ("nothing = 1",)}, {"id_field": "nothing"}, {"mix_field": "nothing"}]
)
def test_an_attribute_that_no_row_has_is_told_at_once(asked: dict[str, Any], tmp_path: Path) -> None:
    """As by `fieldplan plan`; every row had the code."""
    assert _problem(r.county(tmp_path / "county.parquet"), **asked).code == "attribute-unknown"


def test_an_attribute_that_a_row_lacks_does_not_stop_it(tmp_path: Path) -> None:
    """GeoJSON has attributes in some features and not in others; `fieldplan plan` takes such a feature as without a value."""
    square = shapely.geometry.mapping(shapely.box(-95.7, 44.2, -95.698, 44.202))
    features = [
        {"type": "Feature", "properties": properties, "geometry": square}
        for properties in ({"plot": "a", "crop": "oats"}, {"crop": "oats"}, {"plot": "c"})
    ]
    path = tmp_path / "some.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    jobs = {"": load_job(r.quick_job(tmp_path))}
    terms = ReadingTerms(id_field="plot", where=("crop = oats",))
    run = run_of(str(path), jobs, tmp_path / "out", terms=terms)
    rows = [
        plan_parcel(Parcel(row=row, feature=feature), run.setup).row
        for row, _, feature in run.dataset.features(np.arange(3))
    ]
    assert [(row["field_id"], row["code"]) for row in rows] == [
        ("a", ""),
        ("field-2", ""),
        ("c", "not-chosen"),
    ]
