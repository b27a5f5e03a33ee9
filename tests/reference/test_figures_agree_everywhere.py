"""The main figures of a plan, read back from every medium and compared with plan.json: terminal, page, sheets, cover, map
layers, lines for a phone, the timeline and the seed order. Each is read by a library that knows nothing of this program.
"""

from __future__ import annotations

import csv
import html
import io
import json
import re
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import geopandas as gpd
import gpxpy
import openpyxl
import pytest
from conftest import SAMPLES
from pypdf import PdfReader

from fieldplan.cli.main import exit_code
from fieldplan.units import ACRE_M2, POUND_KG

AREA = {"us": (ACRE_M2, "ac"), "metric": (10_000.0, "ha")}
MASS = {"us": (POUND_KG, "lb"), "metric": (1.0, "kg")}
WRITTEN = "json,page,sheet,cover,gpkg,geojson,kml,gpx,timeline,order"


class Written:
    """What one plan wrote and printed.

    Parameters
    ----------
    folder
        Where ``--write`` put it.
    system
        "us" or "metric".
    short, whole
        The pages of the terminal, without and with ``-v``.
    """

    def __init__(self, folder: Path, system: str, short: str, whole: str) -> None:
        self.folder, self.system, self.short, self.whole = folder, system, short, whole
        self.plan: dict[str, Any] = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
        self.sheets = "\n".join(_texts(folder / "field-sheets.pdf"))
        self.page = (folder / "plan.html").read_text(encoding="utf-8")

    @property
    def fields(self) -> list[dict[str, Any]]:
        """The fields that are drilled."""
        return [one for one in self.plan["fields"] if one["coverage"]["passes"]]

    def area(self, m2: float, digits: int = 2) -> str:
        """An area in the reader's unit, without it."""
        return f"{m2 / AREA[self.system][0]:,.{digits}f}"


@pytest.fixture(scope="module", params=["us", "metric"])
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Written:
    """Seven parcels and three mixes, in either units."""
    place = tmp_path_factory.mktemp("agree")
    return made(SAMPLES / "restoration.zip", SAMPLES / "restoration.toml", place, request.param)


def made(fields: Path, job: Path, place: Path, system: str) -> Written:
    """Run a plan and read what it printed and wrote.

    Parameters
    ----------
    fields, job
        Its boundary file and its job file.
    place
        An empty folder.
    system
        "us" or "metric".
    """
    said = ["plan", str(fields), "--job", str(job), "--units", system, "--today", "2027-04-01"]
    short = _printed([*said, "--out", str(place / "out"), "--write", WRITTEN])
    return Written(place / "out", system, short, _printed([*said, "-v"]))


def _printed(arguments: list[str]) -> str:
    with pytest.MonkeyPatch.context() as patch:
        out = io.StringIO()
        patch.setattr("sys.stdout", out)
        assert exit_code(arguments) == 0
    return out.getvalue()


def _texts(path: Path) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


def _rows(page: str, part: str) -> dict[str, list[str]]:
    """The rows of a part of a page of the terminal by their first word, with all words of each."""
    found = page.split(f"\n{part}\n", 1)[1].split("\n\n", 1)[0]
    rows = (line.split() for line in found.splitlines()[1:] if line.strip())
    return {words[0]: words[1:] for words in rows}


def _answers(written: Written, field_id: str) -> dict[str, str]:
    """The figures of a field on the page, by name."""
    section = written.page.split(f'data-field="{html.escape(field_id)}"', 1)[1].split("</section>", 1)[0]
    found = re.findall(r"<dt>(.*?)</dt><dd>(.*?)</dd>", section)
    return {html.unescape(name): html.unescape(text) for name, text in found}


def _on_sheet(written: Written, field_id: str) -> str:
    """The text of the pages of a field."""
    pages = _texts(written.folder / "field-sheets.pdf")
    return " ".join(text for text in pages if text.startswith(f"{field_id} ") or f"{field_id} map" in text)


def _tenths(seconds: float) -> str:
    return f"{seconds / 3600:.1f}"


