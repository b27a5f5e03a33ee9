"""Variants side by side: the figures are those of the plans, the differences those of the figures."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from conftest import SAMPLES, TODAY

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.jobfile.load import job_of, load_job, read_toml
from fieldplan.model.plan import Plan
from fieldplan.planner import plan_job
from fieldplan.report.words.quantities import Quantities
from fieldplan.web.draft import Draft
from fieldplan.web.variants import compared, figures_of, ground_key, usable, variant
from fieldplan.web.written import drawn_of


@pytest.fixture(scope="module")
def plans() -> tuple[Plan, Plan]:
    """The L-shaped field at 4.5 and at 6 mph."""
    boundary = load_fields(SAMPLES / "farm.geojson", ReadingTerms(), ())
    ell = replace(boundary, fields=tuple(one for one in boundary.fields if one.field_id == "ell"))
    job = load_job(SAMPLES / "farm.toml")
    faster = replace(job, working=replace(job.working, field_speed_m_per_s=6 * 0.44704))
    return plan_job(ell, job, today=TODAY), plan_job(ell, faster, today=TODAY)


def test_rows_say_the_figures_and_their_differences(plans: tuple[Plan, Plan]) -> None:
    """Faster is 1.5 mph more, hours less; the same field and the same seed show no difference."""
    slow, fast = plans
    rows = {
        row.called: row.cells for row in compared([figures_of(slow), figures_of(fast)], Quantities("us"))
    }
    assert rows["Speed while sowing"] == (("4.5 mph", ""), ("6 mph", "+1.5 mph"))
    hours_less = (slow.job_time.field_s - fast.job_time.field_s) / 3600
    assert rows["Hours in the fields"][1] == (
        f"{fast.job_time.field_s / 3600:.1f} h",
        f"−{hours_less:.1f} h",
    )
    assert rows["Drill"] == (("10.0 ft", ""), ("10.0 ft", ""))
    days = [plan.booking.suggested_days for plan in plans]
    assert [cell[0] for cell in rows["Days to book"]] == [str(n) for n in days]
    bought_lb = sum(line.need_kg for line in slow.order) / 0.45359237
    assert float(rows["Seed to buy, lb"][0][0].replace(",", "")) == pytest.approx(bought_lb, abs=0.5)
    assert rows["Known cost"][1][1].startswith("−$")


def test_a_variant_goes_through_json_and_its_tables_are_the_same_job() -> None:
    """``desk.json`` holds it: days become text, and the job file's reader takes both."""
    tables = {**read_toml(SAMPLES / "restoration.toml")}
    boundary = load_fields(SAMPLES / "restoration.zip", ReadingTerms(), ())
    first = replace(boundary, fields=boundary.fields[:1])
    draft = Draft(ground=drawn_of(first), tables=tables)
    plan = plan_job(first, job_of(tables, SAMPLES / "job.toml"), today=TODAY)
    kept = json.loads(json.dumps(variant("x" * 99, draft, plan)))
    assert job_of(kept["tables"], SAMPLES / "job.toml") == job_of(tables, SAMPLES / "job.toml")
    assert len(kept["name"]) == 60
    assert usable([kept, {"name": "of another program"}, {"tables": {}, "figures": {}}]) == (kept,)
    assert kept["ground"] == ground_key(draft)
    assert kept["ground"] != ground_key(replace(draft, ground=()))
