"""Rules that tell fieldwork days in a record: by rain, by a water balance, or the user's own."""

from __future__ import annotations

import re
from collections.abc import Iterable

import numpy as np

from fieldplan.errors import InputError, QuantityError
from fieldplan.model.weather import Array, Bools, Drainage, RainRule, Record, Rule, SoilRule, Wait
from fieldplan.tables import read as tables
from fieldplan.typed_quantity import parse_quantity
from fieldplan.weather.evaporation import hargreaves_mm
from fieldplan.weather.water_balance import excess_water_cm, workable

SOIL_WATER = "soil water"
"""Name of the rule by a water balance."""
_SLACK_MM = 1e-6
_OWN = re.compile(r"\s*none on a day with over (?P<day>[^,;]+?)(?P<rest>(?:\s*[,;]?\s+nor for .+)?)\s*")
_WAIT = re.compile(r"\s*[,;]?\s*nor for (?P<n>\d+) days? after (?P<after>[\d.]+\s*[a-z\"]+)")
OWN_EXAMPLE = "none on a day with over 0.1 in, nor for 2 days after 0.5 in"


def rain_rules() -> dict[str, RainRule]:
    """The published rules by rain alone, by name."""
    return {
        row["rule"]: RainRule(
            name=row["rule"],
            day_mm=float(row["day_mm"]),
            two_days_mm=float(row["two_days_mm"]) if row["two_days_mm"] else None,
            three_days_mm=float(row["three_days_mm"]) if row["three_days_mm"] else None,
            sources=(row["source"],),
        )
        for row in tables.rows("rain_rules")
    }


def drainages() -> dict[str, Drainage]:
    """The published drainage classes, by name."""
    return {
        row["drainage"]: Drainage(
            name=row["drainage"],
            a_per_day=float(row["a_per_day"]),
            b_cm_per_day=float(row["b_cm_per_day"]),
            limit_cm=float(row["limit_cm"]),
            sources=(row["source"],),
        )
        for row in tables.rows("drainage")
    }


def rule_names() -> tuple[str, ...]:
    """Names of the published rules."""
    return (*rain_rules(), SOIL_WATER)


def soil_rule(drainage: str) -> SoilRule:
    """The rule by a water balance on soil of a drainage class."""
    known = drainages()[drainage]
    return SoilRule(name=SOIL_WATER, drainage=known, sources=(*known.sources, "fao-56"))


def own_rule(text: str) -> RainRule:
    """The user's own rule.

    Parameters
    ----------
    text
        "none on a day with over …", and as often as wanted "nor for … days after …", with amounts of rain.

    Raises
    ------
    InputError
        If it reads otherwise, or an amount has no unit.

    Examples
    --------
    >>> rule = own_rule("none on a day with over 2.5 mm, nor for 2 days after 12.7 mm")
    >>> rule.day_mm, rule.waits
    (2.5, (Wait(after_mm=12.7, days=2),))
    """
    found = _OWN.fullmatch(text)
    waits = list(_WAIT.finditer(found["rest"])) if found else []
    if found is None or "".join(wait[0] for wait in waits).strip() != found["rest"].strip():
        raise InputError.of("not-a-rule", given=text, known=rule_names(), own=OWN_EXAMPLE)
    return RainRule(
        name=text.strip(),
        day_mm=_rain_mm(found["day"]),
        waits=tuple(Wait(after_mm=_rain_mm(wait["after"]), days=int(wait["n"])) for wait in waits),
        own=True,
    )


def _rain_mm(text: str) -> float:
    try:
        return round(parse_quantity(text.strip(), "length") * 1000, 6)
    except QuantityError:
        raise InputError.of("not-a-rule/rain", given=text.strip(), own=OWN_EXAMPLE) from None


def known_days(record: Record, rule: Rule) -> Bools:
    """Days on which the record has what a rule needs, shape (n,)."""
    known = np.isfinite(record.rain_mm)
    if isinstance(rule, SoilRule):
        known = known & np.isfinite(record.tmax_c) & np.isfinite(record.tmin_c)
    return known


def fit_days(record: Record, rule: Rule, lat_deg: float | None = None) -> Bools:
    """Days of a record that a rule calls fit, shape (n,). What cannot be told is not.

    Parameters
    ----------
    lat_deg
        Latitude, where the rule needs evaporation and the record does not give it.

    Raises
    ------
    InputError
        If the rule needs temperatures or a latitude that are not there.
    """
    if isinstance(rule, SoilRule):
        return _by_soil(record, rule, lat_deg)
    return _by_rain(record.rain_mm, rule)


def fieldwork_days(record: Record, rule: Rule, lat_deg: float | None = None) -> Bools:
    """`fit_days` without days that begin with snow on the ground or stay at or below freezing.

    No published rule here knows of snow and frost; this is a choice of this program, where the record has them.
    """
    with np.errstate(invalid="ignore"):
        return fit_days(record, rule, lat_deg) & ~(record.snow_mm > 0) & ~(record.tmax_c <= 0)


def with_waits(fit: Bools, rain_mm: Array, waits: Iterable[Wait]) -> Bools:
    """The same days without those on which one waits after rain."""
    for wait in waits:
        fit = fit & ~_waiting(rain_mm, wait)
    return fit


def _by_rain(rain_mm: Array, rule: RainRule) -> Bools:
    limits = ((1, rule.day_mm), (2, rule.two_days_mm), (3, rule.three_days_mm))
    fit = np.ones(len(rain_mm), dtype=bool)
    for n, limit in limits:
        if limit is not None:
            fit &= _sum_of(rain_mm, n) <= limit + _SLACK_MM  # NaN compares as no
    for wait in rule.waits:
        fit &= ~_waiting(rain_mm, wait)
    return fit


def _sum_of(rain_mm: Array, n: int) -> Array:
    """Rain of each day and the n − 1 before; before the record it was dry."""
    total = rain_mm.copy()
    for back in range(1, n):
        total[back:] += rain_mm[:-back]
    return total


def _waiting(rain_mm: Array, wait: Wait) -> Bools:
    """Days within the wait after more rain than its limit, or after a day whose rain is missing."""
    much = ~(rain_mm <= wait.after_mm + _SLACK_MM)
    waiting = np.zeros(len(rain_mm), dtype=bool)
    for back in range(1, min(wait.days, len(rain_mm) - 1) + 1):
        waiting[back:] |= much[:-back]
    return waiting


def _by_soil(record: Record, rule: SoilRule, lat_deg: float | None) -> Bools:
    lat = record.lat_deg if record.lat_deg is not None else lat_deg
    if not record.has_temperatures:
        raise InputError.of("weather-no-temperatures", file=record.name)
    if lat is None:
        raise InputError.of("weather-no-latitude", file=record.name)
    dates = np.datetime64(record.first) + np.arange(record.n_days)
    day_of_year = (dates - dates.astype("datetime64[Y]")).astype(float) + 1
    et0_cm = hargreaves_mm(record.tmax_c, record.tmin_c, day_of_year, lat) / 10
    month = dates.astype("datetime64[M]").astype(int) % 12
    for number in range(12):
        of_month = month == number
        if np.isfinite(et0_cm[of_month]).any():
            et0_cm[of_month & ~np.isfinite(et0_cm)] = np.nanmean(et0_cm[of_month])
    et0_cm[~np.isfinite(et0_cm)] = 0.0
    start = tables.weather_figure("excess water at the start", "cm")
    return workable(excess_water_cm(record.rain_mm / 10, et0_cm, rule.drainage, start), rule.drainage)
