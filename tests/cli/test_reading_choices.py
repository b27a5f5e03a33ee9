"""What a person chooses of a boundary file: layers, features, names, exclusions; and text that stays
text.
"""

from __future__ import annotations

import csv
import json
import shutil
import unicodedata
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import boundary_builders as s
import geopandas
import pytest
import shapely
from boundary_builders import POND, SQUARE
from conftest import SAMPLES
from shapely import LineString, Point

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.cli.main import exit_code
from fieldplan.units import ACRE_M2

JOB = SAMPLES / "farm.toml"
EAST = s.moved(SQUARE, 0.02)


def _checked(capsys: pytest.CaptureFixture[str], path: Path, *options: str) -> dict[str, Any]:
    assert exit_code(["check", str(path), "--json", *options]) == 0, capsys.readouterr().err
    shown: dict[str, Any] = json.loads(capsys.readouterr().out)
    return shown


def _planned(
    capsys: pytest.CaptureFixture[str], path: Path, *options: str, job: Path = JOB
) -> dict[str, Any]:
    assert exit_code(["plan", str(path), "--job", str(job), "--json", *options]) == 0, (
        capsys.readouterr().err
    )
    shown: dict[str, Any] = json.loads(capsys.readouterr().out)
    return shown


def test_every_layer_is_read_or_the_one_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two layers of a GeoPackage, and a table without geometry that is no layer of outlines."""
    path = s.vector(tmp_path / "farm.gpkg", SQUARE, driver="GPKG", layer="north")
    s.frame([EAST]).to_file(path, driver="GPKG", layer="south")
    both = _checked(capsys, path)
    assert [layer["layer"] for layer in both["layers"]] == ["north", "south"]
    assert [field["field_id"] for field in both["fields"]] == ["north 1", "north 1-2"]
    assert len(_checked(capsys, path, "--layer", "south")["fields"]) == 1


def test_every_folder_of_kml_is_a_layer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Half a farm in each folder."""
    folders = "".join(
        f"<Folder><name>{name}</name><Placemark><name>{name} field</name><Polygon><outerBoundaryIs><LinearRing><coordinates>"
        f"{s.kml_ring(shape)}</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Folder>"
        for name, shape in (("Home", SQUARE), ("River", EAST))
    )
    path = s.kml(tmp_path / "farm.kml", more=folders)
    found = _checked(capsys, path)
    assert [layer["layer"] for layer in found["layers"]] == ["Home", "River"]
    assert [field["name"] for field in found["fields"]] == ["Home field", "River field"]


def test_every_boundary_of_a_zip_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two Shapefiles deep in folders, in capitals, and a KML beside what an unzipper leaves behind."""
    (tmp_path / "made").mkdir()
    first = s.shapefile(tmp_path / "made" / "a.shp", SQUARE)
    second = s.shapefile(tmp_path / "made" / "b.shp", EAST)
    members: dict[str, Path | bytes | str] = {
        "My Farm/deep/A.SHP": first.read_bytes(),
        "My Farm/deep/A.DBF": first.with_suffix(".dbf").read_bytes(),
        "My Farm/deep/A.PRJ": first.with_suffix(".prj").read_bytes(),
        "My Farm/deep/A.SHX": first.with_suffix(".shx").read_bytes(),
        "other/b.shp": second,
        "c.kml": s.kml(tmp_path / "made" / "c.kml", s.kml_ring(s.moved(SQUARE, 0.04))),
        "__MACOSX/My Farm/deep/._A.SHP": b"rubbish",
        "read me.pdf": b"%PDF",
    }
    found = _checked(capsys, s.zipped(tmp_path / "farm.zip", members))
    assert {layer["layer"] for layer in found["layers"]} == {"A", "b", "c"}
    assert len(found["fields"]) == 3


def test_zipped_geodatabase_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The folder as it travels."""
    database = s.vector(tmp_path / "farm.gdb", SQUARE, EAST, driver="OpenFileGDB")
    path = s.zipped(
        tmp_path / "farm.zip", {f"export/farm.gdb/{one.name}": one for one in database.iterdir()}
    )
    assert len(_checked(capsys, path)["fields"]) == 2


