"""When a request can have a drill, and when a drill works."""

from __future__ import annotations

from datetime import date, timedelta

from fieldplan.model.rental_program import RentalProgram, SeasonDrill
from fieldplan.model.request import Request


def window_of(request: Request, program: RentalProgram) -> tuple[date, date]:
    """First and last day that a request can have: within its own dates, the season, and after the notice.

    The first day is after the last if there is no such day.
    """
    terms = program.terms
    noticed = request.asked + timedelta(days=terms.notice_days) if request.asked else terms.opens
    return max(request.ready, terms.opens, noticed), min(request.until, terms.closes)


def working_days(drill: SeasonDrill, program: RentalProgram) -> list[date]:
    """The days of the season on which a drill works."""
    terms = program.terms
    season_days = [terms.opens + timedelta(days=k) for k in range((terms.closes - terms.opens).days + 1)]
    return [
        day for day in season_days if day.weekday() not in drill.weekdays_off and day not in drill.dates_off
    ]
