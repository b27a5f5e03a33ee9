"""Workers that are lost or hang cost their part alone, and a parcel that does it is found."""

from __future__ import annotations

import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import pytest
import region_files as r

from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import PlanError
from fieldplan.region.crew import PlanOne, Worker, planned_by_processes
from fieldplan.region.dataset import dataset_of
from fieldplan.region.parcel import Setup
from fieldplan.region.parts import Part, cuts_of, parts_of

NONE = np.array([], dtype=np.int64)


@pytest.fixture
def county(tmp_path: Path) -> tuple[Setup, list[Part]]:
    """Two parts of the county, of two parcels each."""
    path = r.county(tmp_path / "county.parquet", rows_of_group=2)
    dataset, _ = dataset_of(str(path), ReadingTerms())
    setup = r.setup_for(path, r.quick_job(tmp_path))
    return setup, list(parts_of(dataset, cuts_of(dataset.groups), (1, 2), NONE))


def _codes(county: tuple[Setup, list[Part]], plan_one: PlanOne, limit_s: float = 60.0) -> dict[int, str]:
    setup, parts = county
    found = planned_by_processes(parts, setup, n_workers=1, limit_s=limit_s, plan_one=plan_one)
    return {one.row["row"]: one.row["code"] for _, planned in found for one in planned}


@pytest.mark.slow
def test_parcel_that_crashes_its_worker_is_found(county: tuple[Setup, list[Part]]) -> None:
    """All others are planned; several new processes take their time."""
    codes = _codes(county, r.ends_at_p4)
    assert codes == {row: "worker-lost" if row == 4 else "" for row in (2, 3, 4, 5)}


@pytest.mark.slow
def test_parcel_that_hangs_is_found(county: tuple[Setup, list[Part]]) -> None:
    """By halves, each with the time limit."""
    codes = _codes(county, r.hangs_at_p4, limit_s=0.5)
    assert codes == {row: "time-limit" if row == 4 else "" for row in (2, 3, 4, 5)}


def test_part_of_a_killed_worker_is_done_again(county: tuple[Setup, list[Part]]) -> None:
    """A worker that was killed for reasons of its own is no parcel's fault."""
    assert set(_codes(county, r.ends_once).values()) == {""}


def test_workers_that_never_begin_are_told(
    county: tuple[Setup, list[Part]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Instead of a code for every parcel of a county."""
    monkeypatch.setattr(Worker, "_hire", _dead)
    with pytest.raises(PlanError, match="No worker can begin"):
        _codes(county, r.rows_only)


def _dead(worker: Worker) -> None:
    """Begin a process that ends at once."""
    spawn = multiprocessing.get_context("spawn")
    worker._pool = ProcessPoolExecutor(1, spawn, initializer=os._exit, initargs=(1,))
    worker._ready = worker._pool.submit(os.getpid)
