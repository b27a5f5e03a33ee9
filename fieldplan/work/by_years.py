"""Odds that a job is done within so many days, counted over the years of a daily record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fieldplan.errors import InputError
from fieldplan.model.job import BookingTerms
from fieldplan.model.weather_odds import YearsCounted
from fieldplan.model.work import Odds
from fieldplan.weather.settle import Settled, settled
from fieldplan.weather.years import Seasons, halves, persistence, seasons_of, wilson, worked_s
from fieldplan.work.triangular import prob_done

HORIZONS = (30, 60, 120, 240, 366)
"""Days from the start on that are looked at: the fewest that show the wanted odds, so that few years drop out."""
_BEYOND = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CountedOdds:
    """The odds for each number of days, and the years that they are counted over."""

    odds: tuple[Odds, ...]
    seasons: Seasons
    settled: Settled


def odds_by_years(
    job_s: float,
    terms: BookingTerms,
    hours_s: Sequence[float],
    place_lonlat: tuple[float, float] | None,
    days: int = 1,
) -> CountedOdds:
    """The odds for each number of days: the share of usable years in which the job would have been done.

    Parameters
    ----------
    hours_s
        Working time of each day from the start on.
    days
        Number of days that are to be looked at in any case.

    Raises
    ------
    InputError
        If there is no start, or no year of the record has the days from the start on.
    """
    assert terms.weather is not None
    record = terms.weather.record
    if terms.start is None:
        raise InputError.of("start-missing/weather", key="weather")
    of_rule = settled(terms.weather, None if place_lonlat is None else place_lonlat[1])
    found = None
    for horizon in (n for n in HORIZONS if n >= min(days, HORIZONS[-1])):
        seasons = seasons_of(of_rule.sky, terms.start, horizon, terms.weather.years)
        if not seasons.used:
            break
        told = terms.foretold[:horizon]
        seasons.fit[:, : len(told)] = told
        found = CountedOdds(
            odds=_odds(job_s, terms.uncertainty_frac, hours_s, seasons), seasons=seasons, settled=of_rule
        )
        if found.odds[-1 - _BEYOND].prob >= terms.confidence_prob:
            break
    if found is None:
        raise InputError.of(
            "weather-no-year",
            file=record.name,
            n_window=HORIZONS[0],
            first=record.first.isoformat(),
            last=record.last.isoformat(),
            start=terms.start.isoformat(),
        )
    return found


def _odds(
    job_s: float, uncertainty_frac: float, hours_s: Sequence[float], seasons: Seasons
) -> tuple[Odds, ...]:
    done = prob_done(worked_s(seasons.fit, hours_s), job_s, uncertainty_frac)
    n = len(seasons.used)
    return tuple(
        Odds(
            days=number,
            prob=float(met) / n,
            n_met=None if uncertainty_frac else round(float(met)),
            range_prob=wilson(float(met), n),
        )
        for number, met in enumerate(done.sum(axis=0), start=1)
    )


def years_counted(seasons: Seasons, of_rule: Settled) -> YearsCounted:
    """The years that odds are counted over, and what the rule found in them."""
    return YearsCounted(
        used=seasons.used,
        dropped=seasons.dropped,
        window_days=seasons.fit.shape[1],
        n_unknown=int(np.count_nonzero(~seasons.known)),
        rule=of_rule.rule,
        waits=of_rule.waits,
        level_days=of_rule.level_days,
        reliability=of_rule.reliability,
        fit_frac=float(seasons.fit.mean()),
        persistence_frac=persistence(seasons.fit),
        halves_frac=halves(seasons.fit),
    )
