"""A plan shared out among crews, each with a drill of its own."""

from __future__ import annotations

from dataclasses import replace

from fieldplan.model.plan import Plan
from fieldplan.work.booking import booking_for, with_latest_start
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.findings import BOOKING_CODES, Work, booking_findings
from fieldplan.work.job import longest_load_s


def shared_out(plan: Plan, crews: int) -> Plan:
    """The plan with its fields shared out among crews, each with a drill like this one and the hours around
    the fields of its own.

    The longest field goes to the crew with the least to do so far; the job takes as long as the crew with
    the most. Moves between fields are counted as one crew makes them. Cost is that of all crews.
    """
    fields_s = [field.time.field_s for field in plan.fields if field.is_drilled]
    job, time, here = (
        plan.job,
        plan.job_time.with_field_s(longest_load_s(fields_s, crews)),
        plan.fields[0].gate_lonlat,
    )
    booking = with_latest_start(booking_for(time.job_s, job.booking, here), time.job_s, job.booking, here)
    around_s, n = time.job_s - time.field_s, min(crews, len(fields_s))
    work = Work(fields_s=(time.field_s,), time=time, place_lonlat=here, today=plan.today)
    notes = [note for note in plan.notes if note.code not in BOOKING_CODES]
    cost = job_cost(
        job.cost,
        plan.order,
        ground_of(plan.fields),
        sum(fields_s) + around_s * n,
        plan.job_time.field_s,
        booking.suggested_days,
    )
    lines = tuple(
        replace(line, low=line.low * n, high=line.high * n) if line.by_drill else line
        for line in cost.lines
    )
    return replace(
        plan,
        job_time=time,
        booking=booking,
        cost=replace(cost, lines=lines),
        notes=(*notes, *booking_findings(booking, job.booking, work)),
    )
