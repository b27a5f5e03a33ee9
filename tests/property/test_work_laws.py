"""Laws of seed, refills, clock and booking."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conftest import SAMPLES, TODAY
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldplan.boundary.load import load_fields
from fieldplan.jobfile.load import load_job
from fieldplan.planner import plan_job
from fieldplan.units import MPH_M_PER_S
from fieldplan.work.booking import prob_done_within


@settings(derandomize=True)
@given(days=st.integers(1, 60), needed=st.integers(1, 20), prob=st.floats(0.01, 0.99))
def test_odds_rise_with_days(days: int, needed: int, prob: float) -> None:
    """A day more never lowers the odds."""
    assert prob_done_within(days + 1, needed, prob) >= prob_done_within(days, needed, prob) - 1e-12


def test_time_falls_when_speed_rises() -> None:
    """Driving faster never takes longer, and the parts add to the whole."""
    job = load_job(SAMPLES / "farm.toml")
    fields = load_fields(SAMPLES / "ponds.gpkg")
    last = float("inf")
    for mph in (3, 4.5, 6):
        faster = replace(job, working=replace(job.working, field_speed_m_per_s=mph * MPH_M_PER_S))
        plan = plan_job(fields, faster, today=TODAY)
        assert plan.job_time.field_s < last
        last = plan.job_time.field_s
        for field in plan.fields:
            assert sum(t.duration_s for t in field.time.legs) == pytest.approx(field.time.field_s)
