"""A plan shared out: hours of the busiest crew, and the cost of all."""

from __future__ import annotations

import pytest
from conftest import SAMPLES, TODAY

from fieldplan.boundary.load import load_fields
from fieldplan.model.job import Job
from fieldplan.model.plan import Plan
from fieldplan.planner import plan_job
from fieldplan.work.crews import shared_out


@pytest.fixture(scope="module")
def plan(job: Job) -> Plan:
    """The sample ponds: a long field and a short one."""
    return plan_job(load_fields(SAMPLES / "ponds.gpkg"), job, today=TODAY)


def test_two_crews_take_as_long_as_the_longer_field(plan: Plan) -> None:
    """What stands around the fields stays as it is for each."""
    two = shared_out(plan, 2)
    longest_s = max(field.time.field_s for field in plan.fields)
    assert two.job_time.field_s == longest_s
    assert two.job_time.job_s - longest_s == pytest.approx(plan.job_time.job_s - plan.job_time.field_s)


def test_two_crews_rent_twice_and_are_paid_for_every_hour(plan: Plan) -> None:
    """Each rents a drill for the days of the booking, each has the hours around the fields; fuel stays the
    same.
    """
    two = shared_out(plan, 2)
    one_line, two_lines = ({line.name: line for line in cost.lines} for cost in (plan.cost, two.cost))
    assert two.cost.fee is not None
    assert two_lines["rental"].low == pytest.approx(2 * float(two.cost.fee.total))
    assert two_lines["fuel"] == one_line["fuel"]
    around_s = plan.job_time.job_s - plan.job_time.field_s
    wage = one_line["labor"].low / plan.job_time.job_s
    assert two_lines["labor"].low == pytest.approx(wage * (plan.job_time.job_s + around_s))


def test_crews_without_a_field_of_their_own_are_not_paid_for(plan: Plan) -> None:
    """Of five crews two have a field."""
    assert shared_out(plan, 5).cost.total == shared_out(plan, 2).cost.total
