"""Plans of the sample jobs, made once."""

from __future__ import annotations

import pytest
from conftest import SAMPLES, TODAY

from fieldplan.boundary.load import load_fields
from fieldplan.jobfile.load import load_job
from fieldplan.model.job import Job
from fieldplan.model.plan import Plan
from fieldplan.planner import plan_job


@pytest.fixture(scope="session")
def ponds(job: Job) -> Plan:
    """A field with eight refills and a sliver."""
    return plan_job(load_fields(SAMPLES / "ponds.gpkg"), job, today=TODAY)


@pytest.fixture(scope="session")
def restoration() -> Plan:
    """Seven parcels of three mixes in three boxes, one of them with a carrier."""
    return plan_job(
        load_fields(SAMPLES / "restoration.zip"), load_job(SAMPLES / "restoration.toml"), today=TODAY
    )
