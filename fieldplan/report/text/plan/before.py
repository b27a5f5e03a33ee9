"""Before the day: the tractor and the road, what to take along, what the hours, odds and costs rest on."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.cost import TractorCheck
from fieldplan.model.plan import Plan
from fieldplan.report.text.plan.cost import cost_text
from fieldplan.report.text.plan.days_to_book import days_off_text, grounds_text
from fieldplan.report.text.plan.hours import job_text
from fieldplan.report.text.table import NARROW, paragraph
from fieldplan.report.words.hours import hours
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import changes_lines
from fieldplan.report.words.sentences import short_sentence
from fieldplan.report.words.starts import best_text, starts_of
from fieldplan.units import MINUTE_S

ON_THE_ROAD = ("ballast", "road width", "towing")
"""Checks that say how to drive there; the cover has the others, and those that fail or want care."""
_SLOPES = "slopes are not known"
_BACKING = "turns back up: openers up, nobody behind"
_TAKE_ALONG = "Take along: the card of fieldplan setup, seed tags, manual, scale to 0.1 g."


def before_lines(plan: Plan, q: Quantities) -> list[str]:
    """What to see to before the day, and what the answers of the cover rest on.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    return [line for text in _texts(plan, q) for line in paragraph(text, bullet="- ", maximum=NARROW)]


def _texts(plan: Plan, q: Quantities) -> Iterator[str]:
    yield from (_check_text(check, q) for check in plan.tractor if _to_see_to(check))
    if not plan.driven:
        return
    yield _TAKE_ALONG
    yield job_text(plan.job_time, q)
    yield from changes_lines(plan)
    yield from _cautions(plan)
    yield _on_odds(plan)
    yield cost_text(plan, q)


def _cautions(plan: Plan) -> Iterator[str]:
    """What can hurt, in a line: slopes that nobody gave, and turns that back up. The sheets have it in full."""
    unknown = any(
        field.hills is None and plan.job.terms_for(field.field.field_id).slope_frac is None
        for field in plan.driven
    )
    backs = any(leg.reverse_m > 0.0 for field in plan.driven for leg in field.supply.legs)
    said = [text for holds, text in ((unknown, _SLOPES), (backs, _BACKING)) if holds]
    if said:
        yield f"Care: {'; '.join(said)}."


def _to_see_to(check: TractorCheck) -> bool:
    return check.about in ON_THE_ROAD and check.verdict in ("pass", "ask")


def _check_text(check: TractorCheck, q: Quantities) -> str:
    return f"{check.about.capitalize()}: {short_sentence(check.text, q)}."


def _on_odds(plan: Plan) -> str:
    """What the odds rest on, which start is best, and what shortens or interrupts the days."""
    booking, terms = plan.booking, plan.job.booking
    best = f" {best_text(plan)}" if len(starts_of(plan)) > 1 else ""
    texts = [f"Odds: with {grounds_text(booking, terms)}.{best}"]
    if booking.day_s[0] < terms.day_s - MINUTE_S:
        texts.append(f"Days are shorter than the {hours(terms.day_s)} asked for: no more daylight.")
    if days_off := days_off_text(terms):
        texts.append(f"Days off, counted but not worked: {days_off}.")
    return " ".join(texts)
