"""Shared instances: small enough to check on paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fieldplan.coverage.terms import Rig
from fieldplan.jobfile.load import load_job
from fieldplan.model.job import Job, WorkingTerms
from fieldplan.office import desk
from fieldplan.records import whose

ROOT = Path(__file__).resolve().parent.parent
SAMPLES = ROOT / "sample_fields"
TODAY = date(2027, 4, 1)
"""The day on which the sample jobs are planned."""
PRACTICE = ROOT.parent / "shared" / "fields" / "practice.gpkg"


def unwrapped(text: str) -> str:
    """A printed page as one line: how it is wrapped depends on the numbers in it."""
    return " ".join(text.split())


@pytest.fixture(scope="session", autouse=True)
def samples_without_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A store that a command begins for the sample season stands in a folder of its own, not beside the samples."""
    beside = whose.ledger_path_of

    def apart(season_path: Path, ledger_path: Path | None) -> Path:
        path = beside(season_path, ledger_path)
        at_samples = ledger_path is None and path.parent.resolve() == SAMPLES
        return tmp_path_factory.mktemp("store") / path.name if at_samples else path

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(desk, "ledger_path_of", apart)
        yield


@pytest.fixture(scope="session")
def job() -> Job:
    """The job of the sample farm."""
    return load_job(SAMPLES / "farm.toml")


@pytest.fixture(scope="session")
def working(job: Job) -> WorkingTerms:
    """Working terms of the sample farm."""
    return job.working


@pytest.fixture(scope="session")
def rig(job: Job) -> Rig:
    """The ten-foot rig of the sample farm."""
    return replace(Rig.of(job), width_m=3.048)
