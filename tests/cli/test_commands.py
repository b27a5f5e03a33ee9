"""Real processes: what a person types, sees and gets as exit code."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import geopandas
import pyogrio
import pytest
from conftest import SAMPLES

from fieldplan.cli.main import exit_code

FARM, JOB = SAMPLES / "farm.geojson", SAMPLES / "farm.toml"


def _run(*arguments: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "fieldplan", *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
    )


def test_page_answers_the_main_questions() -> None:
    """Acres, passes, seed, refills, hours, days, notes and sources stand on the whole page."""
    got = _run("plan", FARM, "--job", JOB, "-v")
    assert got.returncode == 0, got.stderr
    for word in (
        "160.00",
        "BOOK",
        "GROUND",
        "DRIVING",
        "SEED",
        "REFILLS",
        "HOURS",
        "DAYS TO BOOK",
        "NOTES",
        "SOURCES",
    ):
        assert word in got.stdout


def test_json_has_the_contract_keys_and_closes(tmp_path: Path) -> None:
    """Schema, keys, closing areas; --out writes the same JSON and the eight layers; a second run gives the
    same bytes.
    """
    got = _run("plan", FARM, "--job", JOB, "--json", "--legs", "--out", tmp_path / "a")
    plan = json.loads(got.stdout)
    assert plan["schema"] == "fieldplan/plan/1"
    assert set(plan) >= {"fields", "totals", "order", "job_time", "booking", "notes", "sources"}
    for field in plan["fields"]:
        area = field["area"]
        closed = area["drilled_m2"] - area["double_sown_m2"] - area["outside_m2"] + area["missed_m2"]
        assert closed == pytest.approx(area["plantable_m2"], rel=1e-4)
        assert sum(leg["duration_s"] for leg in field["legs"]) == pytest.approx(field["time"]["field_s"])
        for stop in field["refills"]:
            assert field["legs"][stop["leg"] - 1]["kind"] == "refill"
    assert (tmp_path / "a" / "plan.json").read_text(encoding="utf-8") == got.stdout
    layers = {name for name, _ in pyogrio.list_layers(tmp_path / "a" / "plan.gpkg")}
    assert layers - {"layer_styles"} == {
        "fields",
        "headland",
        "passes",
        "turns",
        "refills",
        "missed",
        "drive_line",
        "guides",
        "slope",
        "over_grade",
        "excluded",
        "gates",
    }
    passes = geopandas.read_file(tmp_path / "a" / "plan.gpkg", layer="passes")
    assert passes.crs.to_epsg() == 4326
    assert set(passes.columns) >= {"field_id", "width_m", "block", "leg", "sowing"}
    _run("plan", FARM, "--job", JOB, "--json", "--legs", "--out", tmp_path / "b")
    for name in ("plan.json", "plan.gpkg"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_nothing_is_overwritten_unless_asked(tmp_path: Path) -> None:
    """A second init without --force is a usage error and leaves the file alone."""
    assert _run("init", tmp_path).returncode == 0
    (tmp_path / "job.toml").write_text("mine", encoding="utf-8")
    assert _run("init", tmp_path).returncode == 2
    assert (tmp_path / "job.toml").read_text(encoding="utf-8") == "mine"
    assert _run("init", tmp_path, "--force").returncode == 0
    assert "FILL IN" in (tmp_path / "job.toml").read_text(encoding="utf-8")


def test_init_without_a_folder_writes_into_this_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As ``fieldplan init .`` does."""
    monkeypatch.chdir(tmp_path)
    assert exit_code(["init"]) == 0
    assert "FILL IN" in (tmp_path / "job.toml").read_text(encoding="utf-8")


def test_acres_shows_what_web_mercator_says() -> None:
    """At 44.6° N Web Mercator nearly doubles the acres."""
    got = _run("acres", FARM)
    assert got.returncode == 0
    assert "160.00" in got.stdout
    assert "+97" in got.stdout


BAD_JOBS = [
    ("rows = 16", 'rows = "ten feet"', 3, "rows"),
    ("rows = 16", "rowz = 16", 3, 'did you mean "rows"'),
    ('row_spacing = "7.5 in"', "row_spacing = 7.5", 3, "without a unit"),
    ('row_spacing = "7.5 in"', 'row_spacing = "7.5 mph"', 3, "is not a unit of length"),
    ('fieldwork_day_chance = "55 %"', "", 3, "fieldwork_day_chance is missing"),
    ('rate = "12 lb/ac PLS"', 'rate = "12 lb/ac"', 3, "pure live seed or bulk"),
    ('bulk_weight = "60 lb/bu"', "", 3, "weigh a bucket"),
    ('germination = "82 %"', 'germination = "95 %"', 3, "more than 100 %"),
    ('box = "small"', 'box = "smal"', 3, "boxes of the drill"),
    ("[booking]", "[bookings]", 3, 'did you mean "booking"'),
    ("rows = 16", "rows = ", 3, "quantities go in quotes"),
]


@pytest.mark.parametrize(("good", "bad", "code", "phrase"), BAD_JOBS)
def test_bad_job_is_refused_with_a_reason(
    good: str, bad: str, code: int, phrase: str, tmp_path: Path
) -> None:
    """Exit code and wording; stdout is empty and nothing is written."""
    text = JOB.read_text(encoding="utf-8")
    assert good in text
    shutil.copy(SAMPLES / "rates.toml", tmp_path)
    (tmp_path / "job.toml").write_text(text.replace(good, bad, 1), encoding="utf-8")
    got = _run("plan", FARM, "--job", tmp_path / "job.toml", "--json", "--out", tmp_path / "out")
    assert (got.returncode, got.stdout) == (code, "")
    assert phrase in got.stderr
    assert "Traceback" not in got.stderr
    assert not (tmp_path / "out").exists()


BAD_FIELDS = [
    ("missing.geojson", None, "no such file"),
    ("empty.geojson", "", "empty"),
    ("words.geojson", "hello", "is not in a format"),
    ("cut.geojson", '{"type": "FeatureCollection", "features": [', "damaged"),
    (
        "meters.geojson",
        '{"type":"Feature","properties":{},"geometry":{"type":"Polygon","coordinates":[[[578027,4983427],'
        "[578827,4983427],[578827,4984227],[578027,4983427]]]}}",
        "labeled as degrees",
    ),
    (
        "points.geojson",
        '{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[-95,44]}}',
        "no field outline",
    ),
    (
        "bowtie.geojson",
        '{"type":"Feature","properties":{},"geometry":{"type":"Polygon","coordinates":[[[-95,44],[-94.99,44.01],'
        "[-94.99,44],[-95,44.01],[-95,44]]]}}",
        "crosses itself",
    ),
    ("virtual.geojson", "<OGRVRTDataSource><OGRVRTLayer name='x'/></OGRVRTDataSource>", "refused"),
]


@pytest.mark.parametrize(("name", "content", "phrase"), BAD_FIELDS)
def test_bad_boundary_is_refused_with_a_reason(
    name: str, content: str | None, phrase: str, tmp_path: Path
) -> None:
    """Exit code 3, a reason and no traceback."""
    if content is not None:
        (tmp_path / name).write_text(content, encoding="utf-8")
    got = _run("acres", tmp_path / name, "--json")
    assert (got.returncode, got.stdout) == (3, "")
    assert phrase in got.stderr
    assert "Traceback" not in got.stderr


def test_who_has_no_job_file_is_told_how_to_come_by_one() -> None:
    """Both ways: a file with questions, and a browser."""
    got = _run("plan", FARM)
    assert got.returncode == 2
    assert "fieldplan init" in got.stderr
    assert "fieldplan desk" in got.stderr
