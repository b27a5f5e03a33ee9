"""What a weather record says of fieldwork days by itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fieldplan.model.weather import Record, Rule, Wait
from fieldplan.model.weather_odds import Reliability

METHOD_DAYS, METHOD_NEEDED = 28, 17
"""Three ways to make odds are compared for so many fieldwork days within so many days."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleStudy:
    """Fieldwork days by one rule.

    Parameters
    ----------
    by_month
        Share of the days of each month, January first; ``None`` where no year has the month.
    waits, level_days
        As in `YearsCounted`, where a survey sets the level.
    """

    rule: Rule
    by_month: tuple[float | None, ...]
    waits: tuple[Wait, ...]
    level_days: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Methods:
    """Odds of `METHOD_NEEDED` fieldwork days within `METHOD_DAYS` from a start on, three ways.

    Parameters
    ----------
    n_met, n_years, range_prob
        Years in which there were so many, usable years, and the range of their share.
    fit_frac, persistence_frac
        Of the same days, which chain and independent days are given.
    """

    start: date
    n_met: int
    n_years: int
    range_prob: tuple[float, float]
    fit_frac: float
    persistence_frac: float
    chain_prob: float
    independent_prob: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordStudy:
    """What a record says of fieldwork days.

    Parameters
    ----------
    n_missing
        Days without rain or, where a rule needs them, temperatures.
    reliability
        Of each rule, the best first; the first is the one that a plan would take.
    methods
        By the start of each month, for that rule.
    """

    record: Record
    n_missing: int
    rules: tuple[RuleStudy, ...]
    reliability: tuple[Reliability, ...]
    methods: tuple[Methods, ...]
