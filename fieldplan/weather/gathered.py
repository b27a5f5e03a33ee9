"""Daily values as they are gathered from a file, by element and day, and the record that they make."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from fieldplan.errors import InputError
from fieldplan.model.weather import Array, Layout, Record, Treated

RAIN, TMAX, TMIN, SNOW = "PRCP", "TMAX", "TMIN", "SNWD"
SEVERAL, SEVERAL_DAYS = "MDPR", "DAPR"
MAX_YEARS = 300
_MORNING_BEFORE = 1000
"""Readings before ten o'clock belong mostly to the day before."""
_SOIL_DEPTHS = "12"
"""Second digit of an element of soil temperature: 5 and 10 cm."""


def is_soil(element: str) -> bool:
    """Whether an element is a temperature of the soil near seeding depth.

    >>> is_soil("SN31"), is_soil("SN36"), is_soil("SNOW")
    (True, False, False)
    """
    return (
        len(element) == 4
        and element[:2] in ("SN", "SX")
        and element[2] in "012345678"
        and element[3] in _SOIL_DEPTHS
    )


@dataclass(slots=True, kw_only=True)
class Gathered:
    """Values by element and day, and what was done with those that cannot be taken as they stand."""

    name: str
    layout: Layout
    presumed_zero: bool = False
    station: str = ""
    lat_deg: float | None = None
    values: dict[str, dict[date, float]] = field(default_factory=lambda: defaultdict(dict))
    several: dict[date, int] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    def put(
        self, element: str, day: date, value: float | None, m: str = "", q: str = "", time: str = ""
    ) -> None:
        """Keep one value by its flags: ``m`` how it was measured, ``q`` the check of quality that it failed.

        Parameters
        ----------
        value
            In mm or °C; ``None`` if it is missing.
        time
            When it was read, as HHMM; empty if the file does not say.

        Raises
        ------
        InputError
            If the day has another value of that element already.
        """
        kept = self._kept(element, value, m.strip(), q.strip())
        if element == SEVERAL and value is not None:
            self.several.setdefault(day, 1)
        if element == SEVERAL_DAYS and value is not None:
            self.several[day] = max(1, round(value))
        if m.strip() == "A" and element == RAIN:
            self.several.setdefault(day, 1)
        if element == RAIN and kept is not None and time.strip().isdigit():
            self.counts["n_timed"] += 1
            self.counts["n_morning"] += int(time) < _MORNING_BEFORE
        known = self.values[element].get(day)
        if known is not None and kept is not None and not math.isclose(known, kept, abs_tol=1e-6):
            raise InputError.of("weather-day-twice", file=self.name, day=day.isoformat(), element=element)
        if kept is not None:
            self.values[element][day] = kept
        else:
            self.values[element].setdefault(day, math.nan)

    def _kept(self, element: str, value: float | None, m: str, q: str) -> float | None:
        """The value as it counts; ``None`` if it is missing."""
        if value is None:
            return None
        if q:
            self.counts["n_failed"] += 1
            return None
        if element != RAIN:
            return value
        if m == "P":
            self.counts["n_presumed"] += 1
            return 0.0 if self.presumed_zero else None
        if m == "T":
            self.counts["n_traces"] += 1
            return 0.0
        return value

    def record(self, *, day_before: bool = False) -> Record:
        """The record of what was gathered.

        Parameters
        ----------
        day_before
            File rain under the day before the one that the record has it under.

        Raises
        ------
        InputError
            If there is no rain, or the values cannot be what they are taken for.
        """
        days = [day for of_element in self.values.values() for day in of_element]
        if not any(math.isfinite(value) for value in self.values.get(RAIN, {}).values()):
            raise InputError.of("weather-no-rain", file=self.name)
        first, last = min(days), max(days)
        if (last - first).days > MAX_YEARS * 366:
            raise InputError.of(
                "weather-too-long", file=self.name, first=first.isoformat(), last=last.isoformat()
            )
        n_days = (last - first).days + 1
        rain, tmax, tmin, snow = (self._column(e, first, n_days) for e in (RAIN, TMAX, TMIN, SNOW))
        self._spread(rain, first)
        crossed = tmax < tmin
        tmax[crossed], tmin[crossed] = np.nan, np.nan
        element = self._soil_element()
        return Record(
            name=self.name,
            layout=self.layout,
            station=self.station,
            lat_deg=self.lat_deg,
            first=first,
            rain_mm=_shifted(rain) if day_before else rain,
            tmax_c=tmax,
            tmin_c=tmin,
            snow_mm=snow,
            soil_c=self._column(element, first, n_days),
            soil_element=element,
            treated=Treated(**self.counts, n_crossed=int(crossed.sum())),
        )

    def _column(self, element: str, first: date, n_days: int) -> Array:
        column = np.full(n_days, np.nan)
        for day, value in self.values.get(element, {}).items():
            column[(day - first).days] = value
        return column

    def _spread(self, rain: Array, first: date) -> None:
        """Days within a total of several days have no rain of their own: all of them are missing."""
        n_days = 0
        for day, n in self.several.items():
            end = (day - first).days + 1
            rain[max(0, end - n) : end] = np.nan
            n_days += n
        if n_days:
            self.counts["n_several_days"] = n_days

    def _soil_element(self) -> str:
        """The element of soil temperature with the most days; the lowest of the day before the highest."""
        found = [element for element in self.values if is_soil(element) or element == "SOIL"]
        return max(
            found,
            key=lambda e: (e[:2] != "SX", sum(math.isfinite(v) for v in self.values[e].values()), e),
            default="",
        )


def _shifted(rain: Array) -> Array:
    return np.append(rain[1:], np.nan)
