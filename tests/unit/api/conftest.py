"""The sample farm as a notebook has it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import geopandas as gpd
import pytest
from conftest import SAMPLES, TODAY

import fieldplan
from fieldplan.cli.main import exit_code


@pytest.fixture
def samples(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the sample folder, as the current folder."""
    folder = tmp_path / "sample_fields"
    shutil.copytree(SAMPLES, folder)
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture(scope="session")
def farm() -> gpd.GeoDataFrame:
    """The fields of the sample farm in degrees, with a plain index."""
    return gpd.read_file(SAMPLES / "farm.geojson")


@pytest.fixture(scope="session")
def planned() -> fieldplan.Plan:
    """The plan of the sample farm from its files."""
    return fieldplan.plan(SAMPLES / "farm.geojson", SAMPLES / "farm.toml", today=TODAY)


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    """What a command prints with ``--json``."""
    capsys.readouterr()
    assert exit_code([*arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)
