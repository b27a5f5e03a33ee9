"""The chance that work is done within the days that it has, as the weather of its drill goes."""

from __future__ import annotations

from fieldplan.model.season import Lending, SeasonDrill
from fieldplan.season.lengths import booking_terms
from fieldplan.work.booking import booking_for, prob_within


def odds_within(work_s: float, n_days: int, drill: SeasonDrill, lending: Lending) -> float:
    """Chance that so much work is done within so many working days of a drill."""
    return prob_within(work_s, booking_terms(drill, lending), None, n_days)


def days_for(work_s: float, most_days: int, drill: SeasonDrill, lending: Lending) -> int:
    """Working days that hold so much work with the odds of the season, as many as there are at most."""
    days = booking_for(work_s, booking_terms(drill, lending)).suggested_days
    return most_days if days is None else min(most_days, days)
