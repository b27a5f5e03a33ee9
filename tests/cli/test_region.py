"""``fieldplan region``: rows, sums, the same bytes however it is run, and runs that go on where they were."""

from __future__ import annotations

import csv
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import geopandas
import openpyxl
import pandas as pd
import pytest
import region_files as r
from conftest import ROOT

import fieldplan
from fieldplan.cli.main import exit_code
from fieldplan.region.columns import FIELDS
from fieldplan.region.sums import rows_of

pyarrow = pytest.importorskip("pyarrow")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """With the county, the quick job and one of a wider drill."""
    place = tmp_path_factory.mktemp("region")
    r.county(place / "county.parquet")
    r.quick_job(place)
    r.quick_job(place, "wide.toml", rows=24)
    return place


def _words(folder: Path, out: str, *more: str) -> list[str]:
    files = [str(folder / name) for name in ("county.parquet", "job.toml", "wide.toml", out)]
    wide = ["--job-field", "practice", "--job-for", f"hay by wide drill={files[2]}"]
    return ["region", files[0], "--job", files[1], *wide, "--out", files[3], "--by", "county", *more]


@pytest.fixture(scope="module")
def whole(folder: Path) -> Path:
    """The result of an undisturbed run by one worker."""
    assert exit_code(_words(folder, "whole", "--workers", "1", "--passes")) == 0
    return folder / "whole"


@pytest.fixture(scope="module")
def rows(whole: Path) -> geopandas.GeoDataFrame:
    """All its rows."""
    return geopandas.read_parquet(whole / "fields")


