"""The chance that work is done within its days, given the weather of its drill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from fieldplan.model.booked import Promise
from fieldplan.model.rental_program import RentalProgram, SeasonDrill
from fieldplan.season.durations import booking_terms
from fieldplan.season.sky import seasons_over
from fieldplan.work.booking import booking_for, prob_within
from fieldplan.work.triangular import prob_done


def odds_within(work_s: float, days: Sequence[date], drill: SeasonDrill, program: RentalProgram) -> float:
    """Chance that so much work is done within the working days booked of a drill.

    With a record it is the share of its years in which these very days had enough fieldwork days.

    Parameters
    ----------
    work_s
        Work of all who share the days.
    days
        Working days booked, of which the weather leaves some.
    """
    booking = drill.job.booking
    if booking.weather is None:
        return prob_within(work_s, booking_terms(drill, program), None, len(days))
    seasons = seasons_over(booking.weather, drill.home_lonlat[1], program.terms)
    opens, n_days = program.terms.opens, seasons.fit.shape[1]
    numbers = [number for day in days if 0 <= (number := (day - opens).days) < n_days]
    worked_s = seasons.fit[:, numbers].sum(axis=1) * booking.day_s
    return float(np.mean(prob_done(worked_s, work_s, booking.uncertainty_frac)))


def promised(
    work_s: float, field_s: float, odds_prob: float, drill: SeasonDrill, program: RentalProgram
) -> Promise:
    """What is reckoned now of a booking, to be reckoned with again.

    Parameters
    ----------
    work_s, field_s
        Work of all who share the days, and the part of it in the field.
    """
    terms = booking_terms(drill, program)
    return Promise(
        work_s=work_s,
        field_s=field_s,
        odds_prob=odds_prob,
        asked_prob=program.terms.confidence_prob,
        day_s=terms.day_s,
        chance_prob=terms.chance_prob,
        persistence_frac=terms.persistence_frac,
        uncertainty_frac=terms.uncertainty_frac,
    )


def odds_as_promised(
    promise: Promise, days: Sequence[date], drill: SeasonDrill, program: RentalProgram
) -> float:
    """Chance that the work is done within days, reckoned with the terms of when it was promised.

    With a weather record, its years are counted as in `odds_within`.

    Parameters
    ----------
    days
        Days booked that were not lost.
    """
    booking = replace(drill.job.booking, day_s=promise.day_s, uncertainty_frac=promise.uncertainty_frac)
    if booking.weather is None:
        booking = replace(
            booking,
            fieldwork_day_prob=promise.chance_prob,
            persistence_frac=promise.persistence_frac,
            published=None,
        )
    return odds_within(
        promise.work_s, days, replace(drill, job=replace(drill.job, booking=booking)), program
    )


def days_for(work_s: float, max_days: int, drill: SeasonDrill, program: RentalProgram) -> int:
    """Working days that so much work needs at the season's confidence; ``max_days`` if that is fewer."""
    days = booking_for(work_s, booking_terms(drill, program)).suggested_days
    return max_days if days is None else min(max_days, days)
