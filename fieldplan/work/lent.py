"""A plan for as many days as one has the drill, whatever odds they give."""

from __future__ import annotations

from dataclasses import replace

from fieldplan.model.plan import Plan
from fieldplan.work.booking import booking_for_days
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.findings import BOOKING_CODES
from fieldplan.work.starts import with_starts


def lent_for(plan: Plan, days: int) -> Plan:
    """The plan with a booking of so many days from its start, their odds, and what they cost."""
    job, here = plan.job, (plan.driven or plan.fields)[0].gate_lonlat
    booking = booking_for_days(plan.job_time.job_s, job.booking, here, days)
    booking = with_starts(booking, plan.job_time.job_s, job.booking, here, plan.today)
    return replace(
        plan,
        booking=booking,
        cost=job_cost(
            job.cost,
            plan.order,
            ground_of(plan.fields),
            plan.job_time.job_s,
            plan.job_time.field_s,
            booking.suggested_days,
        ),
        notes=tuple(note for note in plan.notes if note.code not in BOOKING_CODES),
    )
