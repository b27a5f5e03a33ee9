"""``fieldplan region --scheduler``: a cluster of this machine gives the bytes that one worker gives."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import region_files as r

from fieldplan.cli.main import exit_code

distributed = pytest.importorskip("distributed")
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore")]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """The scheduler of a cluster of three."""
    with distributed.LocalCluster(n_workers=3, threads_per_worker=1, dashboard_address=None) as cluster:
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
