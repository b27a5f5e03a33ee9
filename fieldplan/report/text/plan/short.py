"""The short answer: plantable acres, hours, days to book, bags, tractor."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.model.work import Booking
from fieldplan.report.text.plan.days_to_book import finish_by_lines, working_day_text
from fieldplan.report.text.plan.tractor import tractor_in_short
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.quantities import Quantities, counted, hours, odds_text
from fieldplan.report.words.seed import lot_name
from fieldplan.report.words.years import counted_text, years_text


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
    totals, booking = plan.totals, plan.booking
    days = counted(booking.fieldwork_days_needed, "fieldwork day")
    bags = ", ".join(f"{lot_name(line.species, line.lot)}: {line.bags}" for line in plan.order) or "none"
    return [
        *warning_lines(plan.notes, q),
        f"{q.area(totals.plantable_m2)} plantable {q.area_word}{times_text(plan)}; "
        f"the drill's meter will read about {q.area(totals.drilled_m2, 1)}.",
        f"{hours(plan.job_time.job_s)} of work: {days} of {working_day_text(booking)}.",
        _days_to_book(booking),
        *finish_by_lines(plan),
        f"Bags to order: {bags}.",
        f"Tractor: {tractor_in_short(plan)}.",
    ]


def times_text(plan: Plan) -> str:
    """How many times the plantable ground is drilled, if more than once: ", drilled 2 times"."""
    sowings = plan.job.working.sowings
    return "" if sowings == 1 else f", drilled {sowings} times"


def _days_to_book(booking: Booking) -> str:
    if not booking.odds:
        return "Book: nothing is drilled, so there are no days to book."
    if booking.suggested_days is None:
        return f"Book: no booking within a year reaches {odds_text(booking.confidence_prob)} odds."
    until = "" if booking.finish is None else f", to {booking.finish:%a %d %b %Y}"
    days = counted(booking.suggested_days, "day")
    found = booking.of_suggested
    odds = odds_text(booking.prob) if found is None else counted_text(found)
    return f"Book {days}{until}: {odds} odds of being done in them{_years(booking)}."


def _years(booking: Booking) -> str:
    found = booking.of_suggested
    years = "" if found is None else years_text(found, booking.counted)
    return f" ({years})" if years else ""
