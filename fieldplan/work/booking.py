"""Days to book: the odds that a job is done within so many days when not every day is a fieldwork day.

A day is a fieldwork day with probability p. Wet and dry days come in spells, so the days form a Markov chain
of two states. With persistence ρ the probability of a fieldwork day is p + ρ(1 − p) after a fieldwork day
and p(1 − ρ) after any other day; the long-run share of fieldwork days stays p. With ρ = 0 the days are
independent, and the odds are the upper tail of the binomial distribution. The odds are exact. Where there is
a daily record, the odds are counted over its years instead (`work.by_years`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import islice

import numpy as np

from fieldplan.model.coverage import Array
from fieldplan.model.job import BookingTerms
from fieldplan.model.weather_odds import YearsCounted
from fieldplan.model.work import Booking, Odds
from fieldplan.units import MINUTE_S
from fieldplan.work.by_years import CountedOdds, odds_by_years, years_counted
from fieldplan.work.triangular import prob_done
from fieldplan.work.working_days import MAX_DAYS, fieldwork_days_needed, working_days_s

DAYS_SHOWN_BEYOND = 3
_ROUNDING = 1e-9


def prob_done_within(
    days: int, fieldwork_days_needed: int, fieldwork_day_prob: float, persistence_frac: float = 0.0
) -> float:
    """Probability of at least the needed fieldwork days among consecutive days.

    Parameters
    ----------
    fieldwork_day_prob
        Long-run share of days that are fieldwork days.
    persistence_frac
        How much likelier than by chance a day is like the day before, from 0 to below 1.

    Examples
    --------
    Two fieldwork days among three, each with a probability of 0.55: 3·0.55²·0.45 + 0.55³.

    >>> round(prob_done_within(3, 2, 0.55), 4)
    0.5748
    """
    is_enough = np.arange(fieldwork_days_needed + 1) >= fieldwork_days_needed
    *_, last = islice(_worked([1] * days, len(is_enough), fieldwork_day_prob, persistence_frac), days)
    return min(1.0, float(last @ is_enough))


def _worked(
    days: list[int],
    n: int,
    fieldwork_day_prob: float,
    persistence_frac: float,
    foretold: Sequence[bool] = (),
) -> Iterator[Array]:
    """The distribution of work done after each day.

    Parameters
    ----------
    days
        Steps of work that each day holds if it is a fieldwork day; 0 on days off, when the weather goes on.
    n
        Number of amounts of work to tell apart, from 0 to n − 1 steps.
    foretold
        Whether the first days are fieldwork days, as far as that is known.

    Yields
    ------
    ndarray of shape (n,)
        The probability of each number of steps done; the last one means "that many or more".
    """
    p, rho = fieldwork_day_prob, persistence_frac
    after_fieldwork, after_idle = p + rho * (1 - p), p * (1 - rho)
    # the joint distribution of work done and of the last day's kind
    fieldwork, idle = np.zeros(n), np.zeros(n)
    fieldwork[0], idle[0] = p, 1 - p
    n_reached = 1  # more work than this cannot have been done yet
    for number, steps in enumerate(days):
        works, rests = fieldwork[:n_reached], idle[:n_reached]
        if number:
            works, rests = (
                works * after_fieldwork + rests * after_idle,
                works * (1 - after_fieldwork) + rests * (1 - after_idle),
            )
        if number < len(foretold):
            either, neither = works + rests, np.zeros(n_reached)
            works, rests = (either, neither) if foretold[number] else (neither, either)
        # a fieldwork day moves its probabilities up by its steps; those beyond the end add up in the last
        shift = min(steps, n - 1)
        n_kept = min(n_reached, n - shift)
        fieldwork, idle = np.zeros(n), np.zeros(n)
        fieldwork[shift : shift + n_kept] = works[:n_kept]
        fieldwork[-1] += works[n_kept:].sum()
        idle[:n_reached] = rests
        n_reached = min(n, n_reached + shift)
        yield fieldwork + idle


def booking_for(
    job_s: float, terms: BookingTerms, place_lonlat: tuple[float, float] | None = None
) -> Booking:
    """The fewest days that reach the wanted confidence, with the odds around them.

    A job of H hours with uncertainty u has a triangular distribution from H(1 − u) to H(1 + u) with its
    mode at H. Dividing the hours by the share of fieldwork days would find the mean number of days, which
    about half of all jobs overrun.

    Parameters
    ----------
    place_lonlat
        Longitude and latitude of the fields. With a start date, no working day is longer than its daylight
        there.

    Returns
    -------
    Booking
        ``suggested_days`` is ``None`` if 366 days do not reach the confidence, or if there is no work.
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
    counted = None if terms.weather is None else odds_by_years(job_s, terms, hours, place_lonlat)
    odds: list[Odds] = []
    suggested = None
    for of_days in _odds(job_s, terms, hours) if counted is None else counted.odds:
        odds.append(of_days)
        if suggested is None and of_days.prob >= terms.confidence_prob:
            suggested = of_days.days
        if suggested is not None and of_days.days >= suggested + DAYS_SHOWN_BEYOND:
            break
    return _booking(job_s, terms, hours, odds, suggested, counted)


def booking_for_days(
    job_s: float, terms: BookingTerms, place_lonlat: tuple[float, float] | None, days: int
) -> Booking:
    """A booking of so many days, whatever its odds, with the odds around them.

    Parameters
    ----------
    days
        Days that one has the drill, from the start on; 366 at most.
    """
    if job_s <= 0:
        return booking_for(job_s, terms, place_lonlat)
    hours = working_days_s(terms, place_lonlat)
    most = min(MAX_DAYS, days + DAYS_SHOWN_BEYOND)
    counted = None if terms.weather is None else odds_by_years(job_s, terms, hours, place_lonlat, most)
    each = _odds(job_s, terms, hours) if counted is None else iter(counted.odds)
    return _booking(job_s, terms, hours, list(islice(each, most)), days, counted)