@pytest.mark.parametrize(
    ("condition", "names"),
    [
        ("crop = oats", ["a", "c"]),
        ("crop != oats", ["b"]),
        ("size > 9", ["b", "c"]),
        ("SIZE<=10", ["a", "b"]),
        ("crop=", []),
    ],
)
def test_where_chooses_features(
    condition: str, names: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Numbers compare as numbers, text as text, names whatever their case; what is not chosen is
    counted.
    """
    path = tmp_path / "fields.gpkg"
    shapes = [s.moved(SQUARE, 0.02 * i) for i in range(3)]
    s.frame(shapes, name=["a", "b", "c"], crop=["oats", "rye", "oats"], size=[9, 10, 100]).to_file(
        path, driver="GPKG"
    )
    code = exit_code(["check", str(path), "--json", "--where", condition])
    found = json.loads(capsys.readouterr().out)
    assert code == (0 if names else 3)
    assert [field["name"] for field in found["fields"]] == names
    assert found["layers"][0]["left_out"] == {"not chosen by --where": 3 - len(names)}


def test_ids_names_mix_gate_and_priority_come_from_attributes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The attributes asked for; fields in the order of their priority; the gate where it is said to be."""
    path = tmp_path / "fields.geojson"
    frame = s.frame(
        [SQUARE, EAST],
        name=["a", "b"],
        parcel=["P-7", "P-8"],
        called=["Heron", "Egret"],
        seed=["oats and alfalfa"] * 2,
        priority=[2, 1],
        gate=["44.2, -95.7", "44.207, -95.68"],
    )
    frame.to_file(path, driver="GeoJSON")
    plan = _planned(
        capsys, path, "--id-field", "parcel", "--name-field", "called", "--mix-field", "seed", "--legs"
    )
    assert [(one["field_id"], one["name"], one["mix"]) for one in plan["fields"]] == [
        ("P-8", "Egret", "oats and alfalfa"),
        ("P-7", "Heron", "oats and alfalfa"),
    ]
    assert "gate-assumed" not in {note["code"] for note in plan["notes"]}


def test_nothing_is_double_counted_among_exclusions(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Overlapping exclusions with set-backs: acres by reason add up to the acres removed, and the audit
    closes.
    """
    fields = s.geojson(tmp_path / "fields.geojson", SQUARE)
    reasons = {
        "wet": (POND, "30 ft"),
        "cultural site": (s.moved(POND, 0.001), None),
        "tree": (Point(-95.692, 44.2035), "10 m"),
        "drive": (LineString([(-95.7, 44.2055), (-95.69, 44.2055)]), "4 m"),
    }
    features = [
        {
            "type": "Feature",
            "properties": {"reason": reason, "set_back": back},
            "geometry": shapely.geometry.mapping(shape),
        }
        for reason, (shape, back) in reasons.items()
    ]
    wet = tmp_path / "wet.geojson"
    wet.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    plan = _planned(capsys, fields, "--exclusions", str(wet), "--out", str(tmp_path / "out"))
    area = plan["fields"][0]["area"]
    by_reason = area["excluded_by_reason_m2"]
    assert set(by_reason) == set(reasons)
    assert sum(by_reason.values()) == pytest.approx(area["excluded_m2"], rel=1e-12)
    assert area["plantable_m2"] == pytest.approx(area["mapped_m2"] - area["excluded_m2"], rel=1e-12)
    assert by_reason["tree"] == pytest.approx(3.14159 * 100, rel=1e-3)
    assert by_reason["cultural site"] < geodesic_area_m2(POND), (
        "what lies in the wet spot's set-back is counted there"
    )
    closed = area["drilled_m2"] - area["double_sown_m2"] - area["outside_m2"] + area["missed_m2"]
    assert closed == pytest.approx(area["plantable_m2"], rel=1e-6)
    drawn = geopandas.read_file(tmp_path / "out" / "plan.gpkg", layer="excluded")
    assert set(drawn["reason"]) == set(reasons)
    assert drawn["excluded_m2"].sum() == pytest.approx(area["excluded_m2"])
    passes = geopandas.read_file(tmp_path / "out" / "plan.gpkg", layer="passes")
    shrunk = shapely.buffer(drawn.union_all(), -1e-7)
    assert not passes.intersects(shrunk).any(), "a pass runs over excluded ground"


def test_exclusions_of_a_job_file_hold_for_their_field(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """``[field.a] exclusions`` names a file beside the job file; field b keeps its ground."""
    path = tmp_path / "fields.geojson"
    s.frame([SQUARE, EAST], name=["a", "b"]).to_file(path, driver="GeoJSON")
    s.geojson(tmp_path / "wet.geojson", POND, s.moved(POND, 0.02), properties={"reason": "wet"})
    job = tmp_path / "job.toml"
    shutil.copy(SAMPLES / "rates.toml", tmp_path)
    job.write_text(
        JOB.read_text(encoding="utf-8") + '\n[field.a]\nexclusions = "wet.geojson"\n', encoding="utf-8"
    )
    one, other = _planned(capsys, path, job=job)["fields"]
    assert one["area"]["excluded_by_reason_m2"] == {"wet": pytest.approx(geodesic_area_m2(POND), rel=1e-6)}
    assert other["area"]["excluded_m2"] == 0


def test_a_field_takes_the_exclusions_it_names(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An attribute lists the reasons that apply to a field."""
    path = tmp_path / "fields.geojson"
    s.frame([SQUARE, EAST], name=["a", "b"], exclusions=["wet; steep", "none"]).to_file(
        path, driver="GeoJSON"
    )
    s.geojson(tmp_path / "wet.geojson", POND, s.moved(POND, 0.02), properties={"reason": "Wet"})
    one, other = _checked(capsys, path, "--exclusions", str(tmp_path / "wet.geojson"))["fields"]
    assert one["excluded_m2"] > 0
    assert other["excluded_m2"] == 0


NASTY = {
    "markup": "<script>alert(1)</script> & <b>bold</b>",
    "formula": "=HYPERLINK(\"http://127.0.0.1\")+cmd|' /c calc'!A1",
    "minus": "-2+3",
    "lines": "two\nlines\r\nand\ta tab",
    "escape": "red \x1b[31m and bell \x07 \x00 end",
    "backwards": "abc\u202egpk.exe",
    "long": "long " * 60,
    "emoji": "🌾 prairie 草地 é́",
    "lone surrogate": "half \ud83c of one",
}


@pytest.mark.parametrize("kind", NASTY)
def test_text_from_a_file_stays_text(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A name comes through JSON and GeoPackage as it is, and commands nothing on the terminal."""
    name = NASTY[kind]
    path = s.geojson(tmp_path / "fields.geojson", SQUARE, properties={"name": name, "id": 7})
    plan = _planned(capsys, path, "--out", str(tmp_path / "out"))
    expected = name.strip().replace("\ud83c", "?").replace("\x00", "")
    assert plan["fields"][0]["name"] == expected
    fields = geopandas.read_file(tmp_path / "out" / "plan.gpkg", layer="fields")
    assert fields["name"][0] == expected
    for command in (["check", str(path)], ["acres", str(path)], ["plan", str(path), "--job", str(JOB)]):
        assert exit_code(command) == 0
        page = capsys.readouterr().out
        assert not [
            c
            for c in page
            if c != "\n" and (unicodedata.category(c) == "Cc" or ord(c) in range(0x202A, 0x202F))
        ]
        assert max(len(line) for line in page.splitlines()) < 160


@pytest.mark.parametrize("kind", NASTY)
def test_text_from_a_file_commands_nothing_in_any_output(kind: str, tmp_path: Path) -> None:
    """A name and an id come through page, sheets, labels, spreadsheet, KML, GPX and CSV as text: no markup,
    no formula, no broken file.
    """
    path = s.geojson(
        tmp_path / "fields.geojson", SQUARE, properties={"name": NASTY[kind], "id": NASTY[kind]}
    )
    out = tmp_path / "out"
    names = "page,sheet,labels,setup,order,kml,gpx,timeline,svg"
    assert exit_code(["plan", str(path), "--job", str(JOB), "--out", str(out), "--write", names, "-q"]) == 0
    page = (out / "plan.html").read_text(encoding="utf-8")
    assert "<script>alert" not in page
    assert page.count("<script") == 3  # the legs of the field, words, the program
    for file in ("plan.kml", "plan.gpx", *(one.name for one in out.glob("*.svg"))):
        ElementTree.fromstring((out / file).read_bytes())
    with (out / "timeline.csv").open(encoding="utf-8", newline="") as stream:
        assert not [row for row in csv.reader(stream) if row[0].startswith(("=", "+", "-", "@"))]
    assert sorted(one.name for one in out.glob("map-*.svg"))[0].isascii()


def test_a_name_in_an_error_commands_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Text of a file that stands in a message is made harmless too."""
    path = s.geojson(tmp_path / "fields.geojson", SQUARE, SQUARE, properties={"id": "a\x1b]0;owned\x07b"})
    assert exit_code(["check", str(path)]) == 3
    printed = capsys.readouterr()
    assert "\x1b" not in printed.err + printed.out
    assert "\x07" not in printed.err + printed.out


def test_acres_before_and_after_are_said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The whole way of a repair: acres before and after stand in the note."""
    path = s.geojson(
        tmp_path / "fields.geojson",
        {
            "type": "MultiPolygon",
            "coordinates": [[list(SQUARE.exterior.coords)], [list(POND.exterior.coords)]],
        },
    )
    found = _checked(capsys, path)
    (note,) = [note for note in found["notes"] if note["code"] == "hole-recovered"]
    outer, inner = geodesic_area_m2(SQUARE) / ACRE_M2, geodesic_area_m2(POND) / ACRE_M2
    assert f"{outer + inner:.2f} ac as drawn, {outer - inner:.2f} ac with the holes out" in note["text"]


def test_a_field_cut_at_longitude_180_is_planned_as_one_and_written_cut(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It measures and plans like the same field a degree to the west, exclusion and all; no longitude
    written is past 180.
    """
    west, east = shapely.box(179.997, -16.8, 180, -16.797), shapely.box(-180, -16.8, -179.997, -16.797)
    pond = shapely.box(-179.999, -16.799, -179.998, -16.798)
    whole = s.moved(shapely.box(179.997, -16.8, 180.003, -16.797), -1)
    cut = s.geojson(tmp_path / "cut.geojson", shapely.MultiPolygon([west, east]))
    wet = s.geojson(tmp_path / "wet.geojson", pond, properties={"reason": "wet"})
    plain = s.geojson(tmp_path / "plain.geojson", whole)
    plain_wet = s.geojson(tmp_path / "plain_wet.geojson", s.moved(pond, 359), properties={"reason": "wet"})
    out = tmp_path / "out"
    one = _planned(capsys, cut, "--exclusions", str(wet), "--out", str(out), "--write", "gpkg,kml,fiboa")[
        "fields"
    ][0]["area"]
    other = _planned(capsys, plain, "--exclusions", str(plain_wet))["fields"][0]["area"]
    for name in ("mapped_m2", "excluded_m2", "plantable_m2"):
        assert one[name] == pytest.approx(other[name], rel=1e-6)
    assert one["excluded_m2"] > 0
    for layer in ("fields", "passes", "excluded"):
        drawn = geopandas.read_file(out / "plan.gpkg", layer=layer)
        assert drawn.total_bounds[0] >= -180
        assert drawn.total_bounds[2] <= 180
        assert (drawn.explode().bounds.maxx - drawn.explode().bounds.minx).max() < 0.01
    kml = ElementTree.fromstring((out / "plan.kml").read_bytes())
    lons = [
        float(place.split(",")[0])
        for text in kml.iter("{http://www.opengis.net/kml/2.2}coordinates")
        for place in (text.text or "").split()
    ]
    assert max(map(abs, lons)) <= 180


def test_ground_past_longitude_180_is_missed_by_no_exclusion_and_no_overlap(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An exclusion cut there reaches fields on both sides; a field beyond overlaps one that crosses."""
    crossing = shapely.MultiPolygon(
        [shapely.box(179.997, -16.8, 180, -16.797), shapely.box(-180, -16.8, -179.997, -16.797)]
    )
    sides = [shapely.box(179.99, -16.8, 180, -16.79), shapely.box(-180, -16.8, -179.99, -16.79)]
    fields = s.geojson(tmp_path / "fields.geojson", *sides)
    wet = s.geojson(tmp_path / "wet.geojson", crossing, properties={"reason": "wet"})
    found = _checked(capsys, fields, "--exclusions", str(wet))["fields"]
    assert [one["excluded_m2"] for one in found] == [
        pytest.approx(geodesic_area_m2(crossing) / 2, rel=1e-4)
    ] * 2
    overlap = s.geojson(tmp_path / "overlap.geojson", crossing, sides[1])
    assert exit_code(["check", str(overlap)]) == 3
    assert "overlap: " in " ".join(capsys.readouterr().out.split())


def test_what_would_fit_reads_the_place_and_the_acres_it_names(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Feet labeled meters: the code in the hint, copied, gives the place and acres that the hint says."""
    path = s.vector(tmp_path / "fields.gpkg", s.in_crs(SQUARE, 26851), driver="GPKG", crs=26993)
    assert exit_code(["check", str(path)]) == 3
    page = " ".join(capsys.readouterr().out.split())
    acres = geodesic_area_m2(SQUARE) / ACRE_M2
    assert f"(--crs EPSG:26851) puts it at 44.20000, -95.70000 with {acres:.2f} ac" in page
    found = _checked(capsys, path, "--crs", "EPSG:26851")
    assert found["fields"][0]["mapped_m2"] == pytest.approx(geodesic_area_m2(SQUARE), rel=1e-6)
