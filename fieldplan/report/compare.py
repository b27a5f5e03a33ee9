"""Several plans of the same fields side by side."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.fee import money_range
from fieldplan.report.quantities import Quantities, hours, shown_odds
from fieldplan.report.table import paragraph, table


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
    lines = [f"{boundary_name} {len(named)} ways", "", *table(header, rows)]
    unknown = dict.fromkeys(part for _, plan in named for part in plan.cost.unknown)
    if unknown:
        lines += paragraph(f"Not in the cost: {', '.join(unknown)}.")
    quickest = min(named, key=lambda one: one[1].job_time.job_s)
    lines += paragraph(f"Quickest: {quickest[0]}, {hours(quickest[1].job_time.job_s)}.")
    return "\n".join(lines) + "\n"


def _row(plan: Plan, q: Quantities) -> tuple[str, ...]:
    booking, cost = plan.booking, plan.cost
    totals = plan.totals
    shown = money_range(*cost.total, cost.currency) if cost.lines else "–"
    return (
        q.length(plan.job.drill.effective_width_m, 1), q.speed(plan.job.working.field_speed_m_per_s),
        str(totals.passes), q.area(totals.drilled_m2, 1),
        hours(plan.job_time.field_s), hours(plan.job_time.job_s), str(booking.suggested_days),
        shown_odds(plan.booked_prob), shown,
    )  # fmt: skip


def compare_object(named: list[tuple[str, Plan]]) -> dict[str, object]:
    """The same as nested dicts: SI."""
    return {
        "schema": "fieldplan/compare/1",
        "plans": [
            {"plan": name, "drill_width_m": plan.job.drill.effective_width_m, "field_speed_m_per_s": plan.job.working.field_speed_m_per_s,
             "passes": plan.totals.passes, "drilled_m2": plan.totals.drilled_m2, "field_s": plan.job_time.field_s,
             "job_s": plan.job_time.job_s, "suggested_days": plan.booking.suggested_days, "cost": list(plan.cost.total), "currency": plan.cost.currency}
            for name, plan in named
        ],
    }  # fmt: skip
