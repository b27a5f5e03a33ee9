"""What files say about the edges of fields, from the file to the plan."""

from __future__ import annotations

import json
import math
import re
from itertools import pairwise
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


def test_passes_go_on_across_a_waterway_and_every_output_shows_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the page, in JSON and on the map: seed and meter are less by what is not sown, and each pass has a
    raised stretch of 12 m.
    """
    path, cut = tmp_path / "fields.gpkg", tmp_path / "cut.gpkg"
    _layer(path, "fields", [box(0, 0, 300, 200)], id=["square"])
    across = box(150, -5, 162, 205)
    _layer(cut, "cut", [across], reason=["grassed waterway"], cross=["lifted"], headland=["no"])
    job, out = _job(tmp_path, working='heading = "90 deg"'), tmp_path / "out"
    plain = _planned(capsys, str(path), "--job", job)
    plan = _planned(capsys, str(path), "--job", job, "--exclusions", str(cut), "--out", str(out), "--legs")
    (note,) = [note for note in plan["notes"] if note["code"] == "crossed-lifted"]
    n_passes, n_rounds = (plan["fields"][0]["coverage"][key] for key in ("passes", "headland_rounds"))
    assert note["values"]["lifted_m"] == pytest.approx((n_passes + 2 * n_rounds) * 12, rel=1e-3)
    assert note["text"].startswith(
        f"{n_passes} passes go on across grassed waterway with the drill raised, "
    )
    drilled = [one["totals"]["drilled_m2"] for one in (plain, plan)]
    assert drilled[0] - drilled[1] == pytest.approx(note["values"]["lifted_m"] * 10 * 0.3048, rel=1e-3)
    seed = [one["order"][0]["sown_kg"] for one in (plain, plan)]
    assert seed[1] / seed[0] == pytest.approx(drilled[1] / drilled[0])
    turns = geopandas.read_file(out / "plan.gpkg", layer="turns")
    on_grass = turns.geometry.map(lambda line: across.buffer(0.1).covers(FRAME.to_plane(line)))
    raised = turns[(turns["kind"] == "transfer") & on_grass]
    assert len(raised) == n_passes + 2 * n_rounds
    assert raised["length_m"].tolist() == pytest.approx([12] * len(raised), rel=1e-3)


def test_a_headland_along_ground_that_may_be_crossed_is_asked_for_by_its_attribute(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With "yes" passes end there, so there are about twice as many; another word is warned about."""
    path = tmp_path / "fields.gpkg"
    _layer(path, "fields", [box(0, 0, 300, 200)], id=["square"])
    passes, codes = {}, {}
    for word in ("no", "Yes", "some"):
        cut = tmp_path / f"{word}.gpkg"
        _layer(cut, "cut", [box(150, -5, 162, 205)], cross=["lifted"], headland=[word])
        job = _job(tmp_path, working='heading = "90 deg"')
        plan = _planned(capsys, str(path), "--job", job, "--exclusions", str(cut))
        passes[word] = plan["fields"][0]["coverage"]["passes"]
        codes[word] = {note["code"] for note in plan["notes"]}
    assert passes["Yes"] > 1.8 * passes["no"]
    assert ["headland-unreadable" in codes[word] for word in passes] == [False, False, True]


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


def test_the_raised_stretches_of_passes_are_drawn(tmp_path: Path) -> None:
    """On the map and on the page a line of its own, named in the legend, 12 m for each pass and round that crosses."""
    path, cut, out = tmp_path / "fields.gpkg", tmp_path / "cut.gpkg", tmp_path / "out"
    _layer(path, "fields", [box(0, 0, 300, 200)], id=["square"])
    across = box(150, -5, 162, 205)
    _layer(cut, "cut", [across], reason=["grassed waterway"], cross=["lifted"], headland=["no"])
    command = [
        "plan",
        str(path),
        "--job",
        _job(tmp_path, working='heading = "90 deg"'),
        "--exclusions",
        str(cut),
    ]
    assert exit_code([*command, "--out", str(out), "--write", "page,svg,json", "-q"]) == 0
    coverage = json.loads((out / "plan.json").read_text(encoding="utf-8"))["fields"][0]["coverage"]
    raised_m = (coverage["passes"] + 2 * coverage["headland_rounds"]) * 12
    svg = (out / "map-square.svg").read_text(encoding="utf-8")
    (drawn,) = re.findall(r'<path class="raised" d="(M[^"]*\d{2,}L[^"]*)"/>', svg)
    scale = int(re.findall(r"1 : ([\d,]+)", svg)[0].replace(",", ""))
    ends = [[tuple(map(float, at.split())) for at in line.split("L")] for line in drawn.split("M")[1:]]
    drawn_mm = sum(math.dist(one, other) for line in ends for one, other in pairwise(line))
    assert drawn_mm * scale / 1000 == pytest.approx(raised_m, rel=0.01)
    html = (out / "plan.html").read_text(encoding="utf-8")
    route = json.loads(re.findall(r'class="drive-data">({.*?})</script>', html)[0])
    what = route["names"].index("drill raised, going on beyond")
    found_m = sum(dm for dm, kind in zip(route["dm"], route["what"], strict=True) if kind == what) / 10
    assert found_m == pytest.approx(raised_m, rel=0.01)
    assert svg.count("drill raised, goes on beyond") == html.count("drill raised, goes on beyond") == 1
