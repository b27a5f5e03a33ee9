"""Odds that are counted from a record: what they rest on, how reliable they are, and other starts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from fieldplan.model.weather import Record, Rule, Wait


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """Fieldwork days that a survey reports for a place and a part of the year.

    Parameters
    ----------
    first, last
        First and last month and day.
    days
        Days of it that are fieldwork days.
    """

    place: str
    first: tuple[int, int]
    last: tuple[int, int]
    days: float
    source: str

    def n_days(self, year: int = 2027) -> int:
        """Calendar days from the first to the last."""
        return (date(year, *self.last) - date(year, *self.first)).days + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Reliability:
    """How often stated odds came true when each year was predicted from the others.

    Parameters
    ----------
    n_cases
        Statements made: a start, a number of days and a number of fieldwork days, in a year left out.
    brier
        Mean square of odds less outcome (1 or 0).
    off_prob
        How far off the odds were: the mean distance, over all cases, between the odds stated and the share
        that came true, in ten classes of odds.
    stated_prob, true_frac
        Mean of odds of 70 to 90 % as stated, and the share of them that came true.
    """

    rule: str
    n_cases: int
    brier: float
    off_prob: float
    stated_prob: float
    true_frac: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeatherTerms:
    """A record and how fieldwork days are to be told in it.

    Parameters
    ----------
    rules
        The rule that the user chose, or those from which the most reliable is taken.
    years
        First and last year to use; all if not given.
    level
        The survey that sets how many days there are, the record giving which.
    """

    record: Record
    rules: tuple[Rule, ...]
    years: tuple[int, int] | None = None
    level: Level | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StartOdds:
    """What a start brings: days to book for the wanted odds, and odds with the days booked for the plan.

    Parameters
    ----------
    within_prob
        Odds of being done within the days that the plan books.
    by_end_prob
        Odds of being done by ``finish_by``, if there is one.
    """

    start: date
    suggested_days: int | None
    within_prob: float
    by_end_prob: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class YearsCounted:
    """The years that odds are counted over, and the rule that tells fieldwork days in them.

    Parameters
    ----------
    used
        Years of the record, by the year in which their days begin.
    dropped
        Years left out, with the share of their days that is missing.
    window_days
        Days from the start on that were looked at.
    n_unknown
        Days in the years used that the rule cannot tell: they count as no fieldwork days.
    waits
        What was added to the rule to meet a survey's level: days to wait after rain.
    level_days
        Mean fieldwork days in the survey's window by the record: by the rule as it is, and with ``waits``.
    reliability
        Of each rule that could be used, the best first.
    fit_frac
        Share of fieldwork days in the days looked at.
    persistence_frac
        How much likelier than by chance a day was like the day before, in the same days.
    independent_prob, chain_prob
        Odds of the suggested days if days with that share were independent, and as a two-state chain.
    halves_frac
        Share of fieldwork days in the first and in the second half of the years.
    starts
        Other starts.
    """

    used: tuple[int, ...]
    dropped: Mapping[int, float]
    window_days: int
    n_unknown: int
    rule: Rule
    waits: tuple[Wait, ...]
    level_days: tuple[float, float] | None
    reliability: tuple[Reliability, ...]
    fit_frac: float
    persistence_frac: float
    independent_prob: float | None = None
    chain_prob: float | None = None
    halves_frac: tuple[float, float] | None = None
    starts: tuple[StartOdds, ...] = ()
