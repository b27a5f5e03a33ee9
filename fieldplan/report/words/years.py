"""Odds that are counted over the years of a record, in words: in how many years, and their range."""

from __future__ import annotations

import math

from fieldplan.model.weather_odds import YearsCounted
from fieldplan.model.work import Odds
from fieldplan.report.words.numbers import odds_text

NEVER_SURE = 0.999
"""All years of a record are no certainty."""


def years_text(odds: Odds, counted: YearsCounted | None) -> str:
    """In how many years of a record the job is done, and the range of the odds; empty without a record."""
    if counted is None or odds.range_prob is None:
        return ""
    n_years = len(counted.used)
    met = f"{n_years} years" if odds.n_met is None else f"{odds.n_met} of {n_years} years"
    return f"{met}, {range_text(odds.range_prob)}"


def counted_text(odds: Odds, asked_prob: float = 0.0) -> str:
    """Odds in percent; those that are counted over years are never certain."""
    return odds_text(odds.prob if odds.range_prob is None else min(odds.prob, NEVER_SURE), asked_prob)


def range_text(range_prob: tuple[float, float]) -> str:
    """The range of odds in whole percent, never rounded up to certainty.

    Examples
    --------
    >>> range_text((0.627, 0.905)), range_text((0.862, 0.995))
    ('range 63 to 90 %', 'range 86 to 99 %')
    """
    low, high = (prob * 100 for prob in range_prob)
    return f"range {low:.0f} to {min(round(high), math.floor(high)) if high > 99 else round(high)} %"
