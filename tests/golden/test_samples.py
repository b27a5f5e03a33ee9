"""Sample fields in, the figures of ``sample_fields/SOURCES.csv`` and whole plans out."""

from __future__ import annotations

import csv

import pytest
from conftest import SAMPLES, TODAY

from fieldplan.boundary.load import load_fields
from fieldplan.jobfile.load import load_job
from fieldplan.planner import plan_job
from fieldplan.units import ACRE_M2

FILES = {
    "farm.geojson": "farm.toml",
    "ponds.gpkg": "farm.toml",
    "pivot.kml": "farm.toml",
    "restoration.zip": "restoration.toml",
}
with (SAMPLES / "SOURCES.csv").open(encoding="utf-8") as stream:
    KNOWN = {(row["file"], row["field_id"]): row for row in csv.DictReader(stream)}


@pytest.mark.parametrize(("fields_file", "job_file"), FILES.items())
def test_every_sample_is_planned_with_its_known_acres(fields_file: str, job_file: str) -> None:
    """Acres as SOURCES.csv gives them; nearly all ground sown once; the efficiency believable."""
    plan = plan_job(load_fields(SAMPLES / fields_file), load_job(SAMPLES / job_file), today=TODAY)
    assert {(fields_file, field.field.field_id) for field in plan.fields} == {
        key for key in KNOWN if key[0] == fields_file
    }
    for field in plan.fields:
        known = KNOWN[fields_file, field.field.field_id]
        assert field.field.mapped_m2 / ACRE_M2 == pytest.approx(float(known["geodesic_acres"]), abs=0.00006)
        assert field.field.name == known["name"]
        assert field.coverage.audit.missed_m2 < 0.02 * field.field.mapped_m2
        assert 0.3 < field.time.field_efficiency_frac < 0.85
