"""Damaged input never gives a traceback and never ends the program by itself."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from conftest import SAMPLES

from fieldplan.cli.main import exit_code


@pytest.mark.parametrize("name", ["farm.geojson", "ponds.gpkg", "pivot.kml", "restoration.zip"])
def test_damaged_boundary_is_read_or_refused(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Bytes flipped and files cut short: exit 0 or 3. A cut GeoPackage once crashed the reader."""
    whole = (SAMPLES / name).read_bytes()
    chance = random.Random(3)
    for i in range(16):
        damaged = bytearray(whole[: chance.randrange(1, len(whole))] if i % 2 else whole)
        for _ in range(0 if i % 2 else chance.choice([1, 5, 40])):
            damaged[chance.randrange(len(damaged))] = chance.randrange(256)
        path = tmp_path / f"{i}-{name}"
        path.write_bytes(damaged)
        code = exit_code(["acres", str(path)])
        said = capsys.readouterr().err
        assert code in (0, 3), said
        assert "Traceback" not in said


def test_damaged_job_is_read_or_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Characters replaced anywhere in a job file: exit 0, 2, 3 or 4."""
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
