"""The chance that work is done within its days, given the weather of its drill."""

from __future__ import annotations

from fieldplan.model.season import RentalProgram, SeasonDrill
from fieldplan.season.durations import booking_terms
from fieldplan.work.booking import booking_for, prob_within


def odds_within(work_s: float, n_days: int, drill: SeasonDrill, program: RentalProgram) -> float:
    """Chance that so much work is done within so many working days of a drill.

    Parameters
    ----------
    work_s
        Work of all who share the days.
    n_days
        Working days booked, of which the weather leaves some.
    """
    return prob_within(work_s, booking_terms(drill, program), None, n_days)


def days_for(work_s: float, max_days: int, drill: SeasonDrill, program: RentalProgram) -> int:
    """Working days that so much work needs at the season's confidence; ``max_days`` if that is fewer."""
    days = booking_for(work_s, booking_terms(drill, program)).suggested_days
    return max_days if days is None else min(max_days, days)
