"""A plan divided among crews, each with its own drill."""

from __future__ import annotations

from dataclasses import replace

from fieldplan.model.plan import Plan
from fieldplan.work.booking import booking_for, with_latest_start
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.findings import BOOKING_CODES, Work, booking_findings
from fieldplan.work.job import longest_load_s


def shared_out(plan: Plan, crews: int) -> Plan:
    """The plan with its fields divided among crews, each with a drill like the plan's own.

    The longest field left goes to the crew with the least to do, and the job takes as long as the crew with
    the most to do. Each crew has its own pick-up, set-up and clean-out; moves between fields count as for
    one crew. The cost is that of all crews.
    """
    fields_s = [field.time.field_s for field in plan.fields if field.is_drilled]
    job, here = plan.job, plan.fields[0].gate_lonlat
    time = plan.job_time.with_field_s(longest_load_s(fields_s, crews))
    booking = with_latest_start(booking_for(time.job_s, job.booking, here), time.job_s, job.booking, here)
    around_s, n_crews = time.job_s - time.field_s, min(crews, len(fields_s))
    work = Work(fields_s=(time.field_s,), time=time, place_lonlat=here, today=plan.today)
    notes = [note for note in plan.notes if note.code not in BOOKING_CODES]
    cost = job_cost(
        job.cost,
        plan.order,
        ground_of(plan.fields),
        sum(fields_s) + around_s * n_crews,
        plan.job_time.field_s,
        booking.suggested_days,
    )
    lines = tuple(
        replace(line, low=line.low * n_crews, high=line.high * n_crews) if line.by_drill else line
        for line in cost.lines
    )
    return replace(
        plan,
        job_time=time,
        booking=booking,
        cost=replace(cost, lines=lines),
        notes=(*notes, *booking_findings(booking, job.booking, work)),
    )
