"""First and last days to sow, by the soil or the air of a record: when it is warm enough, and before frost."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fieldplan.model.weather import Array, Bools, Record
from fieldplan.tables import read as tables

_SPRING = ((1, 1), 212)
"""Soil warms from January to July: its first day and how many there are."""
_AUTUMN = ((7, 1), 184)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayByYears:
    """A day that is safe in a share of years.

    Parameters
    ----------
    safe
        Month and day, in the year asked for; ``None`` if there is none in so many years.
    n_met
        Years in which the start is safe.
    n_years
        Usable years.
    """

    safe: date | None
    n_met: int
    n_years: int


def warm_from(record: Record, least_c: float, start: date, share: float) -> DayByYears | None:
    """The first day from which the soil is warm enough in a share of years.

    Warm is a soil that stays at or above the temperature for three days at its lowest of the day; where the
    record has no soil, the mean of the air over seven days. It is safe from the third day on.

    Parameters
    ----------
    least_c
        Lowest temperature for the seed, in °C.
    start
        The planned start; the year of the day returned is its own.

    Returns
    -------
    DayByYears or None
        ``None`` if no year of the record can be used.
    """
    n_warm = round(tables.weather_figure("days that the soil stays warm", "days"))
    if record.has_soil:
        warm = _run_of(record.soil_c >= least_c, n_warm)
        known = np.isfinite(record.soil_c)
    else:
        n_mean = round(tables.weather_figure("days of a mean of the air", "days"))
        mean = _mean_of((record.tmax_c + record.tmin_c) / 2, n_mean)
        warm, known = mean >= least_c, np.isfinite(record.tmax_c + record.tmin_c)
    firsts = [_first(in_spring) for _, in_spring in _each_year(record, known, warm.astype(float), *_SPRING)]
    day_of_start = (start - date(start.year, *_SPRING[0])).days
    return _by_years(
        [n if n is not None else math.inf for n in firsts], day_of_start, share, start, _SPRING[0]
    )


def frost_free_until(
    record: Record, frost_c: float, days_before: int, start: date, share: float
) -> DayByYears | None:
    """The last day that lies so many days before the first killing frost of autumn in a share of years.

    Parameters
    ----------
    frost_c
        A day with this or a lower temperature is a killing frost.
    """
    frost = (record.tmin_c <= frost_c).astype(float)
    lasts = [
        (n if n is not None else _AUTUMN[1]) - days_before
        for n in (
            _first(in_autumn)
            for _, in_autumn in _each_year(record, np.isfinite(record.tmin_c), frost, *_AUTUMN)
        )
    ]
    day_of_start = (start - date(start.year, *_AUTUMN[0])).days
    # later than the last safe day is the same as earlier than the first, seen from the other end
    return _by_years([-n for n in lasts], -day_of_start, share, start, _AUTUMN[0], sign=-1)


def _each_year(
    record: Record, known: Bools, values: Array, first: tuple[int, int], n_days: int
) -> list[tuple[int, Array]]:
    """A part of each year that is nearly complete, with its values."""
    enough = tables.weather_figure("days known of a season", "%") / 100
    found = []
    for year in range(record.first.year, record.last.year + 1):
        at = (date(year, *first) - record.first).days
        if at >= 0 and at + n_days <= record.n_days and known[at : at + n_days].mean() >= enough:
            found.append((year, values[at : at + n_days]))
    return found


def _first(values: Array) -> int | None:
    """Index of the first value that is true."""
    at = np.flatnonzero(values == 1.0)
    return int(at[0]) if at.size else None


def _by_years(
    firsts: Sequence[float], start: int, share: float, on: date, begins: tuple[int, int], sign: int = 1
) -> DayByYears | None:
    if not firsts:
        return None
    needed = math.ceil(share * len(firsts) - 1e-9)
    safe = sorted(firsts)[max(0, needed - 1)]
    day = None
    if math.isfinite(safe):
        day = date(on.year, *begins) + timedelta(days=sign * int(safe))
    return DayByYears(safe=day, n_met=sum(n <= start for n in firsts), n_years=len(firsts))


def _run_of(days: Bools, n: int) -> Bools:
    """Whether a day and the n − 1 before it all are."""
    run = days.copy()
    for back in range(1, n):
        run[back:] &= days[:-back]
        run[:back] = False
    return run


def _mean_of(values: Array, n: int) -> Array:
    """Mean of each value and the n − 1 before it; NaN where one of them is missing."""
    total = values.copy()
    for back in range(1, n):
        total[back:] += values[:-back]
        total[: n - 1] = np.nan
    return total / n
