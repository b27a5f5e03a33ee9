"""Every file of a plan opened by another library than the one that wrote it, its numbers compared with the
plan's own.
"""

from __future__ import annotations

import csv
import hashlib
import json
import math
import sqlite3
import zipfile
from pathlib import Path
from xml.etree import ElementTree as ET

import fiona
import gpxpy
import openpyxl
import pyarrow.parquet
import pypdf
import pytest
import shapely
from conftest import SAMPLES
from shapely.geometry import shape

from fieldplan.cli.main import exit_code
from fieldplan.report.outputs import PLAN
from fieldplan.units import ACRE_M2, POUND_KG

JOB = str(SAMPLES / "restoration.toml")
FIELDS = str(SAMPLES / "restoration.zip")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All files of the restoration job."""
    out = tmp_path_factory.mktemp("all")
    assert exit_code(["plan", FIELDS, "--job", JOB, "--out", str(out), "--write", "all", "-q"]) == 0
    return out


@pytest.fixture(scope="module")
def plan(folder: Path) -> dict:  # type: ignore[type-arg]
    """The plan as JSON."""
    return json.loads((folder / "plan.json").read_text(encoding="utf-8"))  # type: ignore[no-any-return]


def test_manifest_lists_every_file_with_its_hash(folder: Path) -> None:
    """Sizes and SHA-256 are those of the files; nothing is left over."""
    listed = {
        load["file"]: load
        for load in json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    }
    assert set(listed) == {path.name for path in folder.iterdir()} - {"manifest.json"}
    for name, one in listed.items():
        content = (folder / name).read_bytes()
        assert (one["bytes"], one["sha256"]) == (len(content), hashlib.sha256(content).hexdigest())


def test_the_same_plan_gives_the_same_bytes(folder: Path, tmp_path: Path) -> None:
    """A second run writes every file byte by byte the same."""
    assert exit_code(["plan", FIELDS, "--job", JOB, "--out", str(tmp_path), "--write", "all", "-q"]) == 0
    for path in folder.iterdir():
        assert (tmp_path / path.name).read_bytes() == path.read_bytes(), path.name


def test_geojson_is_rfc_7946(folder: Path) -> None:
    """No reference system named, longitude first, shells counter-clockwise, a bounding box; read by the
    standard library and shapely.
    """
    found = json.loads((folder / "layer-fields.geojson").read_text(encoding="utf-8"))
    assert "crs" not in found
    assert len(found["bbox"]) == 4
    for feature in found["features"]:
        geometry = shape(feature["geometry"])
        assert all(part.exterior.is_ccw for part in shapely.get_parts(geometry))
        assert -180 <= geometry.bounds[0] < 0 < geometry.bounds[1] < 90


def test_passes_are_the_same_in_every_vector_format(folder: Path, plan: dict) -> None:  # type: ignore[type-arg]
    """Number and sown length of passes in GeoJSON, FlatGeobuf, GeoParquet and GeoPackage."""
    metres = sum(one["coverage"]["pass_length_m"] for one in plan["fields"])
    geojson = json.loads((folder / "layer-passes.geojson").read_text(encoding="utf-8"))["features"]
    with fiona.open(folder / "layer-passes.fgb") as source:
        flatgeobuf = [dict(feature["properties"]) for feature in source]
    with fiona.open(folder / "plan.gpkg", layer="passes") as source:
        geopackage = [dict(feature["properties"]) for feature in source]
    table = pyarrow.parquet.read_table(folder / "layer-passes.parquet")
    for lengths in (
        [feature["properties"]["length_m"] for feature in geojson],
        [one["length_m"] for one in flatgeobuf],
        [one["length_m"] for one in geopackage],
        table.column("length_m").to_pylist(),
    ):
        assert len(lengths) == len(geojson)
        assert sum(lengths) == pytest.approx(metres, abs=0.5)
    geo = json.loads(table.schema.metadata[b"geo"])
    assert geo["version"] == "1.1.0"
    assert "bbox" in geo["columns"][geo["primary_column"]]["covering"]


def test_geopackage_carries_a_default_style_a_layer(folder: Path) -> None:
    """A row of ``layer_styles`` for each layer, registered among the contents, its style well-formed (no
    desktop map was at hand to draw it).
    """
    with sqlite3.connect(folder / "plan.gpkg") as base:
        styles = base.execute("SELECT f_table_name, styleQML, useAsDefault FROM layer_styles").fetchall()
        contents = dict(base.execute("SELECT table_name, data_type FROM gpkg_contents").fetchall())
    assert contents.pop("layer_styles") == "attributes"
    assert {name for name, _, _ in styles} == set(contents)
    for _, qml, default in styles:
        assert default == 1
        assert ET.fromstring(qml).find("renderer-v2/symbols/symbol/layer/Option") is not None


def test_kml_and_kmz_hold_the_same_document(folder: Path, plan: dict) -> None:  # type: ignore[type-arg]
    """A folder a field, acres as data; the zipped one is the same; fiona reads the placemarks."""
    kml = (folder / "plan.kml").read_bytes()
    with zipfile.ZipFile(folder / "plan.kmz") as archive:
        assert archive.read("doc.kml") == kml
    space = {"k": "http://www.opengis.net/kml/2.2"}
    folders = ET.fromstring(kml).findall("k:Document/k:Folder", space)
    assert len(folders) == len(plan["fields"])
    for one, field in zip(folders, plan["fields"], strict=True):
        acres = one.find(".//k:Data[@name='to_sow_acres']/k:value", space)
        assert acres is not None
        assert float(acres.text or "") == pytest.approx(field["area"]["plantable_m2"] / ACRE_M2, abs=0.005)


def test_gpx_has_boundaries_lines_and_places(folder: Path, plan: dict) -> None:  # type: ignore[type-arg]
    """A track a field, a line from A to B a block, the gate and every stop; read by a GPX library."""
    gpx = gpxpy.parse((folder / "plan.gpx").read_text(encoding="utf-8"))
    assert len(gpx.tracks) == len(plan["fields"])
    assert len(gpx.routes) == sum(len(one["coverage"]["blocks"]) for one in plan["fields"])
    assert all((len(route.points) > 2) == (route.name or "").endswith("curve") for route in gpx.routes)
    assert min(len(route.points) for route in gpx.routes) == 2
    assert len(gpx.waypoints) == len(plan["fields"]) + sum(len(one["refills"]) for one in plan["fields"])


def test_spreadsheet_formulas_work_out_to_the_order(folder: Path, plan: dict) -> None:  # type: ignore[type-arg]
    """Need, bags and ordered by formula from cells a person can change; the stored values are the
    plan's.
    """
    formulas = openpyxl.load_workbook(folder / "seed-order.xlsx").active
    values = openpyxl.load_workbook(folder / "seed-order.xlsx", data_only=True).active
    assert formulas is not None
    assert values is not None
    assert formulas["F2"].value == "=C2+D2"
    for row, line in enumerate(plan["order"], start=2):
        assert values.cell(row, 1).value == line["species"]
        assert values.cell(row, 6).value == pytest.approx(line["need_kg"] / POUND_KG, rel=1e-6)
        assert values.cell(row, 8).value == line["bags"]
        assert formulas.cell(row, 8).value.startswith("=ROUNDUP(")


def test_timeline_adds_up(folder: Path, plan: dict) -> None:  # type: ignore[type-arg]
    """Legs follow each other without a gap, and their time is the field's."""
    with (folder / "timeline.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    for one in plan["fields"]:
        own = [row for row in rows if row["field"] == one["field_id"]]
        assert sum(float(row["duration_s"]) for row in own) == pytest.approx(
            one["time"]["field_s"], abs=0.1 * len(own)
        )
        starts = [float(row["start_s"]) for row in own]
        assert starts == sorted(starts)


def test_calendar_holds_the_days_to_book(folder: Path, plan: dict) -> None:  # type: ignore[type-arg]
    """RFC 5545: CRLF, lines of at most 75 octets, an all-day tentative event whose end is the day after the
    last.
    """
    content = (folder / "booking.ics").read_bytes()
    lines = content.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    unfolded = content.replace(b"\r\n ", b"").decode().split("\r\n")
    fields = dict(line.split(":", 1) for line in unfolded if ":" in line)
    assert fields["VERSION"] == "2.0"
    assert fields["STATUS"] == "TENTATIVE"
    assert fields["DTSTART;VALUE=DATE"] == plan["booking"]["start"].replace("-", "")
    assert int(fields["DTEND;VALUE=DATE"]) == int(plan["booking"]["finish"].replace("-", "")) + 1
    assert fields["UID"].endswith("@fieldplan")


def test_sheets_say_what_the_plan_says(folder: Path, plan: dict) -> None:  # type: ignore[type-arg]
    """Letter paper, two pages a field or one more for every six stops; the acres, the days to book and the loads stand in
    the text.
    """
    sheets = pypdf.PdfReader(folder / "field-sheets.pdf")
    assert (float(sheets.pages[0].mediabox.width), float(sheets.pages[0].mediabox.height)) == (612, 792)
    texts = [" ".join(page.extract_text().split()) for page in sheets.pages]
    for one in plan["fields"]:
        mine = [text for text in texts if text.startswith(f"{one['field_id']} {one['name']} ")]
        assert 2 <= len(mine) <= 2 + math.ceil(len(one["refills"]) / 6)
        said = " ".join(mine)
        assert f"{one['area']['plantable_m2'] / ACRE_M2:.2f} plantable acres" in mine[0]
        assert f"book {plan['booking']['suggested_days']} days" in said
        assert "acre meter out" in mine[1]
        assert "oats (WH-1190)" in mine[1]
    labels = " ".join(page.extract_text() for page in pypdf.PdfReader(folder / "seed-labels.pdf").pages)
    assert labels.count("dry prairie") + labels.count("wet meadow") + labels.count("mesic prairie") >= 40
    card = " ".join(
        " ".join(
            page.extract_text() for page in pypdf.PdfReader(folder / "setup-wet-meadow.pdf").pages
        ).split()
    )
    assert "local rules come before this card" in card


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_sheets_of_many_loads_go_on_under_their_field(paper: str, tmp_path: Path) -> None:
    """The quarter section takes over twenty refills: two pages and at most one more for every six stops, on either paper."""
    arguments = [
        "plan",
        str(SAMPLES / "farm.geojson"),
        "--job",
        str(SAMPLES / "farm.toml"),
        "--out",
        str(tmp_path),
        "--write",
        "sheet",
    ]
    assert exit_code([*arguments, "--paper", paper, "-q"]) == 0
    pages = [page.extract_text() for page in pypdf.PdfReader(tmp_path / "field-sheets.pdf").pages]
    fronts = [text for text in pages if "Seed stands:" in text]
    stops = [int(text.split("Seed stands:")[1].split()[0]) for text in fronts]
    assert len(pages) <= sum(2 + math.ceil(n / 6) for n in stops)
    names = [text.split("map and order")[0].strip() for text in fronts]
    assert all(any(name in text for name in names) for text in pages)
    assert "see fieldplan seed" not in "".join(pages)


def test_what_cannot_be_written_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An unknown name, no folder, a calendar without a start: usage errors, and nothing is written."""
    farm = ["plan", str(SAMPLES / "pivot.kml"), "--job", str(SAMPLES / "farm.toml"), "-q"]
    for arguments, sentence in (
        (["--out", str(tmp_path / "x"), "--write", "json,docx"], "does not know docx"),
        (["--write", "json"], "--write needs --out"),
        (["--out", str(tmp_path / "x"), "--write", "calendar"], "needs the day the booking starts"),
    ):
        assert exit_code([*farm, *arguments]) == 2
        assert sentence in capsys.readouterr().err
    assert not (tmp_path / "x").exists()
    assert len(PLAN) == 22


def test_fiboa_has_its_required_keys_types_and_ranges(folder: Path, plan: dict) -> None:  # type: ignore[type-arg]
    """Fiboa 0.3.0 on Vecorel 0.1.0: schemas a collection, unique ids, area over 0 and up to 1e9 m²,
    perimeter, category, method.
    """
    found = json.loads((folder / "fiboa.geojson").read_text(encoding="utf-8"))
    ids = [(one["properties"]["collection"], one["id"]) for one in found["features"]]
    assert len(set(ids)) == len(ids) == len(plan["fields"])
    assert set(found["schemas"]) == {collection for collection, _ in ids}
    assert all(any(part in url for url in found["schemas"]["plan"]) for part in ("v0.1.0", "v0.3.0"))
    for one, field in zip(found["features"], plan["fields"], strict=True):
        properties = one["properties"]
        assert 0 < properties["metrics:area"] <= 1e9
        assert properties["metrics:area"] == pytest.approx(field["area"]["mapped_m2"], abs=0.01)
        assert 0 < properties["metrics:perimeter"] <= 125_000
        kinds = {"conceptual", "operational", "economic", "administrative", "other"}
        assert isinstance(properties["category"], list)
        assert set(properties["category"]) <= kinds
        assert properties["determination:method"] in (
            "manual",
            "surveyed",
            "driven",
            "auto-operation",
            "auto-imagery",
            "unknown",
        )
        assert one["geometry"]["type"] in ("Polygon", "MultiPolygon")


@pytest.mark.parametrize("version", [4, 3])
def test_task_data_follows_the_standard(version: int, folder: Path, plan: dict) -> None:  # type: ignore[type-arg]
    """ISO 11783-10: ids, designators of at most 32 characters, boundaries, lines from A to B as wide as the
    drill, rates in mg/m².
    """
    with zipfile.ZipFile(folder / f"taskdata-v{version}.zip") as archive:
        root = ET.fromstring(archive.read("TASKDATA/TASKDATA.XML"))
    assert (root.tag, root.get("VersionMajor"), root.get("DataTransferOrigin")) == (
        "ISO11783_TaskData",
        str(version),
        "1",
    )
    fields, tasks = root.findall("PFD"), root.findall("TSK")
    assert len(fields) == len(tasks) == len(plan["fields"])
    products = {one.get("A"): one.get("B") for one in root.findall("PDT")}
    for element in root.iter():
        assert len(element.get("B", "")) <= 32
    for field, task, planned in zip(fields, tasks, plan["fields"], strict=True):
        assert int(field.get("D", "0")) == round(planned["area"]["mapped_m2"])
        assert task.get("E") == field.get("A")
        lines = [line for line in field.iter("LSG") if line.get("A") == "5"]
        assert len(lines) == len(planned["coverage"]["blocks"])
        assert all(
            int(line.get("C", "0")) == round(planned["coverage"]["drill_width_m"] * 1000) for line in lines
        )
        if version == 4:
            curved = [block["curve"] is not None for block in planned["coverage"]["blocks"]]
            kinds = [[point.get("A") for point in line] for line in lines]
            assert [(one[0], one[-1]) for one in kinds] == [("6", "7")] * len(lines)
            assert [set(one[1:-1]) == {"9"} and len(one) > 2 for one in kinds] == curved
            patterns = [pattern.get("C") for pattern in field.iter("GPN")]
            assert patterns == ["3" if curve else "1" for curve in curved]
            for ring in field.findall("PLN/LSG"):
                points = [(point.get("C"), point.get("D")) for point in ring]
                assert points[0] == points[-1]
        rates = {value.get("C"): int(value.get("B", "0")) for value in task.iter("PDV")}
        assert set(rates) <= set(products)
        sown = {
            (part["species"], part["lot"]): part["sown_bulk_kg"]
            for box in planned["seed"]["boxes"]
            for part in box["components"]
        }
        for key, rate_mg in rates.items():
            lot = next(lot for lot in sown if products[key] == f"{lot[0]} {lot[1]}"[:32])
            assert rate_mg == pytest.approx(sown[lot] / planned["area"]["drilled_m2"] * 1e6, abs=0.6)


def test_version_4_is_valid_against_the_schema(folder: Path) -> None:
    """The schema comes with an installed package and is never kept here; without it the test is skipped."""
    xmlschema = pytest.importorskip("xmlschema")
    package = pytest.importorskip("isoxml_writer")
    found = sorted(Path(package.__file__).parent.rglob("ISO11783_TaskFile_V4-3.xsd"))
    if not found:
        pytest.skip("the package carries no schema of version 4.3")
    with zipfile.ZipFile(folder / "taskdata-v4.zip") as archive:
        xmlschema.XMLSchema(str(found[0])).validate(archive.read("TASKDATA/TASKDATA.XML").decode("utf-8"))
