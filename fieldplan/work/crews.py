"""A plan shared out among crews, each with a drill of its own."""

from __future__ import annotations

from dataclasses import replace

from fieldplan.model.plan import Plan
from fieldplan.work.booking import booking_for
from fieldplan.work.cost import ground_of, job_cost


def shared_out(plan: Plan, crews: int) -> Plan:
    """The plan with its fields shared out among crews, each with a drill like this one and the hours around the fields of its own.

    The longest field goes to the crew with the least to do so far; the job takes as long as the crew with the most. Moves between
    fields are counted as one crew makes them. Cost is that of all crews.
    """
    loads = [0.0] * min(crews, len(plan.fields))
    for field_s in sorted((one.time.field_s for one in plan.fields), reverse=True):
        loads[loads.index(min(loads))] += field_s
    job, time = plan.job, replace(plan.job_time, field_s=max(loads))
    booking = booking_for(time.job_s, job.booking, plan.fields[0].gate_lonlat)
    around_s = time.job_s - time.field_s
    cost = job_cost(
        job.cost,
        plan.order,
        ground_of(plan.fields),
        sum(loads) + around_s * len(loads),
        plan.job_time.field_s,
        booking.suggested_days,
    )
    rental = [replace(line, low=line.low * len(loads), high=line.high * len(loads)) if line.name == "rental" else line
              for line in cost.lines]  # fmt: skip
    return replace(plan, job_time=time, booking=booking, cost=replace(cost, lines=tuple(rental)))
