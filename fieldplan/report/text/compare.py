"""Several plans of the same fields side by side."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.money_and_places import money_range
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.quantities import Quantities, hours, odds_text
from fieldplan.report.words.sentences import sentence


def compare_page(named: list[tuple[str, Plan]], boundary_name: str, q: Quantities) -> str:
    """One line a plan: drill, speed, passes, hours, days, ground drilled and what is known of the cost."""
    rows = [(name, *_row(plan, q)) for name, plan in named]
    header = (
        "plan",
        "drill",
        "speed",
        "passes",
        f"drilled, {q.area_unit}",
        "in fields",
        "whole job",
        "days to book",
        "odds",
        "known cost",
    )
    lines = [
        f"{boundary_name} {len(named)} way{'' if len(named) == 1 else 's'}",
        "",
        *_warnings(named, q),
        *table(header, rows),
    ]
    unknown = dict.fromkeys(sentence(part, q) for _, plan in named for part in plan.cost.unknown)
    if unknown:
        lines += paragraph(f"Not in the cost: {', '.join(unknown)}.")
    lines += _quickest(named)
    return "\n".join(lines) + "\n"


def _warnings(named: list[tuple[str, Plan]], q: Quantities) -> list[str]:
    """What is to be seen before the numbers, each said once with the plans that it concerns; then a blank
    line.
    """
    of: dict[str, list[str]] = {}
    for name, plan in named:
        for text in warning_lines(plan.notes, q):
            of.setdefault(text, []).append(name)
    shown = [
        text if len(names) == len(named) else f"{'; '.join(names)}: {text}" for text, names in of.items()
    ]
    return [line for text in shown for line in paragraph(text)] + ([""] if shown else [])


def _quickest(named: list[tuple[str, Plan]]) -> list[str]:
    """The quickest of the plans that drill as many fields as any of them: leaving fields out is quick."""
    drilled = [sum(field.is_drilled for field in plan.fields) for _, plan in named]
    if not any(drilled):
        return paragraph("None of them drills anything.")
    whole = [one for one, n in zip(named, drilled, strict=True) if n == max(drilled)]
    name, plan = min(whole, key=lambda one: one[1].job_time.job_s)
    among = "" if len(whole) == len(named) else " of those that drill the most fields"
    return paragraph(f"Quickest{among}: {name}, {hours(plan.job_time.job_s)}.")


def _row(plan: Plan, q: Quantities) -> tuple[str, ...]:
    booking, cost = plan.booking, plan.cost
    totals = plan.totals
    shown = money_range(*cost.total, cost.currency) if cost.lines else "–"
    return (
        q.length(plan.job.drill.effective_width_m, 1),
        q.speed(plan.job.working.field_speed_m_per_s),
        str(totals.passes),
        q.area(totals.drilled_m2, 1),
        hours(plan.job_time.field_s),
        hours(plan.job_time.job_s),
        "none" if booking.suggested_days is None else str(booking.suggested_days),
        odds_text(booking.prob, booking.confidence_prob),
        shown,
    )
