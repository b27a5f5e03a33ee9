"""The rule, the wait and the fieldwork days of a record, settled once the place is known."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from fieldplan.model.weather import Reliability, Rule, Wait, WeatherTerms
from fieldplan.weather.calibration import ranked, reliability_of
from fieldplan.weather.level import wait_for
from fieldplan.weather.rules import fieldwork_days, known_days, with_wait
from fieldplan.weather.years import Sky


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Settled:
    """The rule that tells fieldwork days, how reliable it is, and the days that it tells."""

    rule: Rule
    wait: Wait | None
    level_days: tuple[float, float] | None
    reliability: tuple[Reliability, ...]
    sky: Sky


@lru_cache(maxsize=64)
def settled(weather: WeatherTerms, lat_deg: float | None) -> Settled:
    """The fieldwork days of a record by the rule whose odds are the most reliable.

    Parameters
    ----------
    lat_deg
        Latitude of the fields; that of the record comes first.

    Raises
    ------
    InputError
        If a rule needs temperatures or a latitude that are not there, or no year has the survey's window.
    """
    record, lat = weather.record, weather.record.lat_deg
    lat = lat_deg if lat is None else lat
    found = ranked(reliability_of(record, rule, lat, weather.years) for rule in weather.rules)
    best = found[0].rule if found else weather.rules[0].name
    rule = next(rule for rule in weather.rules if rule.name == best)
    fit, known = fieldwork_days(record, rule, lat), known_days(record, rule)
    wait, level_days = None, None
    if weather.level is not None:
        wait, alone, waited = wait_for(record, rule, weather.level, lat, weather.years)
        level_days = (alone, waited)
    if wait is not None:
        fit = with_wait(fit, record.rain_mm, wait)
    return Settled(
        rule=rule,
        wait=wait,
        level_days=level_days,
        reliability=found,
        sky=Sky(first=record.first, fit=fit, known=known),
    )
