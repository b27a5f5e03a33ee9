"""What one field, the booking or the tractor says no to is a finding: said first, the rest planned, exit
0.
"""

from __future__ import annotations

import csv
import json
import re
import zipfile
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import fiona
import geopandas
import gpxpy
import openpyxl
import pypdf
import pytest
from conftest import SAMPLES
from shapely import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from fieldplan.cli.main import exit_code
from fieldplan.plane.frame import Frame
from fieldplan.units import FOOT_M

DRILL_M = 10 * FOOT_M
TODAY = "2027-04-01"
WIDE, NARROW = box(0, 0, 100, 150), box(300, 0, 302, 150)
HARDLY_ANY = (
    'hours_per_day = "8 h"',
    'hours_per_day = "10 min"\nmeant = ["hours_per_day", "fieldwork_day_chance"]',
)


def _file(folder: Path, shapes: Mapping[str, BaseGeometry], name: str = "fields") -> str:
    """A boundary file of shapes in metres about a place, their names as ids."""
    frame = Frame(-95.0, 44.0)
    path = folder / f"{name}.geojson"
    geometry = [frame.to_lonlat(shape) for shape in shapes.values()]
    geopandas.GeoDataFrame({"id": list(shapes)}, geometry=geometry, crs="EPSG:4326").to_file(
        path, driver="GeoJSON"
    )
    return str(path)


def _job(folder: Path, *changes: tuple[str, str]) -> str:
    """The sample farm's job with some of its text changed."""
    text = (
        (SAMPLES / "farm.toml")
        .read_text(encoding="utf-8")
        .replace('"rates.toml"', f'"{SAMPLES / "rates.toml"}"')
    )
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return str(folder / "job.toml")


