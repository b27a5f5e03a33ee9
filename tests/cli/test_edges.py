"""What files say about the edges of fields, from the file to the plan."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import geopandas
import pytest
from conftest import SAMPLES
from shapely import LineString, MultiPolygon, Point, box
from shapely.geometry.base import BaseGeometry

from fieldplan.cli.main import exit_code
from fieldplan.plane.frame import Frame

FRAME = Frame(-95.0, 44.0)
POND, WATERWAY = Point(100, 150).buffer(15), box(-5, 60, 205, 72)
FIELD = box(0, 0, 200, 200)


def _layer(path: Path, layer: str, shapes: list[BaseGeometry], **columns: list[str]) -> None:
    geometry = [FRAME.to_lonlat(shape) for shape in shapes]
    geopandas.GeoDataFrame(columns, geometry=geometry, crs="EPSG:4326").to_file(path, layer=layer)


def _job(folder: Path, more: str = "", working: str = "") -> str:
    text = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    text = text.replace('"rates.toml"', f'"{SAMPLES / "rates.toml"}"')
    path = folder / "job.toml"
    path.write_text(text.replace("[working]", f"[working]\n{working}", 1) + more, encoding="utf-8")
    return str(path)


def _planned(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    assert exit_code(["plan", *arguments, "--json", "--today", "2027-04-01"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def _edge(plan: dict[str, Any]) -> tuple[str, float]:
    edge = plan["fields"][0]["edge"]
    return edge["edge"], edge["open_m"]


def test_the_job_comes_before_the_file_and_that_before_the_default(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Open all round by the attribute, open in the north by the field's table, open by [working]."""
    said, silent = tmp_path / "said.gpkg", tmp_path / "silent.gpkg"
    _layer(said, "fields", [FIELD], id=["square"], edge=["Open"])
    _layer(silent, "fields", [FIELD], id=["square"])
    north = '\n[field.square]\nopen_sides = ["North"]\n'
    assert _edge(_planned(capsys, str(silent), "--job", _job(tmp_path))) == ("fenced", 0)
    assert _edge(_planned(capsys, str(silent), "--job", _job(tmp_path, working='edge = "open"'))) == (
        "open",
        pytest.approx(800, rel=1e-3),
    )
    assert _edge(_planned(capsys, str(said), "--job", _job(tmp_path)))[0] == "open"
    plan = _planned(capsys, str(said), "--job", _job(tmp_path, north))
    assert _edge(plan) == ("part", pytest.approx(200, rel=1e-3))
    (note,) = [note for note in plan["notes"] if note["code"] == "edge-open"]
    assert note["text"].startswith("656 ft of its outer edge of 2,625 ft are open")


def test_lines_of_a_layer_edges_open_the_edge_that_they_follow(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """They are no fields; one with another word, and one along no field, are warned about."""
    path = tmp_path / "fields.gpkg"
    _layer(path, "fields", [FIELD], id=["square"])
    lines: list[BaseGeometry] = [
        LineString([(200, 201), (0, 199)]),
        LineString([(0, 0), (200, 0)]),
        LineString([(0, -60), (200, -60)]),
    ]
    _layer(path, "Edges", lines, edge=["open", "gone", "open"])
    assert exit_code(["check", str(path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [layer["fields"] for layer in found["layers"]] == [1, 0]
    codes = [note["code"] for note in found["notes"]]
    assert [codes.count(code) for code in ("edge-drawn", "edge-unreadable", "edge-elsewhere")] == [1, 1, 1]
    assert _edge(_planned(capsys, str(path), "--job", _job(tmp_path))) == (
        "part",
        pytest.approx(200, rel=0.02),
    )


def test_ground_with_cross_lifted_may_be_driven_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A waterway parts the field: fenced, the route leaves the ground to cross it; lifted, it does not."""
    path = tmp_path / "fields.gpkg"
    _layer(path, "fields", [FIELD], id=["square"])
    codes = {}
    for word in ("", "lifted"):
        cut = tmp_path / f"cut{word}.gpkg"
        _layer(cut, "cut", [POND, WATERWAY], reason=["pond", "waterway"], cross=["", word])
        out = tmp_path / f"out{word}"
        plan = _planned(
            capsys, str(path), "--job", _job(tmp_path), "--exclusions", str(cut), "--out", str(out)
        )
        codes[word] = {note["code"] for note in plan["notes"]}
        layer = geopandas.read_file(out / "plan.gpkg", layer="excluded")
        assert sorted(layer["cross"].fillna("")) == ["", word]
    assert "route-outside" in codes[""]
    assert "route-outside" not in codes["lifted"]


@pytest.mark.parametrize(
    ("key", "cure"),
    [
        ('edge = "oppen"', 'did you mean edge = "open"?'),
        ('open_sides = ["up"]', 'one of: "north", "north-east"'),
        ("open_sides = 3", 'such as open_sides = ["north", "east"]'),
    ],
)
def test_what_is_no_edge_and_no_side_is_refused(
    key: str, cure: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the words that it can be."""
    path = tmp_path / "fields.gpkg"
    _layer(path, "fields", [MultiPolygon([FIELD])], id=["square"])
    job = _job(tmp_path, f"\n[field.square]\n{key}\n")
    assert exit_code(["plan", str(path), "--job", job, "--json"]) == 3
    assert cure in capsys.readouterr().err
