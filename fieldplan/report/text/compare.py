"""The comparison page: several plans of the same fields side by side."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.hours import hours
from fieldplan.report.words.money_and_places import money_range
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.numbers import counted, odds_text
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.years import counted_text, years_text


def compare_page(named: list[tuple[str, Plan]], boundary_name: str, q: Quantities) -> str:
    """The page as text: for each plan drill, speed, passes, ground drilled, hours, days, odds and known cost.

    Parameters
    ----------
    named
        The plans with their names, in the order to print.
    """
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
        f"{boundary_name}: {counted(len(named), 'plan')}",
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
    """Each warning once, with the plans that it is about unless it is about all; then a blank line."""
    plans_by_text: dict[str, list[str]] = {}
    for name, plan in named:
        for text in warning_lines(plan.notes, q):
            plans_by_text.setdefault(text, []).append(name)
    warnings = [
        text if len(names) == len(named) else f"{'; '.join(names)}: {text}"
        for text, names in plans_by_text.items()
    ]
    return [line for text in warnings for line in paragraph(text)] + ([""] if warnings else [])


def _quickest(named: list[tuple[str, Plan]]) -> list[str]:
    """The quickest of the plans that drill the most fields: leaving fields out is no gain."""
    drilled = [sum(field.is_drilled for field in plan.fields) for _, plan in named]
    if not any(drilled):
        return paragraph("None of these plans drills anything.")
    most = [pair for pair, n_drilled in zip(named, drilled, strict=True) if n_drilled == max(drilled)]
    name, plan = min(most, key=lambda pair: pair[1].job_time.job_s)
    among = "" if len(most) == len(named) else " of the plans with the most fields"
    return paragraph(f"Quickest{among}: {name}, {hours(plan.job_time.job_s)}.")


def _odds(plan: Plan) -> str:
    """The odds of the days booked; over the years of a record with their range."""
    booking, found = plan.booking, plan.booking.of_suggested
    odds = odds_text(booking.prob, booking.confidence_prob)
    if found is not None:
        odds = counted_text(found, booking.confidence_prob)
    if found is None or found.range_prob is None:
        return odds
    return f"{odds} ({years_text(found, booking.counted)})"


def _row(plan: Plan, q: Quantities) -> tuple[str, ...]:
    booking, cost = plan.booking, plan.cost
    totals = plan.totals
    known_cost = money_range(*cost.total, cost.currency) if cost.lines else "–"
    return (
        q.length(plan.job.drill.effective_width_m, 1),
        q.speed(plan.job.working.field_speed_m_per_s),
        q.count(totals.passes),
        q.area(totals.drilled_m2, 1),
        hours(plan.job_time.field_s),
        hours(plan.job_time.job_s),
        "none" if booking.suggested_days is None else str(booking.suggested_days),
        _odds(plan),
        known_cost,
    )
