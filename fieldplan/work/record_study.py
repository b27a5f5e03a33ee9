"""A weather record looked at by itself: fieldwork days by month and rule, how reliable the odds of each rule
are, and three ways to make odds beside each other.
"""

from __future__ import annotations

import calendar
from datetime import date

from fieldplan.model.record_study import METHOD_DAYS, METHOD_NEEDED, Methods, RecordStudy, RuleStudy
from fieldplan.model.weather import Rule
from fieldplan.model.weather_odds import WeatherTerms
from fieldplan.weather.calibration import STARTS, ranked
from fieldplan.weather.settle import Settled, settled
from fieldplan.weather.years import persistence, seasons_of, wilson
from fieldplan.work.booking import prob_done_within

_A_YEAR = 2027
_MAX_PERSISTENCE = 0.95


def record_study(weather: WeatherTerms, lat_deg: float | None) -> RecordStudy:
    """The study of a record by the rules of its terms.

    Raises
    ------
    InputError
        As `weather.settle.settled`.
    """
    record = weather.record
    lat = lat_deg if record.lat_deg is None else record.lat_deg
    each = {rule.name: settled(_only(weather, rule), lat) for rule in weather.rules}
    reliability = ranked(one for found in each.values() for one in found.reliability)
    best = each[reliability[0].rule if reliability else weather.rules[0].name]
    return RecordStudy(
        record=record,
        n_missing=int((~best.sky.known).sum()),
        rules=tuple(_by_month(found, weather) for found in each.values()),
        reliability=reliability,
        methods=tuple(_methods(best, weather)),
    )


def _only(weather: WeatherTerms, rule: Rule) -> WeatherTerms:
    return WeatherTerms(record=weather.record, rules=(rule,), years=weather.years, level=weather.level)


def _by_month(found: Settled, weather: WeatherTerms) -> RuleStudy:
    shares: list[float | None] = []
    for month in range(1, 13):
        n_days = calendar.monthrange(_A_YEAR, month)[1]
        fit = seasons_of(found.sky, date(_A_YEAR, month, 1), n_days, weather.years).fit
        shares.append(float(fit.mean()) if len(fit) else None)
    return RuleStudy(
        rule=found.rule, by_month=tuple(shares), waits=found.waits, level_days=found.level_days
    )


def _methods(found: Settled, weather: WeatherTerms) -> list[Methods]:
    rows = []
    for start in STARTS:
        fit = seasons_of(found.sky, start, METHOD_DAYS, weather.years).fit
        if not len(fit):
            continue
        n_met = int((fit.sum(axis=1) >= METHOD_NEEDED).sum())
        p, r = float(fit.mean()), persistence(fit)
        rho = min(_MAX_PERSISTENCE, max(0.0, r))
        rows.append(
            Methods(
                start=start,
                n_met=n_met,
                n_years=len(fit),
                range_prob=wilson(n_met, len(fit)),
                fit_frac=p,
                persistence_frac=r,
                chain_prob=prob_done_within(METHOD_DAYS, METHOD_NEEDED, p, rho),
                independent_prob=prob_done_within(METHOD_DAYS, METHOD_NEEDED, p),
            )
        )
    return rows
