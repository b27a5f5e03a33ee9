"""Other starts beside the planned one: which week to start, and what a week earlier or later does."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.numbers import counted, odds_text, percent
from fieldplan.report.words.starts import best_text, starts_of
from fieldplan.report.words.years import NEVER_SURE


def starts_lines(plan: Plan) -> list[str]:
    """Starts a week apart with their days to book and odds, and the best of them; none without a record.

    Parameters
    ----------
    plan
        The plan to print.
    """
    found = starts_of(plan)
    if len(found) < 2:
        return []
    booking, terms = plan.booking, plan.job.booking
    days = booking.suggested_days
    header = ["start", f"days for {percent(terms.confidence_prob)}"]
    header += [] if days is None else [f"done in {counted(days, 'day')}"]
    header += [] if terms.finish_by is None else [f"done by {terms.finish_by:%d %b}"]
    rows = [
        (
            f"{one.start:%a %d %b}",
            "none" if one.suggested_days is None else str(one.suggested_days),
            *([] if days is None else [odds_text(min(one.within_prob, NEVER_SURE))]),
            *([] if one.by_end_prob is None else [odds_text(min(one.by_end_prob, NEVER_SURE))]),
            "planned" if one.start == terms.start else "",
        )
        for one in found
    ]
    return ["", *table((*header, ""), rows, left=1), *paragraph(best_text(plan))]