def _booking(
    job_s: float,
    terms: BookingTerms,
    hours: list[float],
    odds: list[Odds],
    days: int | None,
    counted: CountedOdds | None,
) -> Booking:
    """The booking of so many days, or of none if no number of days will do."""
    min_shown = odds[-1].days if days is None else days - 1
    worked = [seconds for seconds in hours[:days] if seconds > 0] or [terms.day_s]
    finish = None
    if terms.start is not None and days is not None:
        finish = terms.start + timedelta(days=days - 1)
    years = None
    if counted is not None:
        years = _beside_chains(years_counted(counted.seasons, counted.settled), job_s, terms, hours, days)
    return Booking(
        fieldwork_days_needed=fieldwork_days_needed(job_s, hours),
        suggested_days=days,
        confidence_prob=terms.confidence_prob,
        odds=tuple(of_days for of_days in odds if of_days.prob > 0 or of_days.days >= min_shown),
        finish=finish,
        latest_start=None,
        day_s=(min(worked), max(worked)),
        counted=years,
    )


def _beside_chains(
    counted: YearsCounted, job_s: float, terms: BookingTerms, hours: list[float], suggested: int | None
) -> YearsCounted:
    """Counted years with what independent days and a two-state chain would say of the suggested days."""
    if suggested is None or not counted.fit_frac:
        return counted

    def prob(persistence_frac: float) -> float:
        chain = replace(
            terms,
            weather=None,
            fieldwork_day_prob=max(0.01, counted.fit_frac),
            persistence_frac=min(0.95, max(0.0, persistence_frac)),
        )
        *_, last = islice(_odds(job_s, chain, hours), suggested)
        return last.prob

    return replace(counted, independent_prob=prob(0.0), chain_prob=prob(counted.persistence_frac))


def prob_within(
    job_s: float, terms: BookingTerms, place_lonlat: tuple[float, float] | None, days: int
) -> float:
    """Probability that a job is done within a number of days from the start; 366 days at most."""
    if days <= 0:
        return 0.0
    days, hours = min(days, MAX_DAYS), working_days_s(terms, place_lonlat)
    odds = _odds(job_s, terms, hours)
    if terms.weather is not None:
        odds = iter(odds_by_years(job_s, terms, hours, place_lonlat, days).odds)
    *_, last = islice(odds, days)
    return last.prob


def _odds(job_s: float, terms: BookingTerms, hours: list[float]) -> Iterator[Odds]:
    """The odds for each number of days, up to 366.

    Work counts in steps of a working day or, where working days differ in length, of a minute.
    """
    if job_s * (1 - terms.uncertainty_frac) > sum(hours):
        yield from (Odds(days=days, prob=0.0) for days in range(1, MAX_DAYS + 1))
        return
    same_length = len({seconds for seconds in hours if seconds > 0}) <= 1
    step_s = max(hours) if same_length else MINUTE_S
    days = [math.floor(seconds / step_s + _ROUNDING) for seconds in hours]
    n = min(math.ceil(job_s * (1 + terms.uncertainty_frac) / step_s - _ROUNDING), sum(days)) + 1
    # with fewer steps than this the job cannot be done, however well it goes
    min_steps = min(n - 1, math.floor(job_s * (1 - terms.uncertainty_frac) * (1 - _ROUNDING) / step_s))
    prob_enough = prob_done(
        np.arange(min_steps, n, dtype=np.float64) * step_s, job_s, terms.uncertainty_frac
    )
    after_each_day = _worked(days, n, terms.chance_prob, terms.persistence_frac, terms.foretold)
    for number, work_probs in enumerate(after_each_day, start=1):
        yield Odds(days=number, prob=min(1.0, float(work_probs[min_steps:] @ prob_enough)))


def with_latest_start(
    booking: Booking, job_s: float, terms: BookingTerms, place_lonlat: tuple[float, float] | None
) -> Booking:
    """The booking with the latest safe start for ``finish_by``; unchanged if there is none."""
    if terms.finish_by is None or booking.finish is None or booking.finish > terms.finish_by:
        return booking
    return replace(booking, latest_start=latest_start(job_s, terms, place_lonlat))


def latest_start(
    job_s: float, terms: BookingTerms, place_lonlat: tuple[float, float] | None
) -> date | None:
    """The last day to start so that the job is done by ``finish_by`` with the wanted confidence.

    Returns
    -------
    date or None
        ``None`` if no day from ``terms.start`` on is early enough, or if start or end is not given.

    Notes
    -----
    Found by bisection: a day more before the same end never lowers the odds.
    """
    if terms.start is None or terms.finish_by is None:
        return None
    end = terms.finish_by
    min_days, max_days = 1, min((end - terms.start).days + 1, MAX_DAYS)

    def are_enough(days: int) -> bool:
        start = end - timedelta(days=days - 1)
        return prob_within(job_s, replace(terms, start=start), place_lonlat, days) >= terms.confidence_prob

    if terms.weather is not None:  # windows of other lengths may have other years
        days = next((days for days in range(1, max_days + 1) if are_enough(days)), None)
        return None if days is None else end - timedelta(days=days - 1)
    if not are_enough(max_days):
        return None
    while min_days < max_days:
        middle = (min_days + max_days) // 2
        min_days, max_days = (min_days, middle) if are_enough(middle) else (middle + 1, max_days)
    return end - timedelta(days=min_days - 1)
