"""Hours of each field in their parts, and of the whole job."""

from __future__ import annotations

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.work import JobTime
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.hours import clock_in_parts, hours, hours_in_parts
from fieldplan.report.words.numbers import percent
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import changes_lines
from fieldplan.report.words.sentences import sentence


def hours_lines(plan: Plan, q: Quantities) -> list[str]:
    """A table of the hours of each field, in the parts that the plan counts, and a sentence for the job.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    header, rows = hours_table(plan, q)
    changed = [line for text in changes_lines(plan) for line in paragraph(text)]
    return [*table(header, rows), *paragraph(job_text(plan.job_time, q)), *changed]


def hours_table(plan: Plan, q: Quantities) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Header and a row a field: its hours in the parts that the plan counts, handbook, efficiency and capacity."""
    parts = [sentence(part.heading, q) for part in plan.totals.time_parts if part.counted]
    header = ("field", *parts, "in field", "handbook", "efficiency", "capacity")
    return header, [_row(field, q) for field in plan.fields]


def _row(field: FieldPlan, q: Quantities) -> tuple[str, ...]:
    time = field.time
    low_s, high_s = time.handbook_s
    efficiency, capacity = time.field_efficiency_frac, time.field_capacity_m2_per_s
    return (
        field.field.field_id,
        *hours_in_parts([part.spent_s for part in time.parts if part.counted]),
        hours(time.field_s),
        f"{hours(low_s)} – {hours(high_s)}",
        "–" if efficiency is None else percent(efficiency),
        "–" if capacity is None else q.capacity(capacity),
    )


def job_text(job: JobTime, q: Quantities) -> str:
    """The parts of the whole job's time and their sum."""
    times, whole = clock_in_parts([part.spent_s for part in job.parts])
    parts = [
        f"{sentence(part.name, q)} {time}"
        for part, time in zip(job.parts, times, strict=True)
        if part.spent_s > 0
    ]
    if not parts:
        return "Job: no drill is needed."
    return f"Job: {' + '.join(parts)} = {whole} ({hours(job.job_s)})."
