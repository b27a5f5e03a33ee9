"""The odds of being done by number of days, and the days to book."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

from fieldplan.model.job import BookingTerms
from fieldplan.model.plan import Plan
from fieldplan.model.work import Booking
from fieldplan.report.text.plan.starts import starts_lines
from fieldplan.report.text.table import paragraph
from fieldplan.report.words.hours import hours
from fieldplan.report.words.numbers import counted, odds_text, percent
from fieldplan.report.words.years import counted_text, years_text
from fieldplan.units import MINUTE_S

FEW_DAYS = 3
"""Numbers of days that are listed before the one to book."""
WEEKDAYS = ("Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays")


def days_to_book_lines(plan: Plan) -> list[str]:
    """The odds by number of days, which number to book, and what shortens the working days.

    Parameters
    ----------
    plan
        The plan to print.
    """
    booking, terms = plan.booking, plan.job.booking
    if not booking.odds:
        return paragraph("Nothing is drilled: there are no days to book.")
    lines = [*paragraph(assumptions_text(plan)), *_odds_rows(booking, terms)]
    if booking.day_s[0] < terms.day_s - MINUTE_S:
        asked = hours(terms.day_s)
        lines += paragraph(f"Days are shorter than the {asked} asked for: there is no more daylight.")
    if terms.finish_by is not None:
        too_late = f"To be done by {terms.finish_by:%a %d %b %Y}: no day from the start on is early enough."
        lines += paragraph(*finish_by_lines(plan) or [too_late])
    lines += starts_lines(plan)
    if days_off := days_off_text(terms):
        lines += paragraph(f"Days off, counted but not worked: {days_off}.")
    return lines


def finish_by_lines(plan: Plan) -> list[str]:
    """The last safe day to start, if the job has a day to be done by.

    Parameters
    ----------
    plan
        The plan to print.

    Returns
    -------
    list of str
        One sentence; none if no such day was asked for or no start is early enough (a warning then says so).
    """
    terms, start = plan.job.booking, plan.booking.latest_start
    if terms.finish_by is None or start is None:
        return []
    odds = odds_text(terms.confidence_prob)
    return [f"To be done by {terms.finish_by:%a %d %b %Y} with {odds} odds, start by {start:%a %d %b %Y}."]


def working_day_text(booking: Booking) -> str:
    """The hours of a working day, or of the shortest and the longest day of the booking."""
    shortest_s, longest_s = booking.day_s
    if longest_s - shortest_s < MINUTE_S:
        return hours(longest_s)
    return f"{hours(shortest_s)} to {hours(longest_s)}"


def assumptions_text(plan: Plan) -> str:
    """What the odds rest on: the hours, the chance of a fieldwork day, persistence, uncertainty."""
    booking, terms = plan.booking, plan.job.booking
    days = counted(booking.fieldwork_days_needed, "fieldwork day")
    given = [grounds_text(booking, terms)]
    if terms.persistence_frac and booking.counted is None:
        given.append(f"{percent(terms.persistence_frac)} weather persistence from day to day")
    if terms.uncertainty_frac:
        given.append(f"hours that may be up to {percent(terms.uncertainty_frac)} less or more")
    listed = ", ".join(given[:-1]) + " and " + given[-1] if len(given) > 1 else given[0]
    until = "within these days" if terms.start is None else f"by these dates, from {terms.start:%d %b %Y}"
    return (
        f"{hours(plan.job_time.job_s)} at {working_day_text(booking)} a day takes {days}. "
        f"With {listed}, the odds of being done {until}:"
    )


def grounds_text(booking: Booking, terms: BookingTerms) -> str:
    """What the odds stand on: the years of a record, a published share of days, or one that was typed."""
    if booking.counted is not None and terms.weather is not None:
        years = counted(len(booking.counted.used), "year")
        return f"the weather of {years} of {Path(terms.weather.record.name).name}"
    share = f"{percent(terms.chance_prob)} of days fit for fieldwork"
    if terms.grounds == "table" and terms.published is not None:
        return f"{share} (published for {terms.published.place})"
    return f"{share} (as typed)"


def _odds_rows(booking: Booking, terms: BookingTerms) -> Iterator[str]:
    for days, by, prob, years, mark in odds_rows(booking, terms):
        yield (
            f"    {days:>8}  {by:<10}  {prob:>9}  {years:<34}{mark}".rstrip()
            if years
            else (f"    {days:>8}  {by:<10}  {prob:>9}  {mark}".rstrip())
        )


def odds_rows(booking: Booking, terms: BookingTerms) -> Iterator[tuple[str, str, str, str, str]]:
    """Days, the last of them if the start is known, odds, what years say, and a mark at the number to book."""
    last = booking.odds[-1].days if booking.suggested_days is None else booking.suggested_days
    for odds in booking.odds:
        if odds.days < last - FEW_DAYS:
            continue
        end = None if terms.start is None else terms.start + timedelta(days=odds.days - 1)
        yield (
            counted(odds.days, "day"),
            "" if end is None else f"{end:%a %d %b}",
            counted_text(odds, booking.confidence_prob),
            years_text(odds, booking.counted),
            "book this" if odds.days == booking.suggested_days else "",
        )


def days_off_text(terms: BookingTerms) -> str:
    """Weekdays and dates without work; empty if there are none."""
    weekdays = [WEEKDAYS[number] for number in sorted(terms.weekdays_off)]
    return ", ".join([*weekdays, *(f"{day:%d %b}" for day in sorted(terms.dates_off))])
