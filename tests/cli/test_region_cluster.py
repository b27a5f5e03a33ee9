"""``fieldplan region --scheduler``: a cluster of this machine gives the bytes that one worker gives."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import region_files as r

from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.main import exit_code
from fieldplan.errors import PlanError
from fieldplan.region.cluster import planned_by_cluster
from fieldplan.region.crew import PlanOne
from fieldplan.region.dataset import dataset_of, repeated_rows
from fieldplan.region.parcel import LOST, TOO_LONG
from fieldplan.region.parts import cuts_of, parts_of

distributed = pytest.importorskip("distributed")
dask = pytest.importorskip("dask")
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore")]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """The scheduler of a cluster of three, which gives up a task with the first worker that is lost."""
    with (
        dask.config.set({"distributed.scheduler.allowed-failures": 0}),
        distributed.LocalCluster(n_workers=3, threads_per_worker=1, dashboard_address=None) as cluster,
    ):
        yield str(cluster.scheduler_address)


def _files(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


@pytest.mark.skipif(sys.platform == "win32", reason="clusters of processes are tried on POSIX systems")
def test_cluster_gives_the_same_bytes(tmp_path: Path, address: str) -> None:
    """As one process of this machine."""
    county, job = r.county(tmp_path / "county.parquet", rows_of_group=2), r.quick_job(tmp_path)
    words = ["region", str(county), "--job", str(job), "--out"]
    assert exit_code([*words, str(tmp_path / "alone"), "--workers", "1"]) == 0
    assert exit_code([*words, str(tmp_path / "cluster"), "--scheduler", address]) == 0
    assert _files(tmp_path / "cluster") == _files(tmp_path / "alone")


def test_what_is_no_address_is_told_without_a_traceback(tmp_path: Path) -> None:
    """The library complained once more when it cleared its half-made client away, as the program ended."""
    county, job = r.county(tmp_path / "county.parquet"), r.quick_job(tmp_path)
    words = ["region", str(county), "--job", str(job), "--out", str(tmp_path / "out")]
    told = subprocess.run(
        [sys.executable, "-m", "fieldplan", *words, "--scheduler", "foo://host:1"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode == 2
    assert "finds no scheduler at foo://host:1" in told.stderr
    assert "Traceback" not in told.stderr


def _codes(folder: Path, address: str, plan_one: PlanOne, limit_s: float) -> dict[int, list[str]]:
    """The codes of the rows of each part, two rows a part, of which p4 and p5 are the third."""
    county, job = r.county(folder / "county.parquet", rows_of_group=2), r.quick_job(folder)
    setup = r.setup_for(county, job)
    dataset, terms = dataset_of(str(county), ReadingTerms())
    cuts = cuts_of(dataset.groups)
    parts = parts_of(dataset, cuts, range(len(cuts)), repeated_rows(dataset, terms))
    found = planned_by_cluster(parts, setup, address=address, limit_s=limit_s, plan_one=plan_one)
    return {number: [planned.row["code"] for planned in rows] for number, rows in found}


def test_a_parcel_that_hangs_is_left_and_named(tmp_path: Path, address: str) -> None:
    """Its worker is restarted for the part and again for the parcel; the other nine are done, also what waited
    for that worker.
    """
    found = _codes(tmp_path, address, r.hangs_at_p4, 1.5)
    assert found == {n: [TOO_LONG, ""] if n == 2 else ["", ""] for n in range(5)}


def test_a_parcel_that_crashes_is_left_and_named(tmp_path: Path, address: str) -> None:
    """As with processes of this machine."""
    found = _codes(tmp_path, address, r.ends_at_p4, 60.0)
    assert found == {n: [LOST, ""] if n == 2 else ["", ""] for n in range(5)}


def test_workers_that_cannot_be_restarted_are_told(tmp_path: Path) -> None:
    """A cluster of threads: a parcel that hangs there cannot be ended."""
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None
        ) as cluster,
        pytest.raises(PlanError, match="cannot be restarted"),
    ):
        _codes(tmp_path, str(cluster.scheduler_address), r.lingers_at_p4, 1.0)