def _out(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert exit_code([*arguments, "--today", TODAY]) == 0
    return " ".join(capsys.readouterr().out.split())


def _strict(text: str) -> Any:
    """JSON that has neither NaN nor infinity."""

    def refuse(constant: str) -> None:
        raise AssertionError(constant)

    return json.loads(text, parse_constant=refuse)


def _plan(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    assert exit_code(["plan", *arguments, "--json", "--today", TODAY]) == 0
    return _strict(capsys.readouterr().out)  # type: ignore[no-any-return]


def _warned(plan: Mapping[str, Any]) -> list[tuple[str, str | None]]:
    return [(note["code"], note["field_id"]) for note in plan["notes"] if note["warning"]]


def test_three_narrow_parcels_of_sixty_are_named_first_and_the_rest_is_planned(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Zero drilled, all of it missed, no passes, turns, hours or seed; one warning names all three; the
    others are as in a job without them.
    """
    narrow = ("p04", "p17", "p33")
    shapes = {
        f"p{i:02d}": box(i * 200, 0, i * 200 + (2.5 if f"p{i:02d}" in narrow else 30), 40)
        for i in range(60)
    }
    fields, job = _file(tmp_path, shapes), _job(tmp_path)
    short = _out(capsys, "plan", fields, "--job", job, "-q")
    assert short.index("Warning: p04, p17, p33: No pass of the drill") < short.index("plantable acres")
    assert "at most 8.20 ft wide" in short
    plan = _plan(capsys, fields, "--job", job)
    of = {one["field_id"]: one for one in plan["fields"]}
    for name in narrow:
        one = of[name]
        assert (
            one["coverage"]["passes"],
            one["coverage"]["turns"],
            one["time"]["field_s"],
            one["seed"]["boxes"],
        ) == (
            0,
            0,
            0,
            [],
        )
        assert (one["time"]["field_efficiency_frac"], one["area"]["drilled_m2"]) == (None, 0)
        assert one["area"]["missed_m2"] == pytest.approx(one["area"]["plantable_m2"], rel=1e-6)
    assert [pair for pair in _warned(plan) if pair[0] == "field-too-narrow"] == [
        ("field-too-narrow", name) for name in narrow
    ]
    rest = _plan(
        capsys,
        _file(tmp_path, {name: shape for name, shape in shapes.items() if name not in narrow}, "rest"),
        "--job",
        job,
    )
    assert [one for one in plan["fields"] if one["field_id"] not in narrow] == rest["fields"]
    assert plan["order"] == rest["order"]
    assert plan["job_time"] == rest["job_time"]


@pytest.mark.parametrize(
    "shapes", [{"wide": WIDE, "lane": NARROW}, {"lane": NARROW, "ditch": box(0, 0, 150, 1)}]
)
def test_every_file_copes_with_fields_that_are_not_drilled(
    shapes: dict[str, BaseGeometry], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All outputs are written and read by others, where one field or all are too narrow; what is not there
    is not drawn.
    """
    job = _job(tmp_path, ("[booking] ", "[booking]\nstart = 2027-05-10\n#"))
    out = tmp_path / "out"
    page = _out(capsys, "plan", _file(tmp_path, shapes), "--job", job, "--out", str(out), "--write", "all")
    assert "nan" not in page.casefold().replace("maintenance", "")
    plan = _strict((out / "plan.json").read_text(encoding="utf-8"))
    drilled = [one for one in plan["fields"] if one["area"]["drilled_m2"] > 0]
    n, n_drilled = len(shapes), len(drilled)
    assert (out / "booking.ics").exists() == (n_drilled > 0)
    for path in out.iterdir():
        if path.suffix in (".svg", ".kml", ".gpx"):
            ET.fromstring(path.read_bytes())
    assert "nan" not in (out / "map-lane.svg").read_text(encoding="utf-8")
    gpx = gpxpy.parse((out / "plan.gpx").read_text(encoding="utf-8"))
    assert (
        len(gpx.tracks),
        len([waypoint for waypoint in gpx.waypoints if str(waypoint.name).endswith("gate")]),
    ) == (
        n,
        n_drilled,
    )
    assert len(pypdf.PdfReader(out / "field-sheets.pdf").pages) == 2 * n
    with (out / "timeline.csv").open(encoding="utf-8", newline="") as stream:
        assert {row["field"] for row in csv.DictReader(stream)} == {one["field_id"] for one in drilled}
    with fiona.open(out / "plan.gpkg", layer="missed") as source:
        assert "lane" in {feature["properties"]["field_id"] for feature in source}
    with zipfile.ZipFile(out / "taskdata-v4.zip") as archive:
        root = ET.fromstring(archive.read("TASKDATA/TASKDATA.XML"))
    assert (len(root.findall("PFD")), len(root.findall("TSK"))) == (n, n_drilled)
    sheet = openpyxl.load_workbook(out / "seed-order.xlsx").active
    assert sheet is not None
    if not n_drilled:
        assert sheet["A2"].value == "nothing to order"
        assert plan["booking"]["suggested_days"] is None
        assert plan["job_time"]["job_s"] == 0
        assert ("nothing-drilled", None) in _warned(plan)


def test_ground_closes_for_a_field_that_is_not_drilled_twice(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two sowings miss the ground twice: drilled − double-sown − outside + missed = plantable × sowings."""
    plan = _plan(
        capsys,
        _file(tmp_path, {"wide": WIDE, "lane": NARROW}),
        "--job",
        _job(tmp_path, ("[working] ", "[working]\nsowings = 2\n#")),
    )
    for one in plan["fields"]:
        area = one["area"]
        closed = area["drilled_m2"] - area["double_sown_m2"] - area["outside_m2"] + area["missed_m2"]
        assert closed == pytest.approx(2 * area["plantable_m2"], rel=1e-4)


def test_only_the_narrow_part_of_a_field_is_missed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An arm and a part that are narrower than the drill are missed, and said; of the rest no more is than
    without them.
    """
    shapes = {
        "arm": Polygon([(100, 0), (200, 0), (200, 80), (102, 80), (102, 200), (100, 200)]),
        "parts": MultiPolygon([box(400, 0, 460, 100), box(480, 0, 482, 100)]),
    }
    without = {"arm": box(100, 0, 200, 80), "parts": box(400, 0, 460, 100)}
    job = _job(tmp_path)
    plan = _plan(capsys, _file(tmp_path, shapes), "--job", job)
    wide = _plan(capsys, _file(tmp_path, without, "wide"), "--job", job)
    _, parts = (
        one["area"]["missed_m2"] - alone["area"]["missed_m2"]
        for one, alone in zip(plan["fields"], wide["fields"], strict=True)
    )
    out = ["--out", str(tmp_path / "out"), "--write", "gpkg"]
    _plan(capsys, _file(tmp_path, shapes), "--job", job, *out)
    missed = geopandas.read_file(tmp_path / "out" / "plan.gpkg", layer="missed")
    of_arm = Frame(-95.0, 44.0).to_plane(missed[missed["field_id"] == "arm"].union_all())
    # measured within the arm itself: what corners of the rest miss depends on where it is begun
    assert of_arm.intersection(box(100, 80, 102, 200)).area == pytest.approx(2 * 120, rel=0.01)
    assert of_arm.difference(box(100, 80, 102, 200)).area < wide["fields"][0]["area"]["missed_m2"] + 1
    # less than two squares as wide as the drill: the other part may be begun at another corner
    assert parts == pytest.approx(2 * 100, abs=2 * 3.048**2)
    assert ("ground-missed", "arm") in [(note["code"], note["field_id"]) for note in plan["notes"]]
    assert ("parts-missed", "parts") in _warned(plan)


def test_a_strip_as_wide_as_the_drill_takes_one_pass(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It misses nothing where its edge is open, and less than half the drill at either end where it is not."""
    fields = _file(tmp_path, {"exact": box(0, 0, DRILL_M, 100)})
    for edge, most_m2 in (("open", 0.1), ("fenced", 2 * DRILL_M * DRILL_M / 2)):
        job = _job(tmp_path, ("[working] ", f'[working]\nedge = "{edge}"\n#'))
        (exact,) = _plan(capsys, fields, "--job", job)["fields"]
        assert exact["coverage"]["passes"] == 1
        assert exact["area"]["missed_m2"] < most_m2


def test_other_faults_of_one_field_are_its_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All excluded, a gate and a stand of seed at the other end of the world: each is said first, and no
    plan is lost for it.
    """
    shapes = {"wide": WIDE, "wet": box(200, 0, 260, 100), "astray": box(400, 0, 480, 100)}
    exclusion = _file(tmp_path, {"wet": box(190, -10, 270, 110)}, "exclusion")
    job = _job(
        tmp_path,
        (
            "[booking] ",
            "[field.astray]\nseed_at = { lat = 0, lon = 0 }\ngate = { lat = -44, lon = 95 }\n[booking]\n#",
        ),
    )
    arguments = [_file(tmp_path, shapes), "--job", job, "--exclusions", exclusion]
    short = _out(capsys, "plan", *arguments, "-q")
    for phrase in (
        "wet: All of it",
        "astray: its gate in the job file",
        "astray: its seed_at in the job file",
    ):
        assert short.index(phrase) < short.index("plantable acres")
    plan = _plan(capsys, *arguments)
    wide, wet, astray = plan["fields"]
    assert (wet["area"]["plantable_m2"], wet["area"]["missed_m2"], wet["coverage"]["passes"]) == (0, 0, 0)
    assert wide["area"]["drilled_m2"] > 0
    assert astray["time"]["field_s"] < 2 * 3600
    assert (
        exit_code(
            ["plan", *arguments, "--out", str(tmp_path / "out"), "--write", "all", "-q", "--today", TODAY]
        )
        == 0
    )


def test_a_booking_that_cannot_be_had_refuses_nothing_else(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Acres, passes and seed stand; the odds go as far as days are booked; what is said to help does, when
    it is planned.
    """
    fields, start = (
        _file(tmp_path, {"a": WIDE, "b": box(300, 0, 400, 150)}),
        ("[booking] ", "[booking]\nstart = 2027-05-10\n#"),
    )
    usual = _plan(capsys, fields, "--job", _job(tmp_path, start))
    job = _job(
        tmp_path,
        start,
        HARDLY_ANY,
        ('fieldwork_day_chance = "55 %"', 'fieldwork_day_chance = "9 %"'),
    )
    plan = _plan(capsys, fields, "--job", job)
    assert {key: plan[key] for key in ("fields", "totals", "order", "job_time")} == {
        key: usual[key] for key in ("fields", "totals", "order", "job_time")
    }
    booking = plan["booking"]
    assert (booking["suggested_days"], booking["finish"], booking["odds"][-1]["days"]) == (None, None, 366)
    assert "rental (no days to book)" in plan["cost"]["unknown"]
    short = _out(capsys, "plan", fields, "--job", job, "-q")
    assert short.startswith("Warning: No booking of up to 366 days reaches the wanted 80 % odds")
    cure = re.search(r"working days of (\d+) h \((\d+) days to book\)", short)
    assert cure is not None
    longer = _plan(
        capsys,
        fields,
        "--job",
        _job(
            tmp_path,
            start,
            ('hours_per_day = "8 h"', f'hours_per_day = "{cure[1]} h"'),
            ('fieldwork_day_chance = "55 %"', 'fieldwork_day_chance = "9 %"'),
        ),
    )
    assert longer["booking"]["suggested_days"] == int(cure[2])


def test_every_command_lives_with_a_booking_that_cannot_be_had(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """compare, progress and fee say so and go on; all files but the calendar are written; the calendar by
    itself is refused.
    """
    fields = _file(tmp_path, {"a": WIDE, "lane": NARROW})
    job = _job(
        tmp_path,
        ("[booking] ", "[booking]\nstart = 2027-05-10\n#"),
        HARDLY_ANY,
        ('fieldwork_day_chance = "55 %"', 'fieldwork_day_chance = "5 %"'),
    )
    assert "none" in _out(capsys, "compare", fields, "--job", job, "--crews", "2")
    assert "No booking of up to 366 days" in _out(
        capsys, "progress", fields, "--job", job, "--metered", "1 ac", "--worked", "1 h"
    )
    fee = _out(capsys, "fee", str(SAMPLES / "rates.toml"), fields, "--job", job)
    assert "not in the sum, as there are no days to book: extra days" in fee
    seed = _out(capsys, "seed", fields, "--job", job)
    assert seed.index("No booking of up to 366 days") < seed.index("ORDER")
    out = tmp_path / "out"
    assert exit_code(["plan", fields, "--job", job, "--out", str(out), "--write", "all", "-q"]) == 0
    assert "booking.ics is left out" in capsys.readouterr().err
    assert not (out / "booking.ics").exists()
    assert (
        "No booking of up to 366 days" in (out / "plan.html").read_text(encoding="utf-8").split("<nav")[0]
    )
    assert (
        "No booking of up to 366 days"
        in " ".join(pypdf.PdfReader(out / "cover.pdf").pages[0].extract_text().split())[:400]
    )
    assert (
        exit_code(["plan", fields, "--job", job, "--out", str(tmp_path / "ics"), "--write", "calendar"])
        == 4
    )
    assert not (tmp_path / "ics").exists()


def test_an_end_that_is_too_early_is_said_first_with_what_would_do(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The start that is named is early enough, and a day later is not; one that can be met stands in the
    short answer too.
    """
    fields = _file(tmp_path, {"a": box(0, 0, 400, 400), "b": box(500, 0, 900, 400)})

    def job(start: str) -> str:
        return _job(tmp_path, ("[booking] ", f"[booking]\nstart = {start}\nfinish_by = 2027-05-18\n#"))

    short = _out(capsys, "plan", fields, "--job", job("2027-05-14"), "-q")
    assert short.startswith(
        "Warning: The job cannot be done by 18 May 2027 with 80 % odds: with a start on 14 May 2027"
    )
    named = re.search(r"a start by (\d\d) (Apr|May) 2027", short)
    assert named is not None
    on = date(2027, 4 if named[2] == "Apr" else 5, int(named[1]))
    in_time = _out(capsys, "plan", fields, "--job", job(on.isoformat()), "-q")
    assert f"to be done by Tue 18 May 2027 with 80 % odds, start by {on:%a %d %b %Y}" in in_time
    assert "Warning: To be done" not in in_time


@pytest.mark.parametrize(
    ("drill", "tractor", "failing"),
    [
        ('min_pto_power = "80 hp"', "", "power"),
        ("min_remotes = 2", "", "hydraulics"),
        ("", 'hitch = "three-point category 2"', "hitch"),
        ('hitch = "three-point category 2"', "", "hitch"),
        ('min_pto_power = "70 hp"\nmin_remotes = 1\nhitch = "drawbar"', "", ""),
        ('min_pto_power = "25 hp"', 'pto_power = "30 hp"', ""),
        ("", 'pto_power = "30 hp"', "power"),
        ("min_remotes = 0", "remotes = 0", ""),
    ],
)
def test_a_tractor_that_fails_is_seen_first(
    drill: str, tractor: str, failing: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the drill asks for comes before what is published for its width; a fail is a warning, and the
    exit code is 0.
    """
    key = tractor.split(" = ")[0]
    changes = [("rows = 16", f"rows = 16\n{drill}")]
    changes += (
        [
            (
                next(
                    line
                    for line in (SAMPLES / "farm.toml").read_text(encoding="utf-8").splitlines()
                    if line.startswith(f"{key} = ")
                ),
                tractor,
            )
        ]
        if key
        else []
    )
    arguments = [_file(tmp_path, {"a": box(0, 0, 40, 60)}), "--job", _job(tmp_path, *changes)]
    plan = _plan(capsys, *arguments)
    assert [one["about"] for one in plan["tractor"] if one["verdict"] == "fail"] == (
        [failing] if failing else []
    )
    short = _out(capsys, "plan", *arguments, "-q")
    assert short.startswith(f"Warning: The tractor fails the check of {failing}: ") == bool(failing)
    assert ("the drill's own requirement (job file)" in _out(capsys, "plan", *arguments, "-v")) == bool(
        drill
    )


def test_the_tractor_is_told_in_the_reader_s_units(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Kilowatts, metres, kilograms and km/h on a metric page, with no foot, horsepower or pound left."""
    job = _job(
        tmp_path,
        ("rows = 16", 'rows = 16\nweight = "4500 lb"\ntransport_width = "12 ft"'),
        ('pto_power = "75 hp"', 'pto_power = "30 hp"'),
        ("[booking] ", '[field.a]\ngate_width = "11 ft"\nslope = "40 %"\n[booking]\n#'),
    )
    page = _out(
        capsys, "plan", _file(tmp_path, {"a": box(0, 0, 40, 60)}), "--job", job, "-v", "--units", "metric"
    )
    tractor = (
        page[page.index(" TRACTOR ") : page.index(" COST ")]
        + page[page.index("Warning") : page.index("plantable hectares")]
    )
    for shown in ("22 kW", "45 kW to 67 kW", "3.0 m wide", "2 041 kg", "3.66 m", "3.35 m", "km/h"):
        assert shown in tractor
    assert not re.search(r"\d (?:hp|ft|lb|mph)\b", tractor)


def test_what_is_no_hitch_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A word that no trade knows is an error of the job file, for the tractor and for the drill, with the
    right forms.
    """
    job = _job(
        tmp_path,
        ("rows = 16", 'rows = 16\nhitch = "drawbra"'),
        ('hitch = "drawbar, category 2"', 'hitch = "bananas"'),
    )
    assert exit_code(["plan", _file(tmp_path, {"a": WIDE}), "--job", job]) == 3
    sentence = capsys.readouterr().err
    assert '[tractor] hitch is "bananas", not a hitch.' in sentence
    assert 'did you mean "drawbar"?' in sentence
    assert "three-point category 2" in sentence


@pytest.mark.parametrize("width_m", [2 * DRILL_M + one for one in (0.005, 0.045, 0.3)])
def test_a_strip_too_thin_to_drive_between_headland_sides_stops_nothing(
    width_m: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two drills and a hand wide, one round: the audit closes, and every block that is named has passes."""
    fields = _file(tmp_path, {"lane": box(0, 0, 329.5, width_m)})
    one = _plan(capsys, fields, "--job", _job(tmp_path, ("[working]", "[working]\nheadland_rounds = 1\n")))[
        "fields"
    ][0]
    area = one["area"]
    got_m2 = area["drilled_m2"] - area["double_sown_m2"] - area["outside_m2"] + area["missed_m2"]
    assert got_m2 == pytest.approx(area["plantable_m2"], rel=1e-5)
    assert all(block["passes"] for block in one["coverage"]["blocks"])


def test_a_field_of_very_many_holes_or_parts_is_a_finding_within_seconds(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It took hours; the field beside it is planned."""
    pits = [box(x, y, x + 6, y + 6) for x in range(10, 710, 20) for y in range(10, 210, 20)]
    parts = [box(x, y, x + 6, y + 6) for x in range(2000, 3010, 10) for y in range(0, 110, 10)]
    shapes = {
        "pits": Polygon(box(0, 0, 720, 220).exterior, [pit.exterior for pit in pits]),
        "specks": MultiPolygon(parts),
        "wide": box(900, 0, 1000, 150),
    }
    plan = _plan(capsys, _file(tmp_path, shapes), "--job", _job(tmp_path))
    assert _warned(plan)[:2] == [("field-scattered", "pits"), ("field-scattered", "specks")]
    assert [field["area"]["drilled_m2"] > 0 for field in plan["fields"]] == [False, False, True]
