"""Heights from a file to the plan: slope, grade, power, passes across the slope."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import fiona
import geopandas
import numpy as np
import pytest
from conftest import SAMPLES
from pypdf import PdfReader
from pyproj import Transformer
from shapely import LineString, box
from shapely.geometry import shape

from fieldplan.cli.main import exit_code
from fieldplan.plane.frame import Frame

rasterio = pytest.importorskip("rasterio", reason="reads heights: the extra hills")
Affine = pytest.importorskip("affine").Affine
FRAME = Frame(-93.0, 44.0)
FIELD = box(0, 0, 180, 120)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A field on the side of a hill, heights about it, and heights of another place."""
    path = tmp_path_factory.mktemp("hills")
    geometry = [FRAME.to_lonlat(FIELD)]
    geopandas.GeoDataFrame({"id": ["side"]}, geometry=geometry, crs=4326).to_file(path / "side.geojson")
    east, north = Transformer.from_crs(4326, 32615, always_xy=True).transform(-93.0, 44.0)
    cells = np.arange(80)
    x, y = np.meshgrid(cells * 10.0 - 395, 395 - cells * 10.0)
    z = 320 - 30 * ((x - 90) ** 2 / 260**2 + (y + 60) ** 2 / 130**2)
    for name, away in (("heights.tif", 0.0), ("elsewhere.tif", 90_000.0)):
        transform = Affine(10.0, 0.0, east - 400 + away, 0.0, -10.0, north + 400)
        options = {"height": 80, "width": 80, "count": 1, "dtype": "float32", "crs": "EPSG:32615"}
        with rasterio.open(path / name, "w", driver="GTiff", transform=transform, **options) as out:
            out.write(z.astype("float32"), 1)
    return path


Formula = Callable[[np.ndarray, np.ndarray], np.ndarray]


def _plane(path: Path, slope: float, towards_deg: float) -> None:
    """Heights that rise by a slope towards a bearing of the zone's grid."""
    bearing = np.radians(towards_deg)
    _raster(path, lambda x, y: 300 + slope * (x * np.sin(bearing) + y * np.cos(bearing)))


def _raster(path: Path, z: Formula, size: int = 80) -> None:
    """Heights of a formula of meters east and north of the field's corner, in cells of 10 m about it."""
    east, north = Transformer.from_crs(4326, 32615, always_xy=True).transform(-93.0, 44.0)
    cells = np.arange(size)
    x, y = np.meshgrid(cells * 10.0 - 395, 395 - cells * 10.0)
    options = {"height": size, "width": size, "count": 1, "dtype": "float32", "crs": "EPSG:32615"}
    transform = Affine(10.0, 0.0, east - 400, 0.0, -10.0, north + 400)
    with rasterio.open(path, "w", driver="GTiff", transform=transform, **options) as out:
        out.write(z(x, y).astype("float32"), 1)


def _plan(capsys: pytest.CaptureFixture[str], folder: Path, *words: str) -> dict[str, Any]:
    job = str(SAMPLES / "farm.toml")
    asked = ["plan", str(folder / "side.geojson"), "--job", job, "--json", "--today", "2027-04-01"]
    assert exit_code([*asked, *words]) == 0
    plan: dict[str, Any] = json.loads(capsys.readouterr().out)
    return plan


