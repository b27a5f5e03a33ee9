"""Where the hours go: the parts of the job, and those of each field."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.html.tags import text
from fieldplan.report.pictures.hours_and_odds import PHONE_MM, hours_svg
from fieldplan.report.text.plan.hours import hours_table
from fieldplan.report.words.hours import clock_in_parts, hours
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.web.desk import Desk
from fieldplan.web.parts.pictures import figure, scrolled
from fieldplan.web.parts.shown import shown_with_plan


def build(desk: Desk) -> None:
    """Build the part in the current container."""
    shown_with_plan(desk, hours_html)


def hours_html(plan: Plan, q: Quantities) -> str:
    """The job by its parts, a bar a field, and the table of the fields."""
    times, whole = clock_in_parts([part.spent_s for part in plan.job_time.parts])
    rows = [
        (sentence(part.name, q), time)
        for part, time in zip(plan.job_time.parts, times, strict=True)
        if part.spent_s > 0
    ]
    header, fields = hours_table(plan, q)
    return (
        f"<p><strong>{text(f'{hours(plan.job_time.job_s)} in all')}</strong></p>"
        + scrolled("The job by its parts", ("part", "time"), [*rows, ("all", whole)], 1)
        + figure("Hours by field", hours_svg(plan, PHONE_MM))
        + f"<details><summary>Each field in figures</summary>{scrolled('Hours by field', header, fields, 1)}</details>"
    )
