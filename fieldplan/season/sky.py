"""The years of a weather record over the days of a season: the same for all drills."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from fieldplan.errors import InputError
from fieldplan.model.notes import Note
from fieldplan.model.rental_program import SeasonDrill, SeasonTerms
from fieldplan.model.weather import Bools
from fieldplan.model.weather_odds import WeatherTerms
from fieldplan.weather.settle import settled
from fieldplan.weather.years import Seasons, persistence, seasons_of
from fieldplan.work.by_years import years_counted
from fieldplan.work.weather_notes import record_notes

_MIN_PROB, _MAX_PERSISTENCE = 0.01, 0.95
"""What the terms of a booking allow."""


def on_record(drill: SeasonDrill, weather: WeatherTerms, terms: SeasonTerms) -> SeasonDrill:
    """The drill with its fieldwork days from a record.

    How long bookings must be is settled before their days are known, so it is worked out by a chain of two
    states with the share and the spells of fieldwork days that the record has over the season.

    Raises
    ------
    InputError
        If no year of the record has the days of the season.
    """
    booking = replace(drill.job.booking, weather=weather)
    drill = replace(drill, job=replace(drill.job, booking=booking))
    seasons = seasons_over(weather, drill.home_lonlat[1], terms)
    booking = replace(
        booking,
        fieldwork_day_prob=max(_MIN_PROB, float(seasons.fit.mean())),
        persistence_frac=min(_MAX_PERSISTENCE, max(0.0, persistence(seasons.fit))),
    )
    return replace(drill, job=replace(drill.job, booking=booking))


@lru_cache(maxsize=32)
def seasons_over(weather: WeatherTerms, lat_deg: float, terms: SeasonTerms) -> Seasons:
    """The days of a season in each usable year of a record.

    Raises
    ------
    InputError
        If no year of the record has them.
    """
    n_days = (terms.closes - terms.opens).days + 1
    seasons = seasons_of(settled(weather, lat_deg).sky, terms.opens, n_days, weather.years)
    if not seasons.used:
        raise InputError.of(
            "weather-no-year",
            file=weather.record.name,
            n_window=n_days,
            start=terms.opens.isoformat(),
            first=weather.record.first.isoformat(),
            last=weather.record.last.isoformat(),
        )
    return seasons


def sky_notes(drills: Sequence[SeasonDrill], terms: SeasonTerms) -> Iterator[Note]:
    """The notes on the records of a season, each once."""
    seen: set[WeatherTerms] = set()
    for drill in drills:
        weather, lat_deg = drill.job.booking.weather, drill.home_lonlat[1]
        if weather is not None and weather not in seen:
            seen.add(weather)
            counted = years_counted(seasons_over(weather, lat_deg, terms), settled(weather, lat_deg))
            yield from record_notes(weather, counted)


def same_sky(drills: Sequence[SeasonDrill], terms: SeasonTerms) -> tuple[tuple[int, ...], list[Bools]]:
    """The years that the records of all drills have, and the fieldwork days of each drill in them.

    Returns
    -------
    tuple of (tuple of int, list of ndarray)
        The years, and for each drill an array of shape (days of the season, years). No years and no arrays
        if not every drill has a record.
    """
    of_drills = [
        seasons_over(drill.job.booking.weather, drill.home_lonlat[1], terms)
        for drill in drills
        if drill.job.booking.weather is not None
    ]
    if len(of_drills) < len(drills) or not of_drills:
        return (), []
    years = sorted(set.intersection(*(set(seasons.used) for seasons in of_drills)))
    return tuple(years), [
        np.ascontiguousarray(seasons.fit[[seasons.used.index(year) for year in years]].T)
        for seasons in of_drills
    ]
