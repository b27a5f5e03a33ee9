"""Daily weather records made up for tests, as text in the layouts of files, and as records."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from fieldplan.model.weather import Record
from fieldplan.weather.reading import record_of

STATION = "USC00000001"
Weather = Callable[[date], tuple[float, float, float]]
"""Rain (mm), highest and lowest temperature (°C) of a day."""
CHAMPION_SHA256 = "c480a225884572023a3dfe48cadf7c2bac1cdac210931d38d643d96e1e737de2"
CHAMPION_LAT_DEG = 40.4
"""Not in the file; the latitude for which the reference figures were worked out."""


def days(first: date, last: date) -> Iterable[date]:
    """All days from the first to the last."""
    return (first + timedelta(days=k) for k in range((last - first).days + 1))


def mild(day: date) -> tuple[float, float, float]:
    """A wet spell of three days every ten days, wetter from year to year, and temperatures of a season."""
    warm = 10 - 15 * np.cos(2 * np.pi * (day.timetuple().tm_yday - 20) / 365)
    wet = (day.toordinal() + 3 * day.year) % 10 < 3 + (day.year % 3)
    return (12.0 if wet else 0.0), float(round(warm + 6, 1)), float(round(warm - 6, 1))


def plain_csv(first: date, last: date, weather: Weather = mild) -> str:
    """A plain table with units in its header."""
    rows = "".join(
        f"{day.isoformat()},{rain:g},{high:g},{low:g}\n"
        for day in days(first, last)
        for rain, high, low in [weather(day)]
    )
    return f"date,rain_mm,tmax_c,tmin_c\n{rows}"


def record(rain_mm: Iterable[float], first: date = date(2001, 1, 1), **columns: np.ndarray) -> Record:
    """A record of rain alone, or with columns of temperatures."""
    rain = np.array(list(rain_mm), dtype=float)
    none = np.full(len(rain), np.nan)
    given = {name: columns.get(name, none) for name in ("tmax_c", "tmin_c", "snow_mm", "soil_c")}
    return Record(name="made up", layout="plain", first=first, rain_mm=rain, **given)


def champion() -> Record:
    """The record of Champion, Nebraska, 1982 to 2018, which ships inside a package on PyPI (MIT licence).

    The test is skipped where the package is not installed.
    """
    spec = find_spec("aquacrop")
    if spec is None or not spec.submodule_search_locations:
        pytest.skip("aquacrop, which carries the 37-year record, is not installed")
    path = Path(spec.submodule_search_locations[0]) / "data" / "champion_climate.txt"
    return record_of(path.read_text(encoding="utf-8"), str(path))
