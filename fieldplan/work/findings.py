"""What a booking or a tractor says no to, as warnings: with what would help, each cure reckoned before it
is named.
"""

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
from fieldplan.work.booking import MAX_DAYS, booking_for, latest_start, prob_within
from fieldplan.work.job import longest_load_s

LONGER_DAYS_S = tuple(hours * HOUR_S for hours in (2, 4, 6, 8, 9, 10, 12, 14))
"""Working days that are tried as cures, the shortest that helps being named."""
MAX_DRILLS = 5
MIN_PROB = 0.5
"""Odds that are likelier to fail than not are no cure."""
NO_BOOKING = "booking-none"
BOOKING_CODES = (NO_BOOKING, "finish-by-missed", "nothing-drilled")
"""Codes of the notes that `booking_findings` makes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The hours to book for: those of each field that is drilled and all hours of the job, where it lies
    and on which day it is asked.
    """

    fields_s: Sequence[float]
    time: JobTime
    place_lonlat: tuple[float, float]
    today: date

    def shared_s(self, drills: int) -> float:
        """Hours of the job where the fields are shared out among drills."""
        return self.time.job_s - self.time.field_s + longest_load_s(self.fields_s, drills)


def booking_findings(booking: Booking, terms: BookingTerms, work: Work) -> Iterator[Note]:
    """That nothing can be booked, or that ``finish_by`` is before what is possible."""
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
    best = (
        fact("most-days-hold", n_most=MAX_DAYS, best_prob=booking.prob)
        if booking.prob > 0
        else fact("most-days-cannot-hold", n_most=MAX_DAYS)
    )
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
    in_time = (
        latest_start(work.time.job_s, replace(terms, start=first), work.place_lonlat)
        if first < terms.start
        else None
    )
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
    """The shortest longer working day with which so many days hold the job, and the days to book then."""
    longer = [day_s for day_s in LONGER_DAYS_S if day_s > terms.day_s]
    made = [
        lambda day_s=day_s: booking_for(work.time.job_s, replace(terms, day_s=day_s), work.place_lonlat)
        for day_s in longer
    ]
    yield from ((longer[k], days) for k, days in _first(made, within))


def _more_drills(terms: BookingTerms, work: Work, within: int = MAX_DAYS) -> Iterator[tuple[int, int]]:
    """The least number of drills that hold the job in so many days, its fields shared out among them, and
    the days to book then.
    """
    drills = range(2, min(MAX_DRILLS, len(work.fields_s)) + 1)
    made = [lambda n=n: booking_for(work.shared_s(n), terms, work.place_lonlat) for n in drills]
    yield from ((drills[k], days) for k, days in _first(made, within))


def _fewer_fields(terms: BookingTerms, work: Work, within: int = MAX_DAYS) -> list[Fact]:
    """The most fields, the shortest ones, that so many days hold where others are left out."""
    shortest, around_s = sorted(work.fields_s), work.time.job_s - work.time.field_s
    counts = range(len(shortest) - 1, 0, -1)
    made = [lambda n=n: booking_for(around_s + sum(shortest[:n]), terms, work.place_lonlat) for n in counts]
    return [fact("cure-fewer-fields", n_fields=counts[k], n_days=days) for k, days in _first(made, within)]


def _first(made: Sequence[Callable[[], Booking]], within: int) -> Iterator[tuple[int, int]]:
    """The first of bookings, each no longer than the one before, that so many days hold, and its days;
    found by halving.
    """
    minimum, maximum, days = 0, len(made), None
    while minimum < maximum:
        middle = (minimum + maximum) // 2
        booking = made[middle]()
        if booking.held_by(within):
            maximum, days = middle, booking.suggested_days
        else:
            minimum = middle + 1
    if days is not None:
        yield maximum, days


def _lower_odds(best_prob: float, terms: BookingTerms, work: Work) -> Iterator[tuple[float, int]]:
    """The highest whole percent of odds that can be had, and the days to book then."""
    prob = math.floor(best_prob * 100) / 100
    if prob >= MIN_PROB:
        days = booking_for(
            work.time.job_s,
            replace(terms, confidence_prob=min(prob, terms.confidence_prob)),
            work.place_lonlat,
        ).suggested_days
        if days is not None:
            yield prob, days
