"""Other starts of a job beside the planned one, by the years of a record."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from fieldplan.model.job import BookingTerms
from fieldplan.model.weather_odds import StartOdds
from fieldplan.model.work import Booking
from fieldplan.work.booking import booking_for, prob_within
from fieldplan.work.working_days import MAX_DAYS

START_WEEKS = range(-4, 9)
"""Weeks from the planned start at which other starts are compared."""


def with_starts(
    booking: Booking,
    job_s: float,
    terms: BookingTerms,
    place_lonlat: tuple[float, float] | None,
    today: date,
) -> Booking:
    """The booking with what starts in the weeks before and after would bring, by the same record.

    Starts before ``today`` are left out, as are those after ``finish_by``.
    """
    if booking.counted is None or terms.start is None:
        return booking
    starts = [terms.start + timedelta(weeks=week) for week in START_WEEKS]
    return replace(
        booking,
        counted=replace(
            booking.counted,
            starts=tuple(
                _start_odds(
                    booking,
                    job_s,
                    replace(terms, start=start, finish_by=None),
                    place_lonlat,
                    terms.finish_by,
                )
                for start in starts
                if (start >= today or start == terms.start)
                and (terms.finish_by is None or start <= terms.finish_by)
            ),
        ),
    )


def _start_odds(
    booking: Booking,
    job_s: float,
    terms: BookingTerms,
    place_lonlat: tuple[float, float] | None,
    end: date | None,
) -> StartOdds:
    assert terms.start is not None
    found = booking_for(job_s, terms, place_lonlat)
    days = booking.suggested_days or MAX_DAYS
    by_end = None
    if end is not None:
        by_end = prob_within(job_s, terms, place_lonlat, (end - terms.start).days + 1)
    return StartOdds(
        start=terms.start,
        suggested_days=found.suggested_days,
        within_prob=prob_within(job_s, terms, place_lonlat, days),
        by_end_prob=by_end,
    )
