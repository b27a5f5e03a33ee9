"""One plan in every output: the same figures on all of them, in the units that were asked for."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import geopandas
import gpxpy
import openpyxl
import pytest
from conftest import SAMPLES
from pypdf import PdfReader

from fieldplan.cli.main import exit_code
from fieldplan.units import ACRE_M2, MILE_M

DRILL = (
    'weight = "4800 lb"\nwheel_circumference = "7.5 ft"\ntransport_width = "11 ft"\nreverse_turns = false\n'
)
MEDIA = "json,gpkg,page,cover,sheet,setup,labels,order,svg,timeline,geojson,kml,gpx,calendar,taskdata"


@dataclass(frozen=True)
class Outputs:
    """What commands printed, and the folder of files."""

    printed: dict[str, str]
    folder: Path

    @property
    def plan(self) -> dict[str, Any]:
        """The JSON of the plan."""
        return json.loads((self.folder / "plan.json").read_text(encoding="utf-8"))  # type: ignore[no-any-return]

    def pdf(self, name: str) -> list[str]:
        """The text of each page, on one line."""
        return [" ".join(page.extract_text().split()) for page in PdfReader(self.folder / name).pages]


def _printed(*arguments: str) -> str:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert exit_code(list(arguments)) == 0, arguments
    return out.getvalue()


@pytest.fixture(scope="module", params=["us", "metric"])
def outputs(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[str, Outputs]:
    """Two fields, one with stops, breaks and checks, and every command that says something of them."""
    units = request.param
    place = tmp_path_factory.mktemp(units)
    text = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    text = text.replace("[drill]", "[drill]\n" + DRILL, 1).replace(
        "[booking]", "[booking]\nstart = 2027-05-10", 1
    )
    text = text.replace(
        "refill_time =", 'tube_check = "5 min"\nbreak = "20 min"\nbreak_every = "3 h"\nrefill_time =', 1
    )
    text = text.replace('species = "alfalfa"', 'species = "alfalfa"\ncarrier = "rice hulls to 1 bu/ac"')
    (place / "job.toml").write_text(text, encoding="utf-8")
    (place / "rates.toml").write_text(
        (SAMPLES / "rates.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    fields, job, common = str(SAMPLES / "ponds.gpkg"), str(place / "job.toml"), ["--units", units]
    about = [fields, "--job", job, "--today", "2027-04-01", *common]
    return units, Outputs(
        printed={
            "plan": _printed("plan", *about, "-v", "--out", str(place / "out"), "--write", MEDIA),
            "short": _printed("plan", *about, "-q"),
            "seed": _printed("seed", *about, "--labels"),
            "compare": _printed("compare", *about),
            "progress": _printed(
                "progress", *about, "--metered", "20 ac", "--worked", "8 h", "--left", "oats=3000 lb"
            ),
            "setup": _printed("setup", "--job", job, *common),
            "calibrate": _printed(
                "calibrate", "--job", job, "--box", "grain", "--caught", "100 g", "--tubes", "4", *common
            ),
            "fee": _printed("fee", str(place / "rates.toml"), *about, "--when", "area=inside"),
            "acres": _printed("acres", fields, *common),
            "check": _printed("check", fields, *common),
        },
        folder=place / "out",
    )


def _rows(page: str, section: str) -> list[list[str]]:
    """Cells of the first table of a section of a page: columns are two or more spaces apart."""
    lines = iter(page.splitlines())
    next(line for line in lines if line == section)
    rows = []
    for line in lines:
        if not line.strip():
            break
        rows.append(re.split(r"\s{2,}", line.strip()))
    return rows


def _sheets(got: Outputs) -> list[str]:
    """The text of each field's sheet, all its pages together: a sheet begins with the map."""
    sheets: list[str] = []
    for text in got.pdf("field-sheets.pdf"):
        if "map and order of passes" in text:
            sheets.append(text)
        else:
            sheets[-1] += f" {text}"
    return sheets


def _tags(path: Path, tag: str) -> Iterator[ET.Element]:
    return (one for one in ET.parse(path).iter() if one.tag.rsplit("}", 1)[-1] == tag)