def test_the_terminal_says_what_the_data_say(written: Written) -> None:
    """Rows of both its pages: acres or hectares, rounds, refills, hours; passes and turns, and all of them summed."""
    ground, driving = _rows(written.whole, "GROUND"), _rows(written.whole, "DRIVING")
    in_field = _rows(written.short, "IN THE FIELD")
    for one in written.fields:
        area, cover = one["area"], one["coverage"]
        assert written.area(area["mapped_m2"]) in ground[one["field_id"]]
        assert written.area(area["drilled_m2"]) in ground[one["field_id"]]
        assert written.area(area["missed_m2"]) in ground[one["field_id"]]
        assert {str(cover["passes"]), str(cover["headland_rounds"]), str(cover["turns"])} <= set(
            driving[one["field_id"]]
        )
        assert written.area(area["plantable_m2"], 1) in in_field[one["field_id"]]
        assert str(len(one["refills"])) in in_field[one["field_id"]]
        time_s = one["time"]["field_s"]
        assert in_field[one["field_id"]][-2:] in (
            [_tenths(time_s), "h"],
            [f"{time_s / 60:.0f}", "min"],
        )
    totals = written.plan["totals"]
    assert written.area(totals["drilled_m2"]) in ground["all"]
    assert {f"{totals['passes']:,}", f"{totals['turns']:,}"} <= set(driving["all"])
    assert in_field["all"][-2:] == [_tenths(totals["field_s"]), "h"]


def test_page_and_sheets_say_what_the_data_say(written: Written) -> None:
    """Ground, meter, passes, rounds, refills, turns and minutes of every field, on both, word for word the same."""
    unit = AREA[written.system][1]
    for one in written.fields:
        area, cover, said = one["area"], one["coverage"], _answers(written, one["field_id"])
        sheet = _on_sheet(written, one["field_id"])
        plantable, mapped = written.area(area["plantable_m2"]), written.area(area["mapped_m2"])
        assert said["Ground"].startswith(f"{plantable} plantable ")
        assert said["Ground"].removesuffix("; slope not known").endswith(f"; {mapped} mapped")
        assert said["Meter"].startswith(f"about {written.area(area['drilled_m2'])} {unit}; ")
        assert said["Passes"].startswith(f"{cover['headland_rounds']} round")
        assert re.search(rf"; {cover['passes']} pass(es)? ", said["Passes"])
        assert said["Seed stands"].startswith(f"{len(one['refills'])} refill")
        turns = sum(
            int(n) for n in re.findall(r"(\d+) [A-Za-z ]+", said["Turns"].split(": ")[1].split(";")[0])
        )
        assert turns == cover["turns"]
        minutes = round(one["time"]["field_s"] / 60)
        whole = f"{minutes // 60} h {minutes % 60} min" if minutes >= 60 else f"{minutes} min"
        assert said["Hours here"].replace(" 0 min:", ":").startswith(whole.removesuffix(" 0 min"))
        for name in ("Ground", "Meter", "Passes", "Seed stands", "Hours here", "Turns"):
            assert "".join(f"{name}:{said[name]}".split()) in "".join(sheet.split()), (
                one["field_id"],
                name,
            )


def test_notes_on_turns_count_them_as_the_figures_do(written: Written) -> None:
    """Wherever turns that back up are told of, they are so many of so many, for the field that is told of."""
    pattern = re.compile(r"(\d+) of (\d+) turns back up")
    seen = 0
    for one in written.fields:
        section = written.page.split(f'data-field="{one["field_id"]}"', 1)[1].split("</section>", 1)[0]
        for text in (section, _on_sheet(written, one["field_id"])):
            for n_backing, n_turns in pattern.findall(text):
                seen += 1
                assert int(n_turns) == one["coverage"]["turns"]
                assert int(n_backing) == one["coverage"]["turn_shapes"]["backing"]
    assert seen > 0


