"""The weather that was: a daily record, the rule that tells fieldwork days in it, and odds counted from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fieldplan.model.checks import require, require_between

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
Layout = Literal["dly", "long", "wide", "ordered", "plain"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Treated:
    """How often what a record says was not taken as it stands, in days.

    Parameters
    ----------
    n_failed
        Values that failed a check of quality: missing.
    n_presumed
        Rain "missing, presumed zero": missing unless the user accepts it as none.
    n_several_days
        Days within a total of several days: missing.
    n_traces
        Traces of rain: none.
    n_crossed
        Days whose highest temperature is below their lowest: both missing.
    n_morning, n_timed
        Readings of rain taken before ten in the morning, and those with a time at all.
    """

    n_failed: int = 0
    n_presumed: int = 0
    n_several_days: int = 0
    n_traces: int = 0
    n_crossed: int = 0
    n_morning: int = 0
    n_timed: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Record:
    """A daily record: one value for each day from the first to the last, NaN where it is missing.

    Rain is in mm, the unit of every published rule, and temperatures in °C.

    Parameters
    ----------
    name
        The file's name.
    station
        The station, if the file names one.
    lat_deg
        Latitude of the station, if the file gives it.
    snow_mm
        Depth of snow on the ground.
    soil_c
        Daily temperature of the soil near seeding depth, its lowest of the day if the record has that.
    soil_element
        Where that is from: an element such as "SN31", or the name of a column; empty if there is none.
    """

    name: str
    layout: Layout
    first: date
    rain_mm: Array
    tmax_c: Array
    tmin_c: Array
    snow_mm: Array
    soil_c: Array
    station: str = ""
    lat_deg: float | None = None
    soil_element: str = ""
    treated: Treated = field(default_factory=Treated)

    def __post_init__(self) -> None:
        """Check that all elements have the same days."""
        require(
            len({len(column) for column in (self.rain_mm, self.tmax_c, self.tmin_c, self.soil_c)}) == 1,
            "weather-empty",
        )

    @property
    def n_days(self) -> int:
        """Days from the first to the last."""
        return len(self.rain_mm)

    @property
    def last(self) -> date:
        """The last day."""
        return self.first + timedelta(days=self.n_days - 1)

    @property
    def has_temperatures(self) -> bool:
        """Whether any day has its highest and lowest temperature."""
        return bool((np.isfinite(self.tmax_c) & np.isfinite(self.tmin_c)).any())

    @property
    def has_soil(self) -> bool:
        """Whether any day has a temperature of the soil."""
        return bool(np.isfinite(self.soil_c).any())


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """No fieldwork for some days after a day with more rain than this."""

    after_mm: float
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RainRule:
    """A fieldwork day by rain alone: no more than so much on the day, in two days and in three.

    Parameters
    ----------
    day_mm, two_days_mm, three_days_mm
        Most rain of the day, of it and the day before, and of it and the two days before; ``None`` for no
        limit.
    waits
        Days to wait after a day with more rain.
    own
        Whether the rule is the user's own.
    """

    name: str
    day_mm: float
    two_days_mm: float | None = None
    three_days_mm: float | None = None
    waits: tuple[Wait, ...] = ()
    own: bool = False
    sources: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Check ranges."""
        limits = (self.day_mm, self.two_days_mm, self.three_days_mm, *(w.after_mm for w in self.waits))
        for limit in limits:
            if limit is not None:
                require_between("fieldwork_rule", limit, 0, 500, "_rain_mm", example='"0.2 in"')
        for wait in self.waits:
            require_between("fieldwork_rule", wait.days, 1, 30, example="2")


@dataclass(frozen=True, slots=True, kw_only=True)
class Drainage:
    """How fast excess water leaves the plough layer: a·W + b a day, with W the excess in cm.

    Parameters
    ----------
    a_per_day, b_cm_per_day
        The coefficients.
    limit_cm
        A day is workable with no more excess water than this.
    """

    name: str
    a_per_day: float
    b_cm_per_day: float
    limit_cm: float
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilRule:
    """A fieldwork day by a water balance of the plough layer."""

    name: str
    drainage: Drainage
    sources: tuple[str, ...] = ()


Rule = RainRule | SoilRule


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
