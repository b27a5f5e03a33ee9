"""What a driver and a seed person must find on the papers, and what other programs read out of the
files.
"""

from __future__ import annotations

import json
import re
import struct
from pathlib import Path
from xml.etree import ElementTree as ET

import gpxpy
import pytest
from conftest import SAMPLES
from geographiclib.geodesic import Geodesic
from pypdf import PdfReader

from fieldplan.cli.main import exit_code

JOB = (SAMPLES / "restoration.toml").read_text(encoding="utf-8")
LONG = "Averylongparcelnamewithoutanyplacetobreakitanywhereatalluntiltheend"


def _run(*arguments: str) -> None:
    assert exit_code([*arguments]) == 0


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Papers of the restoration job, with treated oats."""
    place = tmp_path_factory.mktemp("papers")
    job = place / "job.toml"
    job.write_text(JOB.replace('lot = "WH-1190"', 'lot = "WH-1190"\ntreated = true'), encoding="utf-8")
    _run(
        "plan",
        str(SAMPLES / "restoration.zip"),
        "--job",
        str(job),
        "--out",
        str(place / "out"),
        "--write",
        "json,sheet,labels,gpx,kml,png,page",
    )
    return place / "out"


def test_lines_run_from_a_to_b_along_the_heading_they_name(folder: Path) -> None:
    """The azimuth from A to B by GeographicLib (Karney 2013) is the heading in the name of the line, within
    a degree.
    """
    for route in gpxpy.parse((folder / "plan.gpx").read_text(encoding="utf-8")).routes:
        assert route.name is not None
        if route.name.endswith("A to B, curve"):
            assert len(route.points) > 2
            continue
        sentence = float(route.name.rsplit(" deg", 1)[0].rsplit(" ", 1)[1])
        a, b = route.points
        found = Geodesic.WGS84.Inverse(a.latitude, a.longitude, b.latitude, b.longitude)["azi1"]
        assert abs((found - sentence + 180) % 360 - 180) < 1


def _pages_by_field(texts: list[str]) -> dict[str, list[str]]:
    """The pages of each field, by its id, which stands at the head of each page."""
    found: dict[str, list[str]] = {}
    for text in texts:
        named = re.search(r"(RP-\d) [^\n]*\s(?:map and order of passes|loads and blanks)", text)
        assert named is not None, text
        found.setdefault(named[1], []).append(text)
    return found


def _closed(text: str) -> str:
    return " ".join(text.split()).replace("- ", "-")


def test_treated_seed_and_notes_stand_on_the_sheet_of_each_field(folder: Path) -> None:
    """Map and loads of a field warn of treated seed; every note about the field is on one of its pages."""
    pages = _pages_by_field([page.extract_text() for page in PdfReader(folder / "field-sheets.pdf").pages])
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    for one in plan["fields"]:
        front, *back = pages[one["field_id"]]
        assert len(back) <= 1 + -(-len(one["refills"]) // 6)
        assert "TREATED SEED" in front
        assert "TREATED SEED" in back[0]
        said = _closed("".join(pages[one["field_id"]]))
        for note in plan["notes"]:
            if note["field_id"] == one["field_id"] and note["code"] == "gate-assumed":
                assert "No gate was given" in said
                assert "assumed, at" in front


def test_the_page_warns_of_treated_seed_in_every_field(folder: Path) -> None:
    """Once a field, with the notes below."""
    page = (folder / "plan.html").read_text(encoding="utf-8")
    assert page.count("TREATED SEED.") == page.count("<h3>Good to know</h3>") == 7


def test_tip_in_with_spares_is_what_the_field_is_brought(folder: Path) -> None:
    """Rows of a sheet, start to spare, add up to the seed of the field (rounded to 0.1 lb a row); the seed is
    treated here, and each row says so.
    """
    pages = _pages_by_field([page.extract_text() for page in PdfReader(folder / "field-sheets.pdf").pages])
    back = "\n".join(pages["RP-4"][1:])
    oats = [
        float(line.split("(WH-1190), TREATED")[1].split()[0])
        for line in back.splitlines()
        if "(WH-1190), TREATED" in line
    ]
    brought = float("\n".join(pages["RP-4"]).split("with spares")[1].split("oats ")[1].split(" lb")[0])
    assert len(oats) >= 3
    assert sum(oats) == pytest.approx(brought, abs=2)


def test_kml_keeps_the_order_of_its_schema(folder: Path) -> None:
    """OGC KML 2.2 (07-147r2): ExtendedData before the geometry of a Placemark."""
    geometries = ("Polygon", "MultiGeometry", "LineString", "Point")
    seen = 0
    for mark in ET.parse(folder / "plan.kml").iter("{http://www.opengis.net/kml/2.2}Placemark"):
        tags = [child.tag.rsplit("}", 1)[1] for child in mark]
        if "ExtendedData" in tags:
            seen += 1
            assert tags.index("ExtendedData") < min(tags.index(tag) for tag in geometries if tag in tags)
    assert seen == 7


def test_a_picture_says_how_large_it_prints(folder: Path) -> None:
    """The pHYs chunk (PNG, ISO/IEC 15948) gives 150 dots an inch, so that 1 : n on the map holds on
    paper.
    """
    data = next(folder.glob("map-*.png")).read_bytes()
    across, down, metre = struct.unpack(">IIB", data[data.index(b"pHYs") + 4 :][:9])
    assert (across, down, metre) == (5906, 5906, 1)


def test_long_names_stay_on_the_paper_and_on_one_label(tmp_path: Path) -> None:
    """A name without a space is broken, not cut; a batch of many seeds has one label and loses
    none.
    """
    names = [f"{LONG}{n}" for n in range(9)]
    parts = "".join(
        f'[[mix.component]]\nspecies = "{name}"\nlot = "LOT{n}"\nrate = "2 lb/ac bulk"\npurity = "90 %"\ngermination = "80 %"\n'
        f'box = "grain"\nbulk_weight = "40 lb/bu"\nbag = "10 lb"\n'
        for n, name in enumerate(names)
    )
    head = (
        (SAMPLES / "farm.toml")
        .read_text(encoding="utf-8")
        .split("[[mix]]")[0]
        .replace('"rates.toml"', f'"{(SAMPLES / "rates.toml").as_posix()}"')
    )
    job = tmp_path / "job.toml"
    job.write_text(f'{head}[[mix]]\nname = "{LONG}"\n{parts}', encoding="utf-8")
    _run(
        "plan",
        str(SAMPLES / "farm.geojson"),
        "--job",
        str(job),
        "--out",
        str(tmp_path / "out"),
        "--write",
        "labels,bag-labels,sheet",
    )
    text = "".join(
        page.extract_text() for page in PdfReader(tmp_path / "out" / "seed-labels.pdf").pages[1:]
    )
    closed = "".join(text.split()).replace("\u200b", "")
    assert all(f"{name}(LOT{n})" in closed for n, name in enumerate(names))
    for page in PdfReader(tmp_path / "out" / "field-sheets.pdf").pages:
        page.extract_text(visitor_text=lambda text, _cm, tm, _font, _size: _within(text, tm))


def _within(text: str, matrix: list[float]) -> None:
    if text.strip():
        assert 0 <= matrix[4] < 612


def test_sheets_of_many_fields_stand_in_several_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seven fields at two a file: names that sort, two pages a field and one more where stops need it."""
    monkeypatch.setattr("fieldplan.report.paper.sheet.MAX_FIELDS", 2)
    job = str(SAMPLES / "restoration.toml")
    _run(
        "plan",
        str(SAMPLES / "restoration.zip"),
        "--job",
        job,
        "--out",
        str(tmp_path / "out"),
        "--write",
        "sheet",
    )
    files = sorted((tmp_path / "out").glob("*.pdf"))
    assert [file.name for file in files][::3] == [
        "field-sheets-00001-00002.pdf",
        "field-sheets-00007-00007.pdf",
    ]
    pages = _pages_by_field([page.extract_text() for file in files for page in PdfReader(file).pages])
    assert sorted(pages) == [f"RP-{n}" for n in range(1, 8)]
    assert all(2 <= len(some) <= 3 for some in pages.values())
