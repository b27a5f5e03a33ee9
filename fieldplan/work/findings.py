"""Warnings where nothing can be booked or the tractor fails, with cures that were calculated first."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from fieldplan.facts import Fact, fact
from fieldplan.model.cost import TractorCheck
from fieldplan.model.job import BookingTerms
from fieldplan.model.notes import Note
from fieldplan.model.work import Booking, JobTime
from fieldplan.units import HOUR_S
from fieldplan.work.booking import booking_for, latest_start, prob_within
from fieldplan.work.job import longest_load_s
from fieldplan.work.working_days import MAX_DAYS

LONGER_DAYS_S = tuple(hours * HOUR_S for hours in (2, 4, 6, 8, 9, 10, 12, 14))
"""Working days that are tried as cures; the shortest that helps is named."""
MAX_DRILLS = 5
MIN_PROB = 0.5
"""Odds under one half are no cure."""
NO_BOOKING = "booking-none"
BOOKING_CODES = (NO_BOOKING, "finish-by-missed", "nothing-drilled")
"""Codes of the notes that `booking_findings` makes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The work to book.

    Parameters
    ----------
    fields_s
        Field time of each field that is drilled.
    time
        Time of the whole job.
    place_lonlat
        Longitude and latitude of the fields, for daylight.
    today
        The day of planning.
    """

    fields_s: Sequence[float]
    time: JobTime
    place_lonlat: tuple[float, float]
    today: date

    def shared_s(self, drills: int) -> float:
        """Time of the job, in s, if the fields are divided among drills."""
        return self.time.job_s - self.time.field_s + longest_load_s(self.fields_s, drills)


def booking_findings(booking: Booking, terms: BookingTerms, work: Work) -> Iterator[Note]:
    """Warnings that nothing can be booked, or that the job cannot be done by ``finish_by``."""
    if work.time.field_s <= 0:
        yield Note(code="nothing-drilled", warning=True)
    elif booking.suggested_days is None:
        yield _no_booking(booking, terms, work)
    if terms.finish_by is not None and booking.latest_start is None and work.time.field_s > 0:
        yield _missed(booking, terms, work)


def tractor_findings(checks: Iterable[TractorCheck]) -> Iterator[Note]:
    """A warning for each check of the tractor that fails."""
    for check in checks:
        if check.verdict == "fail":
            yield Note(
                code="tractor-fails",
                warning=True,
                values={"check": check.about, "why": check.text},
                sources=check.sources,
            )


def _no_booking(booking: Booking, terms: BookingTerms, work: Work) -> Note:
    cures = [
        *(fact("cure-longer-days", day_s=day_s, n_days=days) for day_s, days in _longer_days(terms, work)),
        *(
            fact("cure-more-drills", n_drills=drills, n_days=days)
            for drills, days in _more_drills(terms, work)
        ),
        *(
            fact("cure-lower-odds", asked_prob=prob, n_days=days)
            for prob, days in _lower_odds(booking.prob, terms, work)
        ),
    ]
    best = fact("most-days-cannot-hold", n_most=MAX_DAYS)
    if booking.prob > 0:
        best = fact("most-days-hold", n_most=MAX_DAYS, best_prob=booking.prob)
    return Note(
        code="booking-none",
        warning=True,
        values={
            "asked_prob": terms.confidence_prob,
            "job_s": work.time.job_s,
            "best_prob": booking.prob,
            "n_most": MAX_DAYS,
            "n_fit_days": booking.fieldwork_days_needed,
            "best": best,
            "cure": _would_do(cures or _fewer_fields(terms, work)),
        },
    )


def _missed(booking: Booking, terms: BookingTerms, work: Work) -> Note:
    assert terms.finish_by is not None
    assert terms.start is not None
    within = (terms.finish_by - terms.start).days + 1
    prob = prob_within(work.time.job_s, terms, work.place_lonlat, within)
    first = max(work.today, terms.finish_by - timedelta(days=MAX_DAYS - 1))
    in_time = None
    if first < terms.start:
        in_time = latest_start(work.time.job_s, replace(terms, start=first), work.place_lonlat)
    cures = [
        *([] if in_time is None else [fact("cure-earlier-start", start=in_time)]),
        *(fact("cure-longer-days", day_s=day_s) for day_s, _ in _longer_days(terms, work, within)),
        *(fact("cure-more-drills", n_drills=drills) for drills, _ in _more_drills(terms, work, within)),
        *([] if booking.finish is None else [fact("cure-later-end", finish=booking.finish)]),
        *(
            fact("cure-lower-odds", asked_prob=asked)
            for asked, days in _lower_odds(prob, terms, work)
            if days <= within
        ),
    ]
    return Note(
        code="finish-by-missed",
        warning=True,
        values={
            "asked_prob": terms.confidence_prob,
            "by_then_prob": prob,
            "finish_by": terms.finish_by,
            "start": terms.start,
            "cure": _would_do(cures or _fewer_fields(terms, work, within)),
        },
    )


def _would_do(cures: Sequence[Fact]) -> Fact:
    return fact("would-do", cures=tuple(cures)) if cures else fact("would-do/nothing", n_drills=MAX_DRILLS)


def _longer_days(terms: BookingTerms, work: Work, within: int = MAX_DAYS) -> Iterator[tuple[float, int]]:
    """The shortest of the longer working days with which the job fits, and the days to book then."""
    longer = [day_s for day_s in LONGER_DAYS_S if day_s > terms.day_s]
    tried = [
        lambda day_s=day_s: booking_for(work.time.job_s, replace(terms, day_s=day_s), work.place_lonlat)
        for day_s in longer
    ]
    yield from ((longer[k], days) for k, days in _first(tried, within))


def _more_drills(terms: BookingTerms, work: Work, within: int = MAX_DAYS) -> Iterator[tuple[int, int]]:
    """The fewest drills that do the job within the days, its fields divided, and the days to book then."""
    drills = range(2, min(MAX_DRILLS, len(work.fields_s)) + 1)
    tried = [lambda n=n: booking_for(work.shared_s(n), terms, work.place_lonlat) for n in drills]
    yield from ((drills[k], days) for k, days in _first(tried, within))


def _fewer_fields(terms: BookingTerms, work: Work, within: int = MAX_DAYS) -> list[Fact]:
    """The most fields, the quickest first, that can be done within the days if the others are left out."""
    shortest, around_s = sorted(work.fields_s), work.time.job_s - work.time.field_s
    counts = range(len(shortest) - 1, 0, -1)
    tried = [
        lambda n=n: booking_for(around_s + sum(shortest[:n]), terms, work.place_lonlat) for n in counts
    ]
    return [fact("cure-fewer-fields", n_fields=counts[k], n_days=days) for k, days in _first(tried, within)]


def _first(tried: Sequence[Callable[[], Booking]], within: int) -> Iterator[tuple[int, int]]:
    """The first of the bookings that fits within the days, and its days.

    Found by bisection, as no booking is longer than the one before it.
    """
    low, high, days = 0, len(tried), None
    while low < high:
        middle = (low + high) // 2
        booking = tried[middle]()
        if booking.fits_within(within):
            high, days = middle, booking.suggested_days
        else:
            low = middle + 1
    if days is not None:
        yield high, days


def _lower_odds(best_prob: float, terms: BookingTerms, work: Work) -> Iterator[tuple[float, int]]:
    """The highest odds in whole percent that can be reached, and the days to book then."""
    prob = math.floor(best_prob * 100) / 100
    if prob >= MIN_PROB:
        lower = replace(terms, confidence_prob=min(prob, terms.confidence_prob))
        days = booking_for(work.time.job_s, lower, work.place_lonlat).suggested_days
        if days is not None:
            yield prob, days
