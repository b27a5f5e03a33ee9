"""The chance that work is done within its days, given the weather of its drill."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from fieldplan.model.season import RentalProgram, SeasonDrill
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


def days_for(work_s: float, max_days: int, drill: SeasonDrill, program: RentalProgram) -> int:
    """Working days that so much work needs at the season's confidence; ``max_days`` if that is fewer."""
    days = booking_for(work_s, booking_terms(drill, program)).suggested_days
    return max_days if days is None else min(max_days, days)
