"""The rule, the wait and the fieldwork days of a record, settled once the place is known."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from fieldplan.model.weather import Rule, Wait
from fieldplan.model.weather_odds import Reliability, WeatherTerms
from fieldplan.weather.calibration import ranked, reliability_of
from fieldplan.weather.level import wait_for
from fieldplan.weather.rules import fieldwork_days, known_days, with_waits
from fieldplan.weather.years import Sky


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Settled:
    """The rule that tells fieldwork days, how reliable it is, and the days that it tells."""

    rule: Rule
    waits: tuple[Wait, ...]
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
    lat = lat_deg if weather.record.lat_deg is None else weather.record.lat_deg
    each = {rule.name: _by(rule, weather, lat) for rule in weather.rules}
    reliability = ranked(one for found in each.values() for one in found.reliability)
    best = each[reliability[0].rule if reliability else weather.rules[0].name]
    return replace(best, reliability=reliability)


def _by(rule: Rule, weather: WeatherTerms, lat_deg: float | None) -> Settled:
    """The fieldwork days by one rule."""
    record = weather.record
    fit, known = fieldwork_days(record, rule, lat_deg), known_days(record, rule)
    waits: tuple[Wait, ...] = ()
    level_days = None
    if weather.level is not None:
        waits, alone, waited = wait_for(record, rule, weather.level, lat_deg, weather.years)
        level_days = (alone, waited)
    sky = Sky(first=record.first, fit=with_waits(fit, record.rain_mm, waits), known=known)
    reliability = reliability_of(sky, rule, weather.years)
    return Settled(
        rule=rule,
        waits=waits,
        level_days=level_days,
        reliability=() if reliability is None else (reliability,),
        sky=sky,
    )
