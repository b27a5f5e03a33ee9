"""Damaged input never gives a traceback, never hangs, never ends the program by itself and never writes
elsewhere.
"""

from __future__ import annotations

import json
import random
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import boundary_builders as s
import pytest
from boundary_builders import POND, SQUARE
from conftest import SAMPLES

from fieldplan.cli.main import exit_code

LONGEST_S = 10.0
EAST = s.moved(SQUARE, 0.02)
WITH_POND = SQUARE.difference(POND)


def _zip_of_shapefile(folder: Path) -> Path:
    return s.zipped(
        folder / "whole.zip", {"farm/fields.shp": s.shapefile(folder / "fields.shp", WITH_POND, EAST)}
    )


def _kmz(folder: Path) -> Path:
    return s.zipped(
        folder / "whole.kmz", {"doc.kml": s.kml(folder / "doc.kml", s.kml_ring(SQUARE), s.kml_ring(EAST))}
    )


WHOLE: dict[str, Callable[[Path], Path]] = {
    "geojson": lambda f: s.geojson(
        f / "whole.geojson", WITH_POND, EAST, properties={"mix": "meadow", "gate": "44.2, -95.7"}
    ),
    "gpkg": lambda f: s.vector(f / "whole.gpkg", WITH_POND, EAST, driver="GPKG", crs=4326, layer="fields"),
    "shp": lambda f: s.shapefile(f / "whole.shp", WITH_POND, EAST),
    "zip": _zip_of_shapefile,
    "kml": lambda f: s.kml(f / "whole.kml", s.kml_ring(SQUARE), s.kml_ring(EAST)),
    "kmz": _kmz,
    "fgb": lambda f: s.vector(f / "whole.fgb", WITH_POND, EAST, driver="FlatGeobuf"),
    "gml": lambda f: s.vector(f / "whole.gml", WITH_POND, EAST, driver="GML"),
    "gpx": lambda f: s.gpx(f / "whole.gpx", list(SQUARE.exterior.coords), list(EAST.exterior.coords)),
    "dxf": lambda f: s.dxf(f / "whole.dxf", list(SQUARE.exterior.coords), list(EAST.exterior.coords)),
    "csv": lambda f: s.table(f / "whole.csv", f"SRID=4326;{WITH_POND.wkt}", f"SRID=4326;{EAST.wkt}"),
}


def _flipped(whole: bytes, chance: random.Random) -> bytes:
    damaged = bytearray(whole)
    for _ in range(chance.choice([1, 5, 40])):
        damaged[chance.randrange(len(damaged))] = chance.randrange(256)
    return bytes(damaged)


def _cut(whole: bytes, chance: random.Random) -> bytes:
    return whole[: chance.randrange(1, len(whole))]


def _swapped_about(whole: bytes, chance: random.Random) -> bytes:
    a, b = sorted(chance.randrange(len(whole)) for _ in range(2))
    return whole[:a] + whole[b:] + whole[a:b]


def _check(path: Path, capsys: pytest.CaptureFixture[str], *more: str) -> None:
    folder = path.parent
    before = {one: one.stat().st_size for one in folder.rglob("*")}
    start = time.monotonic()
    code = exit_code(["check", str(path), "--json", *more])
    took_s = time.monotonic() - start
    sentence = capsys.readouterr()
    assert code in (0, 3), sentence.err
    assert "Traceback" not in sentence.err
    assert took_s < LONGEST_S
    assert {one: one.stat().st_size for one in folder.rglob("*")} == before
    assert json.loads(sentence.out)["accepted"] == (code == 0)


@pytest.mark.parametrize("kind", WHOLE)
def test_damaged_boundary_is_read_or_refused(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Bytes flipped, files cut short, halves in the wrong order: exit 0 or 3, and nothing written beside
    the file.
    """
    (tmp_path / "whole").mkdir()
    path = WHOLE[kind](tmp_path / "whole")
    more = ("--crs", "EPSG:4326") if kind == "dxf" else ()
    _check(path, capsys, *more)
    whole = path.read_bytes()
    chance = random.Random(kind)
    for i in range(45):
        damaged = path.with_name(f"{i}{path.suffix}")
        damaged.write_bytes((_flipped, _cut, _swapped_about)[i % 3](whole, chance))
        _check(damaged, capsys, *more)
        damaged.unlink()


def test_damaged_geodatabase_is_read_or_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A File Geodatabase with any of its files damaged."""
    path = s.vector(tmp_path / "fields.gdb", WITH_POND, EAST, driver="OpenFileGDB")
    chance = random.Random(8)
    members = sorted(one for one in path.iterdir() if one.stat().st_size)
    for i in range(45):
        member = chance.choice(members)
        whole = member.read_bytes()
        member.write_bytes((_flipped, _cut)[i % 2](whole, chance))
        _check(path, capsys)
        member.write_bytes(whole)


def _less_a_key(value: Any, chance: random.Random) -> Iterator[Any]:
    """The same JSON with one key or item dropped, or one value replaced, somewhere."""
    places: list[tuple[Any, Any]] = []

    def walk(node: Any) -> None:
        for key in (
            list(node) if isinstance(node, dict) else range(len(node)) if isinstance(node, list) else ()
        ):
            places.append((node, key))
            walk(node[key])

    walk(value)
    node, key = chance.choice(places)
    if chance.random() < 0.5:
        del node[key]
    else:
        node[key] = chance.choice([None, [], {}, "x", -1, 1e9, True, "\x1b[31m"])
    yield value


def test_geojson_without_some_key_is_read_or_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Any key, item or value of a GeoJSON file missing or of another kind."""
    text = WHOLE["geojson"](tmp_path).read_text(encoding="utf-8")
    chance = random.Random(5)
    for i in range(150):
        for damaged in _less_a_key(json.loads(text), chance):
            path = tmp_path / f"{i}.geojson"
            path.write_text(json.dumps(damaged), encoding="utf-8")
            _check(path, capsys)
            path.unlink()


def test_damaged_boundary_plan_writes_only_into_its_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A plan of a damaged file fills its output folder or leaves it out, and touches nothing else."""
    whole = (SAMPLES / "ponds.gpkg").read_bytes()
    chance = random.Random(6)
    for i in range(6):
        path = tmp_path / "ponds.gpkg"
        path.write_bytes(_flipped(whole, chance))
        code = exit_code(
            [
                "plan",
                str(path),
                "--job",
                str(SAMPLES / "farm.toml"),
                "-q",
                "--out",
                str(tmp_path / f"out{i}"),
            ]
        )
        assert code in (0, 3, 4), capsys.readouterr().err
        written = {one.name for one in tmp_path.iterdir()}
        assert written <= {"ponds.gpkg", *(f"out{n}" for n in range(i + 1))}
        assert (tmp_path / f"out{i}").exists() == (code == 0)


def test_damaged_job_is_read_or_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Characters replaced anywhere in a job file: exit 0, 2, 3 or 4."""
    shutil.copy(SAMPLES / "rates.toml", tmp_path)
    whole = (SAMPLES / "farm.toml").read_bytes()
    chance = random.Random(4)
    for i in range(20):
        damaged = bytearray(whole)
        for _ in range(chance.choice([1, 3, 10])):
            damaged[chance.randrange(len(damaged))] = chance.randrange(32, 126)
        path = tmp_path / f"{i}.toml"
        path.write_bytes(damaged)
        code = exit_code(["plan", str(SAMPLES / "ponds.gpkg"), "--job", str(path), "-q"])
        assert code in (0, 2, 3, 4), capsys.readouterr().err
