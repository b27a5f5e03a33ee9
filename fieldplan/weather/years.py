"""Odds by counting years: a job is run through the weather of each year of a record.

No model stands between record and odds: wet spells, and years with many of them, are as long as they were. A
share k of n years has the 95 % range of Wilson (1927, J. Am. Stat. Assoc. 22:209).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fieldplan.model.weather import Array, Bools
from fieldplan.tables import read as tables

_Z95 = 1.959964
"""The standard normal distribution has 95 % within this distance of its middle."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sky:
    """Fieldwork days of a record from its first day on, and days on which it had what the rule needs."""

    first: date
    fit: Bools
    known: Bools

    def between(self, first: date, n_days: int) -> tuple[Bools, Bools]:
        """Fieldwork days and known days of a run of days; outside the record nothing is known."""
        at = (first - self.first).days
        fit, known = np.zeros(n_days, dtype=bool), np.zeros(n_days, dtype=bool)
        low, high = max(0, at), min(len(self.fit), at + n_days)
        if low < high:
            fit[low - at : high - at] = self.fit[low:high]
            known[low - at : high - at] = self.known[low:high]
        return fit, known


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seasons:
    """The same days in each usable year of a record.

    Parameters
    ----------
    used
        The years in which the days begin.
    fit, known
        Shape (years, days): fieldwork days, and days that could be told.
    dropped
        Years of the record left out, with the share of days missing.
    """

    used: tuple[int, ...]
    fit: Bools
    known: Bools
    dropped: dict[int, float]


def seasons_of(sky: Sky, start: date, n_days: int, years: tuple[int, int] | None = None) -> Seasons:
    """The days from a start on in each year of a record that has nearly all of them.

    Parameters
    ----------
    start
        Month and day of the first day; its year does not count.
    years
        First and last year to use.
    """
    last = sky.first + timedelta(days=len(sky.fit) - 1)
    low, high = years or (sky.first.year - 1, last.year)
    enough = tables.weather_figure("days known of a season", "%") / 100
    used, fit, known, dropped = [], [], [], {}
    for year in range(low, high + 1):
        fit_then, known_then = sky.between(same_day(start, year), n_days)
        if known_then.mean() >= enough:
            used.append(year)
            fit.append(fit_then)
            known.append(known_then)
        elif known_then.any():
            dropped[year] = float(1 - known_then.mean())
    shape = (len(used), n_days)
    return Seasons(
        used=tuple(used),
        fit=np.array(fit, dtype=bool).reshape(shape),
        known=np.array(known, dtype=bool).reshape(shape),
        dropped=dropped,
    )


def same_day(day: date, year: int) -> date:
    """The same day of another year; 28 February for 29 February.

    >>> same_day(date(2024, 2, 29), 2023)
    datetime.date(2023, 2, 28)
    """
    return day.replace(year=year, day=28) if (day.month, day.day) == (2, 29) else day.replace(year=year)


def worked_s(fit: Bools, hours_s: Sequence[float]) -> Array:
    """Work done by the end of each day in each year, in s: shape (years, days).

    Parameters
    ----------
    fit
        Fieldwork days, shape (years, days).
    hours_s
        Working time of each day; 0 on days off.
    """
    return np.cumsum(fit * np.asarray(hours_s, dtype=float)[: fit.shape[1]], axis=1)


def wilson(n_met: float, n: int) -> tuple[float, float]:
    """The 95 % range of a share that was met in some of n years.

    Examples
    --------
    >>> [round(end, 3) for end in wilson(24, 30)]
    [0.627, 0.905]
    """
    share, z2 = n_met / n, _Z95**2
    middle = share + z2 / (2 * n)
    half = _Z95 * math.sqrt(max(0.0, share * (1 - share)) / n + z2 / (4 * n * n))
    low, high = (middle - half) / (1 + z2 / n), (middle + half) / (1 + z2 / n)
    # at the ends rounding could leave the share itself out
    return max(0.0, min(share, low)), min(1.0, max(share, high))


def persistence(fit: Bools) -> float:
    """How much likelier than by chance a day is like the day before: P(F after F) − P(F after U).

    Pairs lie within the days of each year; 0 where one kind of day never comes first.
    """
    before, after = fit[:, :-1].ravel(), fit[:, 1:].ravel()
    if before.all() or not before.any():
        return 0.0
    return float(after[before].mean() - after[~before].mean())


def halves(fit: Bools) -> tuple[float, float] | None:
    """Share of fieldwork days in the first and in the second half of the years; ``None`` for under ten."""
    n = len(fit)
    if n < 10:
        return None
    return float(fit[: n // 2].mean()), float(fit[n - n // 2 :].mean())
