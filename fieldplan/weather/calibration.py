"""How often stated odds came true: each year is predicted from the others, rule by rule.

For a start in each month from March to November, some numbers of days and of fieldwork days needed, the odds are the share of the
other years that have so many; the year left out has them or not. Brier's score (1950, Mon. Weather Rev. 78:1)
is the mean square of odds less outcome. What counts here is reliability: how far odds lie from the shares that
come true, in ten classes, weighted by their cases.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

import numpy as np

from fieldplan.model.weather import Array, Rule
from fieldplan.model.weather_odds import Reliability
from fieldplan.weather.years import Sky, seasons_of

STARTS = tuple(date(2027, month, 1) for month in range(3, 12))
WINDOWS = (7, 14, 28)
"""Numbers of days that a job is given."""
NEEDED_FRAC = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
"""Shares of them that must be fieldwork days."""
_CLASSES = 10
_HIGH = (0.7, 0.9)


def reliability_of(sky: Sky, rule: Rule, years: tuple[int, int] | None = None) -> Reliability | None:
    """How often odds from some fieldwork days came true; ``None`` if fewer than three years are usable.

    Parameters
    ----------
    sky
        The fieldwork days that the rule tells, with the wait that a survey asks for.
    """
    cases = list(_cases(sky, years))
    if not cases:
        return None
    stated, came_true = (np.concatenate(column) for column in zip(*cases, strict=True))
    classes = np.minimum((stated * _CLASSES).astype(int), _CLASSES - 1)
    off = sum(
        abs(float(stated[classes == k].sum() - came_true[classes == k].sum())) for k in range(_CLASSES)
    )
    high = (stated >= _HIGH[0]) & (stated <= _HIGH[1])
    return Reliability(
        rule=rule.name,
        n_cases=len(stated),
        brier=float(((stated - came_true) ** 2).mean()),
        off_prob=off / len(stated),
        stated_prob=float(stated[high].mean()) if high.any() else 0.0,
        true_frac=float(came_true[high].mean()) if high.any() else 0.0,
    )


def ranked(found: Iterable[Reliability | None]) -> tuple[Reliability, ...]:
    """The most reliable first."""
    return tuple(sorted((one for one in found if one is not None), key=lambda one: one.off_prob))


def _cases(sky: Sky, years: tuple[int, int] | None) -> Iterator[tuple[Array, Array]]:
    """Odds stated for each year left out, and whether they came true, of each start and amount of work."""
    for start in STARTS:
        for n_days in WINDOWS:
            counts = seasons_of(sky, start, n_days, years).fit.sum(axis=1)
            if len(counts) < 3:
                continue
            for share in NEEDED_FRAC:
                met = (counts >= round(share * n_days)).astype(float)
                yield (met.sum() - met) / (len(met) - 1), met
