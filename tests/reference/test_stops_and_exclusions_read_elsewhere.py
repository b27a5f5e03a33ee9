"""Excluded ground with its set-back and refill stops with their loads in the files of other programs, and labels on
their stock.
"""

from __future__ import annotations

import json
import sqlite3
import zipfile
from contextlib import closing
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import geopandas
import gpxpy
import pypdf
import pytest
import shapely
from conftest import SAMPLES

from fieldplan.cli.main import exit_code
from fieldplan.units import POUND_KG

KML = "{http://www.opengis.net/kml/2.2}"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Files of the restoration job with a wet spot of 15 m in its fourth parcel, kept 20 ft from."""
    out = tmp_path_factory.mktemp("excluded")
    fields = geopandas.read_file(SAMPLES / "restoration.zip").to_crs(32615)
    west, south, _, _ = fields.geometry.iloc[3].bounds
    wet = geopandas.GeoDataFrame(
        {"reason": ["wet spot"], "set_back": ["20 ft"]},
        geometry=[shapely.Point(west + 60, south + 60).buffer(15)],
        crs=32615,
    )
    wet.to_crs(4326).to_file(out / "wet.geojson")
    arguments = ["--job", str(SAMPLES / "restoration.toml"), "--exclusions", str(out / "wet.geojson")]
    names = ["--write", "json,gpkg,kml,gpx,taskdata,labels,bag-labels,sheet,svg", "-q"]
    found = exit_code(
        ["plan", str(SAMPLES / "restoration.zip"), *arguments, "--out", str(out / "out"), *names]
    )
    assert found == 0
    return out / "out"


@pytest.fixture(scope="module")
def fields(folder: Path) -> list[dict[str, Any]]:
    """The fields of the plan as JSON."""
    found: list[dict[str, Any]] = json.loads((folder / "plan.json").read_text(encoding="utf-8"))["fields"]
    return found


def _task(folder: Path, version: int) -> ET.Element:
    with zipfile.ZipFile(folder / f"taskdata-v{version}.zip") as archive:
        return ET.fromstring(archive.read("TASKDATA/TASKDATA.XML"))


def test_excluded_ground_stands_in_kml_and_cab_files_with_reason_and_set_back(folder: Path) -> None:
    """As a placemark, and as an obstacle (ISO 11783-10, polygon type 6) of its parcel alone."""
    names = [one.text for one in ET.parse(folder / "plan.kml").iter(f"{KML}name")]
    assert names.count("wet spot, 20 ft set-back") == 1
    for version in (3, 4):
        parcels = _task(folder, version).findall("PFD")
        obstacles = [[one.get("B") for one in parcel.findall("PLN[@A='6']")] for parcel in parcels]
        assert obstacles == [["wet spot, 20 ft set-back"] if n == 3 else [] for n in range(7)]
    excluded = geopandas.read_file(folder / "plan.gpkg", layer="excluded")
    assert excluded.set_back_m.tolist() == pytest.approx([6.096])
    svg = (folder / "map-rp-4.svg").read_text(encoding="utf-8")
    assert "wet spot, 20 ft set-back</text>" in svg


def test_cab_file_with_obstacles_and_stops_is_valid_against_the_schema(folder: Path) -> None:
    """The schema comes with an installed package and is never kept here; without it the test is skipped."""
    xmlschema = pytest.importorskip("xmlschema")
    package = pytest.importorskip("isoxml_writer")
    found = sorted(Path(package.__file__).parent.rglob("ISO11783_TaskFile_V4-3.xsd"))
    if not found:
        pytest.skip("the package carries no schema of version 4.3")
    xmlschema.XMLSchema(str(found[0])).validate(ET.tostring(_task(folder, 4), encoding="unicode"))


def test_every_stop_carries_its_load(folder: Path, fields: list[dict[str, Any]]) -> None:
    """In KML, GPX and the cab files; pounds of each box as the plan has them, with one decimal under 100."""
    loads = [
        ", ".join(
            f"{box} {kg / POUND_KG:,.{2 if 0.005 <= kg / POUND_KG < 0.995 else 1 if kg / POUND_KG < 99.95 else 0}f} lb"
            for box, kg in stop["load_kg"].items()
        )
        for field in fields
        for stop in field["refills"]
    ]
    assert len(loads) >= 4
    marks = ET.parse(folder / "plan.kml").iter(f"{KML}Placemark")
    said = [mark.findtext(f"{KML}description") for mark in marks]
    assert [one for one in said if one] == loads
    points = gpxpy.parse((folder / "plan.gpx").read_text(encoding="utf-8")).waypoints
    assert [point.description for point in points if point.description] == loads
    for version in (3, 4):
        points_of = [one.get("B") or "" for one in _task(folder, version).findall("PFD/PNT")]
        assert len([name for name in points_of if name.startswith("stop ")]) == len(loads)
        assert all(name == "gate" or name.split(": ")[1][:10] in "|".join(loads) for name in points_of)


def test_geopackage_is_of_version_1_2(folder: Path) -> None:
    """OGC 12-128r14: application id "GPKG" and 10200 in the header of the file."""
    with closing(sqlite3.connect(folder / "plan.gpkg")) as base:
        assert base.execute("PRAGMA user_version").fetchone() == (10200,)
        assert base.execute("PRAGMA application_id").fetchone() == (0x47504B47,)


def test_a_label_for_each_batch_that_is_mixed_and_another_file_for_the_rest(
    folder: Path, fields: list[dict[str, Any]]
) -> None:
    """Ten a sheet after the list of what to bring; every batch has one label in one of the files."""
    counts = []
    for name in ("seed-labels.pdf", "bag-labels.pdf"):
        reader = pypdf.PdfReader(folder / name)
        assert reader.metadata is not None
        assert "RP-1 Bluestem Wedge" in (reader.metadata.title or "")
        texts = [page.extract_text() for page in reader.pages]
        labels = [text.count("total") for text in texts]
        assert max(labels) <= 10
        counts.append(sum(labels))
        assert f"of {sum(labels)}" in "".join(texts)
    boxes = [box for field in fields for box in field["seed"]["boxes"]]
    assert counts[0] > len([box for box in boxes if len(box["components"]) > 1])
    assert counts[1] >= len(fields)  # oats, one lot, in every parcel
    sheets = pypdf.PdfReader(folder / "field-sheets.pdf")
    assert sheets.metadata is not None
    assert "RP-7 Aster Flat" in (sheets.metadata.title or "")
