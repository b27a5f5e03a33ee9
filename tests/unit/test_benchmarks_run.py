"""Benchmarks are run by hand, and would rot unseen."""

from __future__ import annotations

import random
import sys
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from benchmarks import region_file, region_memory, season_list, stages
from conftest import SAMPLES
from region_files import quick_job, setup_for

from fieldplan.boundary.terms import ReadingTerms
from fieldplan.region.dataset import dataset_of, repeated_rows
from fieldplan.region.parcel import plan_parcel
from fieldplan.region.parts import cuts_of, parts_of


def test_benchmark_of_stages_runs(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On one field of the sample farm."""
    monkeypatch.setattr(sys, "argv", ["stages", str(SAMPLES / "farm.geojson"), "--most", "1"])
    stages.main()
    assert "1 fields planned, 0 refused" in capsys.readouterr().out


def test_a_large_file_has_the_broken_rows_that_are_made(tmp_path: Path) -> None:
    """Two of 50 rows are planned, of which one has the id of the row before; each other gets the code of its fault."""
    pytest.importorskip("pyarrow")
    path = tmp_path / "county.parquet"
    region_file.write(path, region_file.parcels_of(None, tiny=True), 100, mostly_broken=True)
    setup = setup_for(path, quick_job(tmp_path))
    dataset, terms = dataset_of(str(path), ReadingTerms())
    cuts = cuts_of(dataset.groups)
    parts = parts_of(dataset, cuts, range(len(cuts)), repeated_rows(dataset, terms))
    rows = [plan_parcel(parcel, setup).row for part in parts for parcel in part.parcels]
    assert Counter(row["code"] for row in rows) == {
        "": 4,
        "outline-invalid": 20,
        "no-geometry": 70,
        "geometry-unreadable": 2,
        "field-too-narrow": 2,
        "points": 2,
    }
    assert sum("id-twice" in row["notes"] for row in rows) == 2


def test_memory_is_drawn_and_its_trend_told() -> None:
    """From 200 to 220 MB: 20 MB more over the last fifth of the rows than over the second."""
    samples = [(float(k), 10 * k, 200.0, 200.0 + (20.0 if k >= 80 else 0.0)) for k in range(1, 101)]
    assert region_memory.trend_mb(samples, 3) == 20.0
    assert region_memory.trend_mb(samples, 2) == 0.0
    lines = ET.fromstring(region_memory.picture(samples, "county")).iter(
        "{http://www.w3.org/2000/svg}polyline"
    )
    assert [len(line.attrib["points"].split()) for line in lines] == [100, 100]


def test_a_list_of_requests_is_planned_as_a_clerk_would(tmp_path: Path) -> None:
    """A file and a list are written that the command takes; every request is served or refused, and the time is told."""
    pytest.importorskip("ortools")
    season_list.write_season(tmp_path / "season", 6, 1, 12, random.Random(0))
    run = season_list.planned(tmp_path / "season")
    assert len(run.found["bookings"]) + len(run.found["refused"]) == 6
    assert 0 < run.silent_s <= run.clock_s
    assert "of 6 served" in season_list.told(run)
