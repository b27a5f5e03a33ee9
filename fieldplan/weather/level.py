"""How many fieldwork days there are, from a survey, and which, from a record.

Every rule by rain counts more days than surveys report. The one number with a plain meaning that brings them
together is how many days one waits after rain: it is set so that the record's mean is nearest to the survey's.
"""

from __future__ import annotations

from datetime import date

from fieldplan.errors import InputError
from fieldplan.model.weather import Level, Record, Rule, Wait
from fieldplan.tables import read as tables
from fieldplan.weather.rules import fieldwork_days, known_days, with_wait
from fieldplan.weather.years import Sky, seasons_of

MAX_WAIT_DAYS = 14


def wait_for(
    record: Record, rule: Rule, level: Level, lat_deg: float | None, years: tuple[int, int] | None
) -> tuple[Wait | None, float, float]:
    """The wait with which a record has as many fieldwork days as a survey, or as near to it as can be.

    Returns
    -------
    tuple of (Wait or None, float, float)
        The wait, ``None`` if the rule alone is nearest; mean days of the survey's window by the rule alone,
        and with the wait.

    Raises
    ------
    InputError
        If no year of the record has these days.
    """
    fit, known = fieldwork_days(record, rule, lat_deg), known_days(record, rule)
    after_mm = tables.weather_figure("rain that one waits after", "mm")

    def mean_days(wait: Wait | None) -> float:
        waited = fit if wait is None else with_wait(fit, record.rain_mm, wait)
        sky = Sky(first=record.first, fit=waited, known=known)
        found = seasons_of(sky, date(2027, *level.first), level.n_days(), years)
        if not found.used:
            raise InputError.of("weather-no-year", file=record.name, n_window=level.n_days())
        return float(found.fit.sum(axis=1).mean())

    waits = [None, *(Wait(after_mm=after_mm, days=n) for n in range(1, MAX_WAIT_DAYS + 1))]
    means = [mean_days(wait) for wait in waits]
    best = min(range(len(waits)), key=lambda k: abs(means[k] - level.days))
    return waits[best], means[0], means[best]