def test_layers_hold_what_the_data_hold(written: Written) -> None:
    """Areas, hours and counts of fields in GeoPackage and GeoJSON; lengths of what is sown, and refills, summed over layers."""
    fields = {
        one["field_id"]: one
        for _, one in gpd.read_file(written.folder / "plan.gpkg", layer="fields").iterrows()
    }
    again = {
        one["field_id"]: one for _, one in gpd.read_file(written.folder / "layer-fields.geojson").iterrows()
    }
    sown_m, n_refills = defaultdict[str, float](float), Counter[str]()
    for layer in ("passes", "headland"):
        for _, one in gpd.read_file(written.folder / "plan.gpkg", layer=layer).iterrows():
            sown_m[one["field_id"]] += one["length_m"]
    for _, one in gpd.read_file(written.folder / "plan.gpkg", layer="refills").iterrows():
        n_refills[one["field_id"]] += 1
    for one in written.fields:
        own = one["field_id"]
        for row in (fields[own], again[own]):
            for name in ("mapped_m2", "plantable_m2", "drilled_m2"):
                assert row[name] == pytest.approx(one["area"][name], rel=1e-6)
            assert row["field_s"] == pytest.approx(one["time"]["field_s"], rel=1e-6)
            assert (row["passes"], row["turns"]) == (one["coverage"]["passes"], one["coverage"]["turns"])
        drilled = one["coverage"]["pass_length_m"] + one["coverage"]["headland_length_m"]
        assert sown_m[own] == pytest.approx(drilled, rel=1e-6)
        assert n_refills[own] == len(one["refills"])


def test_what_a_phone_opens_holds_the_same_acres_and_stops(written: Written) -> None:
    """KML gives acres of each field in its data, whatever the reader's units; GPX a waypoint for every stop."""
    ns = {"k": "http://www.opengis.net/kml/2.2"}
    acres = {}
    for mark in ET.parse(written.folder / "plan.kml").iterfind(".//k:Placemark[k:ExtendedData]", ns):
        data = {one.get("name"): one.findtext("k:value", "", ns) for one in mark.iterfind(".//k:Data", ns)}
        acres[mark.findtext("k:name", "", ns).split()[0]] = list(data.values())
    points = gpxpy.parse((written.folder / "plan.gpx").read_text(encoding="utf-8")).waypoints
    stops = Counter((point.name or "").split()[0] for point in points if " stop " in (point.name or ""))
    for one in written.fields:
        assert acres[one["field_id"]] == [
            written.area(one["area"]["plantable_m2"]),
            written.area(one["area"]["drilled_m2"]),
        ]
        assert stops[one["field_id"]] == len(one["refills"])


def test_the_timeline_adds_up_to_the_hours(written: Written) -> None:
    """Durations of the legs of a field, each to a tenth of a second, come to its time in the field."""
    spent_s, n_legs = defaultdict[str, float](float), Counter[str]()
    with (written.folder / "timeline.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            spent_s[row["field"]] += float(row["duration_s"])
            n_legs[row["field"]] += 1
    for one in written.fields:
        own = one["field_id"]
        assert abs(spent_s[own] - one["time"]["field_s"]) <= 0.05 * n_legs[own] + 0.1


def test_the_cover_says_the_same_on_paper_and_in_the_terminal(written: Written) -> None:
    """Days, bags and ground of the whole job; hours of it are the sum of their parts."""
    cover, plan = "".join(_texts(written.folder / "cover.pdf")[0].split()), written.plan
    terminal = "".join(written.short.split())
    bags = sum(line["bags"] for line in plan["order"] if line["bags"] is not None)
    job_s = plan["job_time"]["job_s"]
    assert sum(s for part, s in plan["job_time"].items() if part != "job_s") == pytest.approx(job_s)
    for said in (
        f"{plan['booking']['suggested_days']} days",
        f"{bags} bags",
        f"{_tenths(job_s)} h of work",
        f"{written.area(plan['totals']['plantable_m2'])} plantable",
        f"meter will read about {written.area(plan['totals']['drilled_m2'], 1)}",
    ):
        for text in (cover, terminal):
            assert "".join(said.split()) in text, said


def test_the_seed_order_sells_what_the_fields_sow(written: Written) -> None:
    """The spreadsheet's seed sown by lot is that of plan.json, and that of all boxes of all fields together."""
    sheet = openpyxl.load_workbook(written.folder / "seed-order.xlsx").worksheets[0]
    header, *rows = sheet.iter_rows(values_only=True)
    unit_kg, unit = MASS[written.system]
    sown = header.index(f"sown, {unit}")
    order = {(one["species"], one["lot"]): one["sown_kg"] for one in written.plan["order"]}
    by_row = {(row[0], row[1] or ""): float(str(row[sown])) * unit_kg for row in rows[: len(order)]}
    assert by_row == pytest.approx(order, rel=1e-4)
    boxes = (box["sown_bulk_kg"] for one in written.fields for box in one["seed"]["boxes"])
    assert sum(order.values()) == pytest.approx(sum(boxes), rel=1e-6)