def test_every_output_says_the_same_of_a_plan(outputs: tuple[str, Outputs]) -> None:
    """Turns, lifted way, heading, passes, ground, hours, days, bags and stops as the page, the JSON and
    every file have them.
    """
    units, got = outputs
    area, far = (("ac", ACRE_M2), ("mi", MILE_M)) if units == "us" else (("ha", 10_000.0), ("km", 1000.0))
    plan, page = got.plan, got.printed["plan"]
    fields = {one["field_id"]: one for one in plan["fields"]}
    driving = {row[0]: row for row in _rows(page, "DRIVING") if row[0] in fields}
    ground = {row[0]: row for row in _rows(page, "GROUND") if row[0] in fields}
    assert set(driving) == set(ground) == set(fields)
    layers = {
        name: geopandas.read_file(got.folder / "plan.gpkg", layer=name)
        for name in ("turns", "passes", "refills", "fields")
    }
    html = unescape((got.folder / "plan.html").read_text(encoding="utf-8"))
    with (got.folder / "timeline.csv").open(encoding="utf-8") as stream:
        timeline = list(csv.DictReader(stream))
    sheets = _sheets(got)
    assert len(sheets) == len(fields)
    folders = [
        tag for tag in _tags(got.folder / "plan.kml", "Folder") if tag[0].text not in ("Headland", "Passes")
    ]
    lines = [
        route.name or ""
        for route in gpxpy.parse((got.folder / "plan.gpx").read_text(encoding="utf-8")).routes
    ]
    for paper_sheet, folder, (field_id, one) in zip(sheets, folders, fields.items(), strict=True):
        coverage, areas, time = one["coverage"], one["area"], one["time"]
        turns, passes, stops = coverage["turns"], coverage["passes"], len(one["refills"])
        lifted_m = coverage["turn_length_m"] + coverage["travel_length_m"]
        lifted = f"{lifted_m / far[1]:,.1f} {far[0]}"
        sown = f"{(coverage['pass_length_m'] + coverage['headland_length_m']) / far[1]:,.1f} {far[0]}"
        heading = ", ".join(f"{round(one) % 180}°" for one in coverage["headings_deg"])
        backing = str(coverage["turn_shapes"].get("backing", 0))
        for_seed = f"{coverage['for_seed_length_m'] / far[1]:,.1f} {far[0]}"
        rounds = str(coverage["headland_rounds"])
        assert driving[field_id] == [
            field_id,
            heading,
            str(passes),
            rounds,
            str(turns),
            sown,
            lifted,
            for_seed,
            backing,
        ]

        own = layers["turns"][layers["turns"]["field_id"] == field_id]
        assert set(own["kind"]) <= {"turn", "transfer", "refill"}
        assert (own["kind"] == "turn").sum() == turns
        assert own["length_m"].sum() == pytest.approx(lifted_m, abs=0.01)
        assert layers["passes"].query("field_id == @field_id")["number"].nunique() == passes
        assert (layers["refills"]["field_id"] == field_id).sum() == stops
        row = layers["fields"].set_index("field_id").loc[field_id]
        assert (row["passes"], row["turns"]) == (passes, turns)
        assert row["lifted_m"] == pytest.approx(lifted_m)

        legs = [leg for leg in timeline if leg["field"] == field_id]
        assert sum(leg["kind"] == "turn" for leg in legs) == turns
        assert sum(leg["kind"] == "refill" for leg in legs) == stops
        assert sum(float(leg["duration_s"]) for leg in legs) == pytest.approx(time["field_s"], abs=10)
        marks = [mark.text or "" for mark in folder.iter() if mark.tag.endswith("name")]
        assert len({mark for mark in marks if mark.startswith("pass ")}) == passes
        assert sum(mark.startswith("refill stop") for mark in marks) == stops
        word = "acres" if units == "us" else "hectares"
        data = {item.get("name"): item[0].text for item in folder.iter() if item.tag.endswith("}Data")}
        assert data == {
            f"to_sow_{word}": f"{areas['plantable_m2'] / area[1]:.2f}",
            f"meter_{word}": f"{areas['drilled_m2'] / area[1]:.2f}",
        }

        drilled, mapped = f"{areas['drilled_m2'] / area[1]:,.2f}", f"{areas['mapped_m2'] / area[1]:,.2f}"
        assert drilled in ground[field_id]
        assert mapped in ground[field_id]
        outside = "all inside the edge"
        beyond = f"{areas['outside_m2'] / area[1]:,.2f}"
        if float(beyond):
            outside += f"; {beyond} {area[0]} drilled outside the field"
        hours = (
            f"{time['field_s'] / 3600:,.1f} h"
            if time["field_s"] >= 3600
            else f"{time['field_s'] / 60:.0f} min"
        )
        assert hours in next(row for row in _rows(page, "HOURS") if row[0] == field_id)
        sentence = html[html.index(f'data-field="{field_id}"') :].split("<h3>")[0]
        for paper in (paper_sheet, sentence):
            driven = re.search(
                rf"; {passes} passes at ([^;]*), \S+ \S+ wide; {sown} sowing, {lifted} lifted", paper
            )
            assert driven is not None
            assert re.sub(r" \([^)]*\)", "", driven[1]) == heading
            shapes = re.search(r"drill lifted, [^:]*: ([^;]*); ", paper)
            assert shapes is not None
            counted = dict(reversed(one.split(" ", 1)) for one in shapes[1].split(", "))
            assert sum(map(int, counted.values())) == turns
            assert counted.get("backing", "0") == backing
            assert f"{mapped} mapped" in paper
            assert f"about {drilled} {area[0]};" in paper
            assert outside in paper
            assert f"{round(time['field_s'] / 60) // 60} h" in paper or hours in paper
            assert re.search(rf"Seed stands(?:: |</dt><dd>){stops} refill", paper)
        named = {line.split(": A to B, ")[1] for line in lines if line.startswith(f"{field_id} ")}
        assert named == {f"{round(block['heading_deg'], 1) % 180:.1f} deg" for block in coverage["blocks"]}

    job_h, days = plan["job_time"]["job_s"] / 3600, plan["booking"]["suggested_days"]
    prob = next(one["prob"] for one in plan["booking"]["odds"] if one["days"] == days)
    calendar = (got.folder / "booking.ics").read_text(encoding="utf-8").replace("\r\n ", "")
    finish = plan["booking"]["finish"].replace("-", "")
    short = " ".join(got.printed["short"].split())
    assert f"{days} days, {prob * 100:.0f} % odds of being done: {job_h:,.1f} h of work" in short
    assert f"{job_h:,.1f} h of work" in calendar
    assert f"{prob * 100:.0f} % odds" in calendar
    assert f"DTEND;VALUE=DATE:{int(finish) + 1}" in calendar
    compared = _rows("x\n" + got.printed["compare"].split("\n\n")[1], "x")[1]
    assert str(plan["totals"]["passes"]) in compared
    assert f"{job_h:,.1f} h" in compared
    assert str(days) in compared
    assert f"{plan['totals']['drilled_m2'] / area[1]:,.1f}" in compared
    cost = [row for row in _rows(page, "COST") if row[0] in ("rental", "all known")]
    assert compared[-1] == cost[1][1]
    assert cost[0][1] in got.printed["fee"]
    for paper_sheet in sheets:
        assert f"{job_h:,.1f} h; book {days} days, {prob * 100:.0f} % odds" in paper_sheet
    assert cost[1][1] in html

    sheet = openpyxl.load_workbook(got.folder / "seed-order.xlsx", data_only=True).active
    assert sheet is not None
    ordered = {
        (row[0], row[1]): row[7]
        for row in sheet.iter_rows(min_row=2, values_only=True)
        if row[1] and row[1] != "carrier"
    }
    assert ordered == {(line["species"], line["lot"]): line["bags"] for line in plan["order"]}
    for line in plan["order"]:
        assert f"{line['species']} ({line['lot']}) {line['bags']} × " in short
        assert re.search(rf"{line['species']} \({line['lot']}\) .* {line['bags']} × ", got.printed["seed"])
    caught = {
        row[1]: row[3:5]
        for row in _rows(page, "ON THE DAY")
        if len(row) > 4 and row[1] in ("grain", "small")
    }
    card = " ".join(got.printed["setup"].split())
    paper = " ".join(got.pdf("setup-oats-and-alfalfa.pdf"))
    for box, (row_g, all_g) in caught.items():
        way = "100 ft" if units == "us" else "30 m"
        assert f"{box} box: catch {row_g} a row, {all_g} from all 16, over {way}" in card
        assert f"{box} box: catch {row_g} a row, {all_g} from all 16, over {way}" in paper
        assert all(f"{row_g} {all_g}" in text for text in sheets)
    tasks = zipfile.ZipFile(got.folder / "taskdata-v4.zip").read("TASKDATA/TASKDATA.XML").decode()
    rates = {round(float(value)) for value in re.findall(r'<PDV A="0006" B="(\d+)"', tasks)}
    assert rates == {
        round(c["sown_bulk_kg"] / one["area"]["drilled_m2"] * 1e6)
        for one in plan["fields"]
        for box in one["seed"]["boxes"]
        for c in box["components"]
    }


