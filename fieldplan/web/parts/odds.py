"""How likely the job is done within so many days, and what that rests on."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.html.tags import text
from fieldplan.report.pictures.hours_and_odds import PHONE_MM, odds_svg
from fieldplan.report.pictures.starts_svg import starts_svg
from fieldplan.report.text.plan.days_to_book import assumptions_text, odds_rows
from fieldplan.report.words.quantities import Quantities
from fieldplan.web.desk import Desk
from fieldplan.web.parts.pictures import figure, scrolled
from fieldplan.web.parts.shown import shown_with_plan

HEADER = ("days booked", "last day", "odds", "years", "")


def build(desk: Desk) -> None:
    """Build the part in the current container."""
    shown_with_plan(desk, odds_html)


def odds_html(plan: Plan, q: Quantities) -> str:
    """The grounds, the picture and the table of the odds, and those of other starts."""
    del q  # days and odds have no unit
    booking, terms = plan.booking, plan.job.booking
    if not booking.odds:
        return "<p>Nothing is drilled: there are no days to book.</p>"
    rows = [tuple(cell or "–" for cell in row) for row in odds_rows(booking, terms)]
    used = [i for i in range(len(HEADER)) if any(row[i] != "–" for row in rows)]
    shown = [tuple(row[i] if row[i] != "–" or i < 4 else "" for i in used) for row in rows]
    return (
        f"<p>{text(assumptions_text(plan))}</p>"
        + figure("Odds by days booked", odds_svg(plan, PHONE_MM))
        + scrolled("Odds by days booked", [HEADER[i] or "advice" for i in used], shown, 1)
        + figure("Odds by start", starts_svg(plan, PHONE_MM))
    )
