"""The short answer as sentences: warnings, the answers of the cover, the ground."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.words.cover import told
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.quantities import Quantities


def short_lines(plan: Plan, q: Quantities) -> list[str]:
    """The short answer as sentences, warnings first.

    Parameters
    ----------
    plan
        The plan to sum up.
    q
        The reader's units.

    Returns
    -------
    list of str
        Sentences that are not wrapped yet.
    """
    return [
        *warning_lines(plan.notes, q),
        *(f"{one.name}: {one.text}" for one in told(plan, q)),
        ground_text(plan, q),
    ]


def ground_text(plan: Plan, q: Quantities) -> str:
    """The plantable ground, and what the drill's meter will read."""
    totals = plan.totals
    return (
        f"{q.area(totals.plantable_m2)} plantable {q.area_word}{times_text(plan)}; "
        f"the drill's meter will read about {q.area(totals.drilled_m2, 1)}."
    )


def times_text(plan: Plan) -> str:
    """How many times the plantable ground is drilled, if more than once: ", drilled 2 times"."""
    sowings = plan.job.working.sowings
    return "" if sowings == 1 else f", drilled {sowings} times"
