"""Days to book: the odds that a job is done within so many days when not every day is fit for drilling.

Each day is fit or not. Wet and dry days come in spells: with persistence ρ a day is like the day before
with a chance of ρ beyond chance, so P(fit after fit) = p + ρ(1 − p) and P(fit after unfit) = p(1 − ρ),
while p of all days stay fit (a chain of two states). With ρ = 0 the days are independent and the odds are
the upper tail of the binomial distribution. The odds are exact.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from itertools import islice

import numpy as np

from fieldplan.model.coverage import Array
from fieldplan.model.job import BookingTerms
from fieldplan.model.work import Booking, Odds
from fieldplan.units import MINUTE_S
from fieldplan.work.daylight import daylight_s

MAX_DAYS = 366
DAYS_SHOWN_BEYOND = 3
_ROUNDING = 1e-9


def prob_done_within(
    days: int, fieldwork_days_needed: int, fieldwork_day_prob: float, persistence_frac: float = 0.0
) -> float:
    """Chance of at least the needed fit days among so many days in a row.

    Examples
    --------
    >>> round(prob_done_within(3, 2, 0.55), 4)
    0.5748
    """
    enough = np.arange(fieldwork_days_needed + 1) >= fieldwork_days_needed
    *_, last = islice(_worked([1] * days, len(enough), fieldwork_day_prob, persistence_frac), days)
    return min(1.0, float(last @ enough))


def _worked(days: list[int], n: int, fieldwork_day_prob: float, persistence_frac: float) -> Iterator[Array]:
    """After each day: the chance of every amount of work done, (n,), in steps, the last one standing for
    "that or more".

    Parameters
    ----------
    days
        Steps of work that each day holds if it is fit; 0 on days off, when the weather goes on.
    """
    p, rho = fieldwork_day_prob, persistence_frac
    fieldwork_after = {True: p + rho * (1 - p), False: p * (1 - rho)}
    fit, unfit = np.zeros(n), np.zeros(n)
    fit[0], unfit[0] = p, 1 - p
    n_reached = 1  # more work than this cannot have been done yet
    for number, steps in enumerate(days):
        before, idle = fit[:n_reached], unfit[:n_reached]
        if number:
            before, idle = (
                before * fieldwork_after[True] + idle * fieldwork_after[False],
                before * (1 - fieldwork_after[True]) + idle * (1 - fieldwork_after[False]),
            )
        k = min(steps, n - 1)
        n_kept = min(n_reached, n - k)
        fit, unfit = np.zeros(n), np.zeros(n)
        fit[k : k + n_kept] = before[:n_kept]
        fit[-1] += before[n_kept:].sum()
        unfit[:n_reached] = idle
        n_reached = min(n, n_reached + k)
        yield fit + unfit


def booking_for(
    job_s: float, terms: BookingTerms, place_lonlat: tuple[float, float] | None = None
) -> Booking:
    """The least number of days that reaches the wanted confidence, with the odds around it.

    A job of H hours needs the days that hold H. Hours that are uncertain by a spread s lie between H(1 − s)
    and H(1 + s), H the likeliest (a triangular distribution). Dividing the hours by the chance that a day
    is fit finds the mean number of days, which about half of all jobs overrun.

    No number of days is suggested if a year of them does not reach the confidence, or if there is no work.

    Parameters
    ----------
    place_lonlat
        Where the fields lie: with a start date no working day is longer than its daylight there.
    """
    if job_s <= 0:
        return Booking(
            fieldwork_days_needed=0,
            suggested_days=None,
            confidence_prob=terms.confidence_prob,
            odds=(),
            finish=None,
            latest_start=None,
            day_s=(terms.day_s, terms.day_s),
        )
    hours = working_days_s(terms, place_lonlat)
    odds: list[Odds] = []
    suggested = None
    for odd in _odds(job_s, terms, hours):
        odds.append(odd)
        if suggested is None and odd.prob >= terms.confidence_prob:
            suggested = odd.days
        if suggested is not None and odd.days >= suggested + DAYS_SHOWN_BEYOND:
            break
    min_shown = MAX_DAYS if suggested is None else suggested - 1
    worked = [seconds for seconds in hours[:suggested] if seconds > 0] or [terms.day_s]
    return Booking(
        fieldwork_days_needed=_fieldwork_days_needed(job_s, hours),
        suggested_days=suggested,
        confidence_prob=terms.confidence_prob,
        odds=tuple(odd for odd in odds if odd.prob > 0 or odd.days >= min_shown),
        finish=None
        if terms.start is None or suggested is None
        else terms.start + timedelta(days=suggested - 1),
        latest_start=None,
        day_s=(min(worked), max(worked)),
    )


def prob_within(
    job_s: float, terms: BookingTerms, place_lonlat: tuple[float, float] | None, days: int
) -> float:
    """Chance that a job is done within so many days, counted from the start."""
    if days <= 0:
        return 0.0
    *_, last = islice(_odds(job_s, terms, working_days_s(terms, place_lonlat)), min(days, MAX_DAYS))
    return last.prob


def _odds(job_s: float, terms: BookingTerms, hours: list[float]) -> Iterator[Odds]:
    """The odds of each number of days, up to a year of them; in steps of a day's work, or of minutes where
    days differ in length.
    """
    if job_s * (1 - terms.uncertainty_frac) > sum(hours):
        yield from (Odds(days=days, prob=0.0) for days in range(1, MAX_DAYS + 1))
        return
    same = len({seconds for seconds in hours if seconds > 0}) <= 1
    step_s = max(hours) if same else MINUTE_S
    days = [math.floor(seconds / step_s + _ROUNDING) for seconds in hours]
    n = min(math.ceil(job_s * (1 + terms.uncertainty_frac) / step_s - _ROUNDING), sum(days)) + 1
    minimum = min(
        n - 1, math.floor(job_s * (1 - terms.uncertainty_frac) * (1 - _ROUNDING) / step_s)
    )  # with less work done no job is
    enough = _prob_done(np.arange(minimum, n, dtype=np.float64) * step_s, job_s, terms.uncertainty_frac)
    for number, done in enumerate(
        _worked(days, n, terms.fieldwork_day_prob, terms.persistence_frac), start=1
    ):
        yield Odds(days=number, prob=min(1.0, float(done[minimum:] @ enough)))


def with_latest_start(
    booking: Booking, job_s: float, terms: BookingTerms, place_lonlat: tuple[float, float] | None
) -> Booking:
    """The booking with the last day on which to start so that the job is done by ``finish_by``; none if no
    day from the start on is.
    """
    if terms.finish_by is None or booking.finish is None or booking.finish > terms.finish_by:
        return booking
    return replace(booking, latest_start=latest_start(job_s, terms, place_lonlat))


def latest_start(
    job_s: float, terms: BookingTerms, place_lonlat: tuple[float, float] | None
) -> date | None:
    """The last day on which to start so that the job is done by ``finish_by`` with the wanted confidence;
    ``None`` if it is past.

    Found by halving: a day more before the same end never lowers the odds.
    """
    if terms.start is None or terms.finish_by is None:
        return None
    end, minimum, maximum = terms.finish_by, 1, min((terms.finish_by - terms.start).days + 1, MAX_DAYS)

    def holds(days: int) -> bool:
        start = end - timedelta(days=days - 1)
        return prob_within(job_s, replace(terms, start=start), place_lonlat, days) >= terms.confidence_prob

    if not holds(maximum):
        return None
    while minimum < maximum:
        middle = (minimum + maximum) // 2
        minimum, maximum = (minimum, middle) if holds(middle) else (middle + 1, maximum)
    return end - timedelta(days=minimum - 1)


def working_days_s(terms: BookingTerms, place_lonlat: tuple[float, float] | None) -> list[float]:
    """Working time of each day from the start: none on days off, and no more than the daylight where date
    and place are known.
    """
    if terms.start is None:
        return [terms.day_s] * MAX_DAYS
    return [_working_day_s(terms, terms.start + timedelta(days=k), place_lonlat) for k in range(MAX_DAYS)]


def _working_day_s(terms: BookingTerms, on: date, place_lonlat: tuple[float, float] | None) -> float:
    if on.weekday() in terms.weekdays_off or on in terms.dates_off:
        return 0.0
    if place_lonlat is None:
        return terms.day_s
    return min(terms.day_s, daylight_s(on, place_lonlat[1], place_lonlat[0]))


def _prob_done(worked_s: Array, job_s: float, uncertainty_frac: float) -> Array:
    """Chance that a job of that many hours, give or take, takes no more than was worked; for each amount of
    work, (n,).
    """
    if job_s <= 0:
        return np.ones(len(worked_s))
    if uncertainty_frac < _ROUNDING:
        return (worked_s >= job_s * (1 - _ROUNDING)).astype(float)
    z = np.clip((worked_s / job_s - 1) / uncertainty_frac, -1.0, 1.0)
    return np.where(z < 0, (1 + z) ** 2 / 2, 1 - (1 - z) ** 2 / 2)


def _fieldwork_days_needed(job_s: float, hours: list[float]) -> int:
    """Working days that hold the job if every one of them is fit; a job longer than a year goes on through
    years like the first.
    """
    years, left = divmod(job_s, sum(hours)) if 0 < sum(hours) < job_s else (0.0, job_s)
    needed = int(years) * sum(seconds > 0 for seconds in hours)
    for seconds in hours:
        if left <= job_s * _ROUNDING and needed > 0:
            break
        needed += seconds > 0
        left -= seconds
    return max(1, needed)
