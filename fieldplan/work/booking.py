"""Days to book: the odds that a job is done within so many days when not every day is fit for drilling."""

from __future__ import annotations

import math

from fieldplan.errors import PlanError
from fieldplan.model.job import BookingTerms
from fieldplan.model.work import Booking, Odds

MOST_DAYS = 366
DAYS_SHOWN_BEYOND = 3


def prob_done_within(days: int, fit_days_needed: int, fit_day_prob: float) -> float:
    """Chance of at least the needed fit days among so many days, each fit by itself with the same chance.

    The upper tail of the binomial distribution, Σ C(N, j) p^j (1 − p)^(N − j) for j >= k, summed from the exact terms.

    Examples
    --------
    >>> round(prob_done_within(3, 2, 0.55), 4)
    0.5748
    """
    p, q = fit_day_prob, 1 - fit_day_prob
    terms = (math.comb(days, j) * p**j * q ** (days - j) for j in range(fit_days_needed, days + 1))
    return min(1.0, math.fsum(terms))


def booking_for(job_s: float, terms: BookingTerms) -> Booking:
    """The least number of days that reaches the wanted confidence, with the odds around it.

    k = ceil(job time / hours a day) fit days are needed. Dividing the hours by the chance that a day is fit finds the
    mean number of days, which about half of all jobs overrun.

    Raises
    ------
    PlanError
        If a year of days does not reach the confidence.
    """
    needed = max(1, math.ceil(job_s / terms.day_s - 1e-9))
    prob, days = 0.0, needed - 1
    while prob < terms.confidence_prob:
        days += 1
        if days > MOST_DAYS:
            raise PlanError.of(
                "booking-too-long",
                f"The job needs {needed} fit days, and {MOST_DAYS} days do not hold them with the wanted confidence.",
                "split the job, work longer days or ask for less confidence",
            )
        prob = prob_done_within(days, needed, terms.fit_day_prob)
    shown = range(needed, days + DAYS_SHOWN_BEYOND + 1)
    return Booking(
        fit_days_needed=needed,
        suggested_days=days,
        confidence_prob=terms.confidence_prob,
        odds=tuple(Odds(days=n, prob=prob_done_within(n, needed, terms.fit_day_prob)) for n in shown),
    )
