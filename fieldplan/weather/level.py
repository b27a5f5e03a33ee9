"""How many fieldwork days there are, from a survey, and which, from a record.

Every rule by rain counts more days than surveys report. The one number with a plain meaning that brings them
together is how many days one waits after rain: it is set so that the record's mean is nearest to the survey's.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from fieldplan.errors import InputError
from fieldplan.model.weather import Record, Rule, Wait
from fieldplan.model.weather_odds import Level
from fieldplan.tables import read as tables
from fieldplan.weather.rules import fieldwork_days, known_days, with_waits
from fieldplan.weather.years import Sky, seasons_of

MAX_WAIT_DAYS = 14
MORE_RAIN = (8, 4, 2)
"""The last day of a wait may be kept after so many times the rain only."""


def wait_for(
    record: Record, rule: Rule, level: Level, lat_deg: float | None, years: tuple[int, int] | None
) -> tuple[tuple[Wait, ...], float, float]:
    """The waits with which a record has as many fieldwork days as a survey, or as near to it as can be.

    So many days after rain or, between these, the last of them after more rain only.

    Returns
    -------
    tuple of (tuple of Wait, float, float)
        The waits, none if the rule alone is nearest; mean days of the survey's window by the rule alone, and
        with the waits.

    Raises
    ------
    InputError
        If no year of the record has these days.
    """
    fit, known = fieldwork_days(record, rule, lat_deg), known_days(record, rule)

    def mean_days(waits: tuple[Wait, ...]) -> float:
        sky = Sky(first=record.first, fit=with_waits(fit, record.rain_mm, waits), known=known)
        found = seasons_of(sky, date(2027, *level.first), level.n_days(), years)
        if not found.used:
            raise InputError.of("weather-no-year", file=record.name, n_window=level.n_days())
        return float(found.fit.sum(axis=1).mean())

    tried = [(), *_waits()]
    means = [mean_days(waits) for waits in tried]
    best = min(range(len(tried)), key=lambda k: abs(means[k] - level.days))
    return tried[best], means[0], means[best]


def _waits() -> Iterator[tuple[Wait, ...]]:
    """From a single day on, each day first after much rain, then after less."""
    after_mm = tables.weather_figure("rain that one waits after", "mm")
    for n in range(1, MAX_WAIT_DAYS + 1):
        shorter = (Wait(after_mm=after_mm, days=n - 1),) if n > 1 else ()
        for much in MORE_RAIN:
            yield (*shorter, Wait(after_mm=after_mm * much, days=n))
        yield (Wait(after_mm=after_mm, days=n),)