def _files(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def test_rows_in_are_rows_out(rows: geopandas.GeoDataFrame) -> None:
    """Broken rows among them, each with its code; units stand in the metadata of the columns."""
    assert rows["code"].tolist() == r.CODES
    assert rows["row"].tolist() == list(range(10))
    assert rows.crs == "OGC:CRS84"
    assert rows["job"].tolist() == ["job.toml"] * 9 + ["wide.toml"]
    assert rows["field_s"][9] < rows["field_s"][0]  # more rows of drill, fewer passes


def test_columns_have_units(whole: Path) -> None:
    """In the metadata, in agreement with their names."""
    from pyarrow import parquet

    schema = parquet.read_schema(next((whole / "fields").iterdir()))
    for column in FIELDS:
        unit = schema.field(column.name).metadata[b"unit"].decode()
        endings = {"_m2": "m2", "_m": "m", "_s": "s", "_deg": "deg"}
        told = next((unit for ending, unit in endings.items() if column.name.endswith(ending)), None)
        assert told is None or told == unit, column.name


def test_sums_are_those_of_the_rows(whole: Path, rows: geopandas.GeoDataFrame) -> None:
    """In all and by county: added up by another library."""
    found = json.loads((whole / "summary.json").read_text(encoding="utf-8"))
    assert (found["n_rows"], found["n_sample"]) == (10, None)
    assert [(one["by"], one["value"]) for one in found["groups"]] == [
        ("", ""),
        ("county", "Ash"),
        ("county", "Elm"),
    ]
    planned = rows[rows["code"] == ""].assign(
        county=rows["attributes"].map(lambda text: json.loads(text)["county"])
    )
    for group in found["groups"]:
        own = planned if not group["by"] else planned[planned["county"] == group["value"]]
        assert group["n_planned"] == len(own)
        for name in ("plantable_m2", "passes", "refills", "field_s", "job_s", "turning_s", "missed_m2"):
            assert group[name] == pytest.approx(own[name].sum(), rel=1e-12)
        lots = pd.DataFrame([lot for seed in own["seed"] for lot in seed])
        need = lots.groupby(["species", "lot"])["need_kg"].sum()
        assert {
            (line["species"], line["lot"]): pytest.approx(line["need_kg"]) for line in group["seed"]
        } == dict(need)
        assert sum(group["refused"].values()) + group["n_planned"] == group["n_rows"]


def test_sums_are_the_same_in_every_file(whole: Path) -> None:
    """CSV and spreadsheet hold what the JSON holds; the map shows where."""
    found = json.loads((whole / "summary.json").read_text(encoding="utf-8"))["groups"]
    with (whole / "summary.csv").open(encoding="utf-8-sig", newline="") as stream:
        table = list(csv.DictReader(stream))
    sheet = openpyxl.load_workbook(whole / "summary.xlsx")["sums"]
    header, *cells = sheet.iter_rows(values_only=True)
    for group, line, row in zip(found, table, cells, strict=True):
        of_sheet = dict(zip(header, row, strict=True))
        for name in ("n_planned", "plantable_m2", "job_s"):
            assert float(line[name]) == group[name]
            assert of_sheet[name] == pytest.approx(group[name])  # spreadsheets keep 16 digits
    assert "<svg" in (whole / "map.svg").read_text(encoding="utf-8")


def test_passes_are_those_that_rows_count(whole: Path, rows: geopandas.GeoDataFrame) -> None:
    """As long together as passes and headland rounds of each parcel."""
    passes = geopandas.read_parquet(whole / "passes")
    sown_m = passes.groupby("row")["length_m"].sum()
    planned = rows[rows["code"] == ""].set_index("row")
    assert sown_m.to_dict() == pytest.approx((planned["pass_m"] + planned["headland_m"]).to_dict())
    assert passes.geometry.within(rows.union_all().buffer(1e-6)).all()


def test_drills_for_the_season(whole: Path) -> None:
    """One drill more than needed is never less sure; one fewer is not sure enough."""
    fleets = json.loads((whole / "summary.json").read_text(encoding="utf-8"))["groups"][0]["fleets"]
    assert [fleet["job"] for fleet in fleets] == ["job.toml", "wide.toml"]
    for fleet in fleets:
        assert fleet["finish_by"] == "2027-05-21"
        assert fleet["drills_needed_prob"] >= fleet["confidence_frac"]
        assert fleet["drills_needed"] == 1 or fleet["season_prob"] < fleet["confidence_frac"]


@pytest.mark.slow
def test_killed_and_gone_on_with_gives_the_same_bytes(folder: Path, whole: Path) -> None:
    """The run is killed after its first part, its workers end with it, and two workers do the rest."""
    words = _words(folder, "killed", "--workers", "2", "--passes")
    run = subprocess.Popen([sys.executable, "-m", "fieldplan", *words], stderr=subprocess.DEVNULL)
    until = time.monotonic() + 120
    while not list((folder / "killed" / "fields").glob("*.parquet")) and time.monotonic() < until:
        time.sleep(0.01)
    os.kill(run.pid, signal.SIGKILL)
    run.wait()
    assert exit_code(words) == 0
    killed = _files(folder / "killed")
    assert killed == _files(whole)


def test_what_is_done_is_not_done_again(
    whole: Path, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same command again needs no worker; other sums are made of the same rows."""
    before = {path: path.stat().st_mtime_ns for path in (whole / "fields").iterdir()}
    words = [
        word if word != "county" else "practice" for word in _words(folder, "whole", "--passes", "--json")
    ]
    assert exit_code(words) == 0
    found = json.loads(capsys.readouterr().out)
    assert [one["value"] for one in found["groups"]] == ["", "hay", "hay by wide drill"]
    assert {path: path.stat().st_mtime_ns for path in (whole / "fields").iterdir()} == before
    assert exit_code(_words(folder, "whole", "--passes")) == 0


def test_another_job_is_refused(whole: Path, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And another file: the folder keeps what it was begun with."""
    assert whole.is_dir()
    words = _words(folder, "whole", "--passes")
    other = [str(folder / "wide.toml") if word.endswith("job.toml") else word for word in words]
    assert exit_code(other) == 2
    assert "other job" in capsys.readouterr().err
    assert exit_code(_words(folder, "whole")) == 2
    assert "other passes" in capsys.readouterr().err


def test_an_attribute_that_is_told_twice_is_added_up_once(
    whole: Path, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its groups had each parcel twice; names that differ in capitals are one."""
    again = ["--by", "County", "--by", "county"]
    assert exit_code([*_words(folder, "whole", "--passes", "--json"), *again]) == 0
    found = json.loads(capsys.readouterr().out)["groups"]
    assert [(one["by"], one["value"], one["n_rows"]) for one in found] == [
        ("", "", 10),
        ("county", "Ash", 5),
        ("county", "Elm", 5),
    ]
    assert exit_code([*_words(folder, "none", "--dry-run", "--json"), *again]) == 0
    assert json.loads(capsys.readouterr().out)["values"] == {"county": {"Ash": 5, "Elm": 5}}
    assert exit_code(_words(folder, "whole", "--passes")) == 0
    assert whole.is_dir()


def test_a_copy_of_a_part_is_not_added_up(
    whole: Path, folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As programs that keep folders alike leave them: its parcels counted twice."""
    shutil.copytree(whole, tmp_path / "whole")
    part = tmp_path / "whole" / "fields" / "part-0000001.parquet"
    shutil.copy(part, part.with_name("part-0000001 (1).parquet"))
    words = [
        word.replace(str(whole), str(tmp_path / "whole"))
        for word in _words(folder, "whole", "--passes", "--json")
    ]
    assert exit_code(words) == 0
    assert json.loads(capsys.readouterr().out)["groups"][0]["n_rows"] == 10


@pytest.mark.parametrize("content", [b"", b"PAR1 and no more"])
def test_a_part_that_is_damaged_is_named(
    content: bytes, whole: Path, folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """And planned again once it is deleted; the run ended in a traceback."""
    shutil.copytree(whole, tmp_path / "whole")
    part = tmp_path / "whole" / "fields" / "part-0000001.parquet"
    part.write_bytes(content)
    words = [
        word.replace(str(whole), str(tmp_path / "whole")) for word in _words(folder, "whole", "--passes")
    ]
    assert exit_code(words) == 3
    assert "part-0000001.parquet: is damaged" in capsys.readouterr().err


def test_dry_run_counts(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Rows, parts and bounds, and nothing is written."""
    assert exit_code(_words(folder, "none", "--dry-run", "--json")) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    frame = geopandas.read_parquet(folder / "county.parquet")
    assert (found["n_rows"], found["n_row_groups"], found["n_parts"]) == (10, 3, 3)
    assert found["n_without_outline"] == 1
    assert found["bounds_deg"] == pytest.approx(list(frame.total_bounds))
    assert found["values"] == {"county": {"Ash": 5, "Elm": 5}}
    assert found["attributes"] == ["id", "county", "practice", "mix"]
    assert exit_code(_words(folder, "none", "--dry-run")) == 0
    assert "Attributes to add up by: id, county, practice, mix." in capsys.readouterr().out
    assert not (folder / "none").exists()


def test_duckdb_reads_the_rows(whole: Path, rows: geopandas.GeoDataFrame) -> None:
    """As the README shows it."""
    duckdb = pytest.importorskip("duckdb")
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    asked = next(text for text in readme.split("`") if text.startswith("SELECT"))
    found = duckdb.sql(asked.replace("county/fields", f"{whole}/fields")).fetchall()
    hours = {
        code: (len(own), pytest.approx(own["job_s"].sum() / 3600)) for code, own in rows.groupby("code")
    }
    assert {code: (n, job_h or 0.0) for code, n, job_h in found} == hours


def test_any_format_is_planned(folder: Path, whole: Path, tmp_path: Path) -> None:
    """The first parcels as GeoPackage: the same rows."""
    frame = geopandas.read_parquet(folder / "county.parquet").iloc[:2]
    frame.to_file(tmp_path / "county.gpkg", driver="GPKG")
    region = fieldplan.plan_region(
        tmp_path / "county.gpkg", folder / "job.toml", tmp_path / "out", workers=1
    )
    wanted = list(region.rows())
    for row, of_parquet in zip(wanted, rows_of(whole), strict=False):
        names = [name for name in row if name != "attributes"]
        assert {name: row[name] for name in names} == {name: of_parquet[name] for name in names}
    assert region.to_frame()["code"].tolist() == ["", ""]
    assert region.model.all.n_planned == 2
    assert "2 of 2 parcels planned" in region.text()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "needs a folder"),
        (["--out", "x", "--job-field", "practice"], "goes with --job-for"),
        (["--out", "x", "--job-for", "practice"], "does not name a value"),
        (["--out", "x", "--workers", "2", "--scheduler", "tcp://127.0.0.1:1"], "does not go with"),
    ],
)
def test_wrong_usage_is_told(
    words: list[str], said: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before any work."""
    assert (
        exit_code(["region", str(folder / "county.parquet"), "--job", str(folder / "job.toml"), *words])
        == 2
    )
    assert said in capsys.readouterr().err
