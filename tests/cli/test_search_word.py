"""``search`` in a job, ``--search`` of plan and region: the same plans, and each of them says how it was searched."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import geopandas
import pytest
import region_files as r
from conftest import ROOT

from fieldplan.cli.main import exit_code

FIELDS = ROOT / "sample_fields" / "farm.geojson"


def _plan(capsys: pytest.CaptureFixture[str], job: Path, *more: str) -> dict[str, Any]:
    assert exit_code(["plan", str(FIELDS), "--job", str(job), "--json", *more]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_the_job_and_the_option_say_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each field and its notes say it, and no default was used."""
    job = tmp_path / "farm.toml"
    shutil.copy(ROOT / "sample_fields" / "rates.toml", tmp_path)
    text = (ROOT / "sample_fields" / "farm.toml").read_text(encoding="utf-8")
    assert text.count("\n[working]") == 1
    job.write_text(text.replace("\n[working]", '\n[working]\nsearch = "quick" #'), encoding="utf-8")
    quick = _plan(capsys, job)
    assert quick == _plan(capsys, ROOT / "sample_fields" / "farm.toml", "--search", "quick")
    assert {field["coverage"]["search"] for field in quick["fields"]} == {"quick"}
    noted = [note["field_id"] for note in quick["notes"] if note["code"] == "search-quick"]
    assert sorted(noted) == sorted(field["field_id"] for field in quick["fields"])
    usual = _plan(capsys, job, "--search", "usual")
    assert not [note for note in usual["notes"] if note["code"].startswith("search")]


def test_the_rows_of_a_region_say_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And the same folder does not go on with another search."""
    r.county(tmp_path / "county.parquet")
    r.quick_job(tmp_path)
    words = ["region", str(tmp_path / "county.parquet"), "--job", str(tmp_path / "job.toml")]
    words += ["--out", str(tmp_path / "out"), "--workers", "1"]
    assert exit_code([*words, "--search", "quick"]) == 0
    rows = geopandas.read_parquet(tmp_path / "out" / "fields")
    planned = rows[rows["code"] == ""]
    assert len(planned)
    assert all("search-quick" in notes for notes in planned["notes"])
    assert json.loads((tmp_path / "out" / "summary.json").read_text())["notes"]["search-quick"] == len(
        planned
    )
    capsys.readouterr()
    assert exit_code(words) == 2
    assert "other job" in capsys.readouterr().err