def test_hours_of_a_field_and_of_the_job_add_up_as_they_are_printed(outputs: tuple[str, Outputs]) -> None:
    """Each row of HOURS, each sheet and the line of the job: what is printed of the parts is within
    rounding of the whole.
    """
    _, got = outputs

    def hours(text: str) -> float:
        return sum(
            float(n.replace(",", "")) * (1 if unit == "h" else 1 / 60)
            for n, unit in re.findall(r"([\d.,]+) (h|min)", text)
        )

    header, *rows = _rows(got.printed["plan"], "HOURS")
    n = header.index("in field")
    for row in rows[:2]:
        assert sum(map(hours, row[1:n])) == pytest.approx(hours(row[n]), abs=0.051)
    job = " ".join(got.printed["plan"].split("Job: ")[1].split("AFTER")[0].split())
    parts, whole = job.split(" (")[0].split(" = ")
    assert hours(parts) == pytest.approx(hours(whole), abs=1e-9)
    for front in (text for text in got.pdf("field-sheets.pdf") if "Hours here:" in text):
        whole, parts = front.split("Hours here: ")[1].split(" Meter:")[0].split(": ", 1)
        assert hours(parts) == pytest.approx(hours(whole), abs=0.051)


_US_ONLY = r"\d ?(?:ft|ft2|ft3|ft²|lb|oz|ac|mi|in|mph|hp|bu|gal|lb/ac|lb/bu|bu/ac|gal/ac|ac/h|seeds/ft2|seeds/lb)\b|\b(?:acres?|feet|foot|pounds?|inch(?:es)?|miles?|bushels?|gallons?)\b"
_METRIC_ONLY = r"\d ?(?:m|m2|m²|km|cm|mm|kg|ha|[lL]|kW|km/h|kg/ha|kg/h[lL]|[lL]/ha|ha/h|seeds/m2|seeds/kg)\b|\b(?:hectares?|metres?|kilograms?|litres?)\b"
_OWN_WORDS = ("district ten-foot three-box drill",)
_DEVICE = re.compile(r"acre meter", re.IGNORECASE)
"""The device on the drill is called so whatever it counts in."""
_BY_CONTRACT = re.compile(
    r"(?:[\d.,]+ ac × \$[\d.]+(?: \+ )?)+ \([\d.,]+ ha\)|[\d.,]+ (?:map|meter|to sow) acres \([\d.,]+ ha\)"
)
"""A rate card bills acres; hectares stand beside."""
_SECTIONS_LEFT = ("TRACTOR", "SOURCES")
"""Titles of sources are as printed. The tractor's checks are not yet in the reader's units."""