def test_heights_change_nothing_but_what_is_said(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same passes, seed and hours; slope, grades and power beside them."""
    plain = _plan(capsys, folder)
    known = _plan(capsys, folder, "--elevation", str(folder / "heights.tif"))
    for part in ("coverage", "time", "seed", "area"):
        assert known["fields"][0].get(part) == plain["fields"][0].get(part)
    assert plain["fields"][0]["hills"] is None
    hills = known["fields"][0]["hills"]
    assert 0.1 < hills["slope_median_frac"] < hills["slope_p90_frac"] < 0.6
    assert hills["over_frac"][0]["ground_frac"] >= hills["over_frac"][1]["ground_frac"]
    codes = [note["code"] for note in known["notes"]]
    assert {"slope", "grade-power", "side-slope", "row-grade"} <= set(codes)
    assert "slope" in [check["about"] for check in known["tractor"]]


def test_passes_across_the_slope_are_asked_for(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """They break the limit over less of their length, and the plan says what they cost."""
    heights = ("--elevation", str(folder / "heights.tif"))
    best, contour = (
        _plan(capsys, folder, *heights, "--pattern", pattern)["fields"][0]
        for pattern in ("best", "contour")
    )
    assert contour["coverage"]["pattern"] == "contour"
    over = [
        field["hills"]["passes"]["over_m"] / field["hills"]["passes"]["length_m"]
        for field in (best, contour)
    ]
    assert over[1] < over[0]
    assert over[1] < 0.12


def test_without_heights_the_contour_cannot_be_followed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is told, and so is a file that does not cover the field."""
    plan = _plan(capsys, folder, "--pattern", "contour")
    assert "heights-missing" in [note["code"] for note in plan["notes"] if note["warning"]]
    plan = _plan(capsys, folder, "--elevation", str(folder / "elsewhere.tif"))
    assert "heights-elsewhere" in [note["code"] for note in plan["notes"] if note["warning"]]


def test_the_job_says_the_unit_of_heights(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In feet the same numbers are 0.3048 times as steep."""
    text = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    text = text.replace('"rates.toml"', f'"{SAMPLES / "rates.toml"}"')
    (tmp_path / "job.toml").write_text(text.replace("[working]", '[working]\nelevation_unit = "ft"'))
    heights = ("--elevation", str(folder / "heights.tif"))
    meters, feet = (
        _plan(capsys, folder, *heights, *job)["fields"][0]["hills"]["slope_median_frac"]
        for job in ((), ("--job", str(tmp_path / "job.toml")))
    )
    assert feet == pytest.approx(0.3048 * meters)


def test_steep_ground_stands_in_a_layer(folder: Path, tmp_path: Path) -> None:
    """A feature for each limit that ground exceeds."""
    asked = ["plan", str(folder / "side.geojson"), "--job", str(SAMPLES / "farm.toml"), "-q"]
    words = ["--elevation", str(folder / "heights.tif"), "--out", str(tmp_path / "out"), "--write", "gpkg"]
    assert exit_code([*asked, *words]) == 0
    with fiona.open(tmp_path / "out" / "plan.gpkg", layer="slope") as layer:
        assert sorted(row["properties"]["over_frac"] for row in layer)[:2] == [0.08, 0.15]
    with fiona.open(tmp_path / "out" / "plan.gpkg", layer="over_grade") as layer:
        (row,) = layer
        plan_m = row["properties"]["over_m"]
        drawn = geopandas.GeoSeries([shape(row["geometry"])], crs=4326).to_crs(32615).length.sum()
    assert drawn == pytest.approx(plan_m, rel=2e-3)  # the zone's scale on its central meridian is 0.9996


def test_another_limit_of_grade_is_a_key_of_the_job(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With a limit that no ground exceeds, all passes keep to it."""
    text = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    text = text.replace('"rates.toml"', f'"{SAMPLES / "rates.toml"}"')
    wide = '[working]\nrow_grade = "100 %"\nrow_grade_of_slope = "100 %"'
    (tmp_path / "wide.toml").write_text(text.replace("[working]", wide, 1), encoding="utf-8")
    heights = ["--elevation", str(folder / "heights.tif"), "--json", "--today", "2027-04-01"]
    job = str(tmp_path / "wide.toml")
    assert exit_code(["plan", str(folder / "side.geojson"), "--job", job, *heights]) == 0
    assert json.loads(capsys.readouterr().out)["fields"][0]["hills"]["passes"]["over_m"] == 0


def test_steep_ground_is_sown_slower_where_that_is_asked_for(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Drilling takes the length over each speed: on all of a field whose slope is typed, or on what heights say."""
    text = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    text = text.replace('"rates.toml"', f'"{SAMPLES / "rates.toml"}"')
    half = text.replace("[working]", '[working]\nhill_speed = "2.25 mph"\nhill_slope = "15 %"', 1)
    (tmp_path / "typed.toml").write_text(f'{half}\n[field.side]\nslope = "20 %"\n', encoding="utf-8")
    steeper = half.replace('hill_slope = "15 %"', 'hill_slope = "35 %"')
    (tmp_path / "high.toml").write_text(steeper, encoding="utf-8")
    heights = ["--elevation", str(folder / "heights.tif")]
    plain, typed, high = (
        _drilling_s(capsys, folder, *words)
        for words in (
            ["--job", str(SAMPLES / "farm.toml")],
            ["--job", str(tmp_path / "typed.toml")],
            ["--job", str(tmp_path / "high.toml"), *heights],
        )
    )
    assert typed == pytest.approx(2 * plain, rel=1e-3)  # 4.5 mph elsewhere
    assert 1.05 * plain < high < 1.95 * plain


def _drilling_s(capsys: pytest.CaptureFixture[str], folder: Path, *words: str) -> float:
    assert exit_code(["plan", str(folder / "side.geojson"), *words, "--json", "--today", "2027-04-01"]) == 0
    time = json.loads(capsys.readouterr().out)["fields"][0]["time"]
    return float(time["drilling_s"])


@pytest.mark.parametrize(("slope", "off_deg", "along_edge"), [(0.04, 25.0, True), (0.08, 25.0, False)])
def test_straight_passes_that_keep_to_the_limit_are_offered(
    slope: float,
    off_deg: float,
    along_edge: bool,
    folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The long side runs east and west. Half a slope of 4 % allows 30° off the contour (older national edition of practice
    standard 330), so that passes along it may stay at 25°; 2 % on 8 % allow 14.48°, so only those across are offered.
    """
    _plane(tmp_path / "plane.tif", slope, off_deg)  # the contour runs at 90° + 25°
    plan = _plan(capsys, folder, "--elevation", str(tmp_path / "plane.tif"))
    field, note = (
        plan["fields"][0],
        next(note for note in plan["notes"] if note["code"] == "straight-across"),
    )
    offer = field["hills"]["straight"]
    assert offer["heading_deg"] == pytest.approx(90.0 if along_edge else 90.0 + off_deg, abs=0.2)
    assert offer["quickest_field_s"] == pytest.approx(field["time"]["field_s"], abs=1e-6)
    assert offer["field_s"] >= offer["quickest_field_s"]
    told = _plan(
        capsys,
        folder,
        *("--elevation", str(tmp_path / "plane.tif"), "--pattern", "straight"),
        *("--heading", f"{offer['heading_deg']} deg"),
    )["fields"][0]
    assert told["time"]["field_s"] == pytest.approx(offer["field_s"], abs=1e-6)
    assert told["hills"]["passes"]["over_m"] == 0
    assert note["values"]["extra_s"] == pytest.approx(
        offer["field_s"] - offer["quickest_field_s"], abs=1e-6
    )


def test_no_straight_passes_are_offered_where_none_keep(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Round the side of a hill every straight line climbs."""
    plan = _plan(capsys, folder, "--elevation", str(folder / "heights.tif"))
    assert plan["fields"][0]["hills"]["straight"] is None
    assert "straight-across" not in [note["code"] for note in plan["notes"]]


def _layer(path: Path, shape: Any, **attributes: str) -> str:
    """A GeoJSON file of one shape of the field's plane."""
    attributes = {name: [value] for name, value in attributes.items()}  # type: ignore[misc]
    geometry = [FRAME.to_lonlat(shape)]
    geopandas.GeoDataFrame(attributes, geometry=geometry, crs=4326).to_file(path)
    return str(path)


def test_a_waterway_takes_the_water_of_rows(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A valley whose sides fall by 2.8 %, rows straight down and up: without a waterway each is listed, and its sides
    are over half the slope; within 150 ft of one 3 % are allowed (older national edition of practice standard 330).
    """
    _raster(tmp_path / "valley.tif", lambda x, y: 300 + 0.028 * np.abs(x - 90.0) + 0 * y)
    words = ["--elevation", str(tmp_path / "valley.tif"), "--heading", "90 deg", "--pattern", "straight"]
    waterway = _layer(tmp_path / "water.geojson", box(85, -5, 95, 125), reason="grassed waterway")
    bare, drained = (
        _plan(capsys, folder, *words, *more)["fields"][0] for more in ([], ["--exclusions", waterway])
    )
    passes = bare["hills"]["passes"]
    n_passes = bare["coverage"]["passes"]
    assert passes["pools"] == n_passes
    assert sorted(passes["pool_passes"]) == list(range(1, n_passes + 1))
    assert passes["over_m"] / passes["length_m"] == pytest.approx(
        4 / 5, abs=0.02
    )  # a chord of five lies across the bottom
    of_drained = drained["hills"]["passes"]
    assert (of_drained["pools"], of_drained["pool_passes"]) == (0, [])
    beyond_frac = (85 - 150 * 0.3048) / 85  # chords of 30 m: give or take half of one on each side
    assert of_drained["over_m"] / of_drained["length_m"] == pytest.approx(beyond_frac, abs=15 / 85)


def test_rows_along_a_line_from_a_file_keep_to_the_limit(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the twisted plane z = y(0.06 + 0.0004 x) copies of the line y = 0 rise by 0.0004 y: two percent at 50 m. With the
    pattern "contour" no row follows it farther; with "guide" they do.
    """
    _raster(tmp_path / "twisted.tif", lambda x, y: 300 + y * (0.06 + 0.0004 * x))
    line = _layer(tmp_path / "line.geojson", LineString([(-5, 0), (185, 0)]), name="staked")
    words = ["--elevation", str(tmp_path / "twisted.tif"), "--guide", line]
    follow, contour = (
        _plan(capsys, folder, *words, "--pattern", pattern)["fields"][0] for pattern in ("guide", "contour")
    )
    over = [
        field["hills"]["passes"]["over_m"] / field["hills"]["passes"]["length_m"]
        for field in (follow, contour)
    ]
    assert contour["coverage"]["pattern"] == "contour"
    assert over[0] > 0.3  # of 120 m, those beyond 50 m
    assert over[1] < 0.1


HILL_NOTES = {
    "slope",
    "grade-power",
    "side-slope",
    "row-grade",
    "row-pools",
    "straight-across",
    "heights-elsewhere",
    "tractor-fails",
}


def test_a_field_without_heights_is_as_it_was(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No key of hills says anything without heights, and what heights add is all that differs: without it both are the same
    bytes.
    """
    plain = _plan(capsys, folder)
    known = _plan(capsys, folder, "--elevation", str(folder / "heights.tif"))
    assert plain["fields"][0]["hills"] is None
    assert not HILL_NOTES & {note["code"] for note in plain["notes"]}
    assert "slope" not in [check["about"] for check in plain["tractor"]]
    bare = {**known, "fields": [{**field, "hills": None} for field in known["fields"]]}
    bare["notes"] = [note for note in known["notes"] if note["code"] not in HILL_NOTES]
    bare["tractor"] = [check for check in known["tractor"] if check["about"] != "slope"]
    bare["cover"] = {
        **known["cover"],
        "tractor": plain["cover"]["tractor"],
    }  # the slope is one of its checks
    bare["sources"] = [source for source in known["sources"] if source in plain["sources"]]
    differ = [key for key in plain if json.dumps(plain[key]) != json.dumps(bare[key])]
    assert differ == []


def test_passes_along_the_contour_are_said_to_follow_it(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the page, the sheet and the map: no heading stands for a curve."""
    asked = [
        "plan",
        str(folder / "side.geojson"),
        "--job",
        str(SAMPLES / "farm.toml"),
        "--pattern",
        "contour",
        "-v",
    ]
    words = ["--elevation", str(folder / "heights.tif"), "--out", str(tmp_path), "--write", "svg,sheet"]
    assert exit_code([*asked, *words]) == 0
    page = capsys.readouterr().out
    assert "side   contour" in page
    assert "Contour, guide, edge or curve is what passes follow" in " ".join(page.split())
    assert "passes 4–37, along the contour" in (tmp_path / "map-side.svg").read_text(encoding="utf-8")
    sheet = " ".join(PdfReader(tmp_path / "field-sheets.pdf").pages[0].extract_text().split())
    assert "37 passes along the contour" in sheet
