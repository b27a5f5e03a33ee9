"""Lines that passes follow: drawn in a layer, given as a file, or named by a pattern."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import geopandas
import pytest
from conftest import SAMPLES
from shapely import LineString, Polygon

from fieldplan.cli.main import exit_code

Planned = Callable[..., tuple[dict[str, Any], list[dict[str, Any]]]]
FIELD = Polygon([(-95.7500, 44.2500), (-95.7475, 44.2500), (-95.7475, 44.2515), (-95.7500, 44.2515)])
CURVE = LineString([(-95.7505, 44.2506), (-95.7494, 44.2508), (-95.7481, 44.2508), (-95.7470, 44.2506)])
AWAY = LineString([(-95.76, 44.26), (-95.759, 44.26)])


def _layer(path: Path, layer: str, shape: object, **columns: str) -> None:
    frame = geopandas.GeoDataFrame(
        {name: [value] for name, value in columns.items()}, geometry=[shape], crs=4326
    )
    frame.to_file(path, layer=layer, driver="GPKG")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A field with a layer of guides, the same field alone, and a file of guides."""
    path = tmp_path_factory.mktemp("guides")
    for name in ("both.gpkg", "alone.gpkg"):
        _layer(path / name, "fields", FIELD, id="hill")
    _layer(path / "both.gpkg", "Guide", CURVE, name="contour")
    _layer(path / "lines.gpkg", "contours", CURVE, name="contour")
    _layer(path / "away.gpkg", "contours", AWAY, name="elsewhere")
    return path


@pytest.fixture
def planned(capsys: pytest.CaptureFixture[str]) -> Planned:
    """What the plan of a file says of its first field's coverage, and its notes."""

    def run(
        *words: object, job: Path = SAMPLES / "farm.toml"
    ) -> tuple[dict[str, Any], list[dict[str, Any]]]:
        assert exit_code(["plan", *map(str, words), "--job", str(job), "--json"]) == 0
        plan = json.loads(capsys.readouterr().out)
        return plan["fields"][0]["coverage"], plan["notes"]

    return run


def test_passes_follow_a_line_of_the_layer_guide(folder: Path, planned: Planned) -> None:
    """Its capitals do not matter; the plan says how tight passes bend, and how uneven seed falls there."""
    coverage, notes = planned(folder / "both.gpkg")
    assert coverage["pattern"] == "guide"
    curve = next(block["curve"] for block in coverage["blocks"] if block["curve"])
    assert curve["rate_error_frac"] == pytest.approx(coverage["drill_width_m"] / 2 / curve["radius_m"])
    assert {"guides-drawn", "passes-curved"} <= {note["code"] for note in notes}
    assert "default-used" in [
        note["code"] for note in notes if note["values"].get("key") == "drill.pass_radius"
    ]


def test_a_file_of_guides_does_the_same(folder: Path, planned: Planned) -> None:
    """--guide takes the lines of a file of its own."""
    layer, _ = planned(folder / "both.gpkg")
    file, _ = planned(folder / "alone.gpkg", "--guide", folder / "lines.gpkg")
    assert file == layer


def test_a_guide_elsewhere_is_told(folder: Path, planned: Planned) -> None:
    """It is not followed, and its place is named."""
    coverage, notes = planned(folder / "alone.gpkg", "--guide", folder / "away.gpkg")
    assert coverage["pattern"] != "guide"
    assert "guide-elsewhere" in [note["code"] for note in notes if note["warning"]]


def test_a_file_that_is_none_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It is opened as guardedly as any other."""
    asked = ["plan", str(folder / "alone.gpkg"), "--job", str(SAMPLES / "farm.toml")]
    assert exit_code([*asked, "--guide", str(folder / "none.gpkg")]) == 3
    assert "none.gpkg" in capsys.readouterr().err


def test_the_attribute_pattern_is_kept_by_the_field(tmp_path: Path, planned: Planned) -> None:
    """A field may be driven in rounds alone; a word that is none is told and ignored."""
    for word, pattern, told in (
        ("Rounds", "rounds", "rounds-alone"),
        ("zigzag", "straight", "pattern-unreadable"),
    ):
        _layer(tmp_path / f"{word}.gpkg", "fields", FIELD, id="hill", pattern=word)
        coverage, notes = planned(tmp_path / f"{word}.gpkg")
        assert coverage["pattern"] == pattern
        assert told in [note["code"] for note in notes]


def test_the_job_file_comes_before_the_field(folder: Path, tmp_path: Path, planned: Planned) -> None:
    """[field.ID] pattern decides over the boundary file, and [working] pattern where neither says."""
    text = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    text = text.replace('"rates.toml"', f'"{SAMPLES / "rates.toml"}"')
    (tmp_path / "job.toml").write_text(f'{text}\n[field.hill]\npattern = "straight"\n', encoding="utf-8")
    coverage, _ = planned(folder / "both.gpkg", job=tmp_path / "job.toml")
    assert coverage["pattern"] == "straight"