def _texts(got: Outputs) -> Iterator[tuple[str, str]]:
    """Everything that a person reads, by where it stands."""
    yield from got.printed.items()
    html = (got.folder / "plan.html").read_text(encoding="utf-8")
    html = re.sub(r"<(style|script)>.*?</\1>", " ", html, flags=re.DOTALL)
    yield "page", unescape(re.sub(r"<[^>]+>", " ", html))
    for path in got.folder.glob("*.pdf"):
        yield path.name, "\n".join(page.extract_text() for page in PdfReader(path).pages)
    for path in got.folder.glob("*.svg"):
        yield path.name, "\n".join(tag.text or "" for tag in (*_tags(path, "text"), *_tags(path, "title")))
    kml = got.folder / "plan.kml"
    yield (
        "kml",
        "\n".join(
            [
                *(tag.text or "" for tag in _tags(kml, "name")),
                *(tag.get("name", "") for tag in _tags(kml, "Data")),
            ]
        ),
    )
    yield "gpx", "\n".join(tag.text or "" for tag in _tags(got.folder / "plan.gpx", "name"))
    yield "ics", (got.folder / "booking.ics").read_text(encoding="utf-8")
    book = openpyxl.load_workbook(got.folder / "seed-order.xlsx", data_only=True)
    yield (
        "xlsx",
        "\n".join(
            str(cell) for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row if cell
        ),
    )
    yield "refills", "\n".join(geopandas.read_file(got.folder / "plan.gpkg", layer="refills")["load"])


def _checked(text: str) -> str:
    """What of a text must be in the reader's units."""
    lines, left_out = [], False
    for line in text.splitlines():
        if re.fullmatch(r"[A-Z][A-Z' ]{3,}|Sources", line.strip()):
            left_out = line.strip().upper() in _SECTIONS_LEFT
        lines += [] if left_out else [line.strip()]
    shown = re.sub(r"-\s*\n", "-", "\n".join(lines)).replace("\n", " ")
    for own in _OWN_WORDS:
        shown = shown.replace(own, "")
    return _BY_CONTRACT.sub("", _DEVICE.sub("", shown))


def test_whatever_a_person_reads_is_in_the_units_asked_for(outputs: tuple[str, Outputs]) -> None:
    """No foot, pound or acre in metric, no metre, kilogram or hectare in US units; grams are what a scale
    reads, in either.
    """
    units, got = outputs
    wrong = re.compile(_METRIC_ONLY if units == "us" else _US_ONLY)
    found = [
        (name, text[max(0, one.start() - 50) : one.end() + 20])
        for name, every in _texts(got)
        for text in [_checked(every)]
        for one in wrong.finditer(text)
    ]
    assert not found
