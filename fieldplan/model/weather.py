"""The weather that was: a daily record, and the rule that tells fieldwork days in it."""

from __future__ import annotations

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
