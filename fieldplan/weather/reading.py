"""From the text of a file to a daily record: which layout it has, and what makes it no such record."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.errors import InputError
from fieldplan.facts import fact
from fieldplan.model.weather import Record
from fieldplan.tables.read import weather_figure
from fieldplan.weather.columns import (
    is_archive,
    is_plain,
    is_summary_of_the_day,
    read_archive,
    read_plain,
    split_row,
)
from fieldplan.weather.gathered import Gathered
from fieldplan.weather.ghcn import is_dly, is_long, read_dly, read_long


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What the user says of a record.

    Parameters
    ----------
    units
        One of `columns.UNITS`; empty if the file says it.
    station
        The station to read; empty if the file has only one.
    presumed_zero
        Whether rain "missing, presumed zero" counts as none.
    day_before
        Whether rain belongs to the day before the one it is filed under, as with morning readings.
    """

    units: str = ""
    station: str = ""
    presumed_zero: bool = False
    day_before: bool = False


def record_of(text: str, name: str, reading: Reading | None = None) -> Record:
    """The daily record that a file holds.

    Parameters
    ----------
    text
        All of the file.
    name
        Its name, for messages.

    Raises
    ------
    InputError
        If it is in none of the layouts, its units cannot be known, a line cannot be read, a station must be
        chosen, or the values cannot be what they are taken for.
    """
    reading = reading or Reading()
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not lines:
        raise InputError.of("weather-empty", file=name)
    gathered = _gathered(lines, name, reading)
    if reading.station and not gathered.values:
        raise InputError.of("weather-no-station", file=name, station=reading.station)
    record = gathered.record(day_before=reading.day_before)
    _plausible(record)
    return record


def _gathered(lines: list[tuple[int, str]], name: str, reading: Reading) -> Gathered:
    _, first = lines[0]
    into = Gathered(name=name, layout="dly", presumed_zero=reading.presumed_zero)
    if is_dly(first):
        read_dly(lines, into, reading.station)
        return into
    header = split_row(first)
    if is_long(header):
        into.layout = "long"
        read_long(lines, into, reading.station)
    elif is_summary_of_the_day(header):
        raise InputError.of("weather-summary-of-day", file=name)
    elif is_archive(header):
        into.layout = "ordered"
        read_archive(header, lines[1:], into, reading.station, reading.units)
    elif is_plain(header):
        into.layout = "plain"
        read_plain(header, lines[1:], into, reading.units)
    else:
        raise InputError.of("weather-layout", file=name)
    return into


def _plausible(record: Record) -> None:
    """Refuse values that cannot be what they are taken for.

    Raises
    ------
    InputError
        If there is rain below zero, or more or less of it than falls anywhere, or air that hot or cold.
    """
    rain = record.rain_mm[np.isfinite(record.rain_mm)]
    most, mean = float(rain.max()), float(rain.mean())
    if rain.min() < 0:
        raise InputError.of("weather-unlikely", file=record.name, why=fact("weather-rain/negative"))
    if most > weather_figure("most rain of a day", "mm") or mean > weather_figure("most rain, mean", "mm"):
        why = fact("weather-rain/much", most_rain_mm=most, mean_rain_mm=mean)
        raise InputError.of("weather-unlikely", file=record.name, why=why)
    several_years = len(rain) >= weather_figure("days that show the units", "days")
    if (
        several_years
        and most < weather_figure("least wettest day", "mm")
        and mean < weather_figure("least rain, mean", "mm")
    ):
        why = fact("weather-rain/little", most_rain_mm=most, mean_rain_mm=mean)
        raise InputError.of("weather-unlikely", file=record.name, why=why)
    air = np.concatenate([record.tmax_c, record.tmin_c])
    air = air[np.isfinite(air)]
    low, high = weather_figure("coldest air", "C"), weather_figure("hottest air", "C")
    if air.size and (air.min() < low or air.max() > high):
        why = fact("weather-air", low_c=float(air.min()), high_c=float(air.max()))
        raise InputError.of("weather-unlikely", file=record.name, why=why)
    n_both = int((np.isfinite(record.tmax_c) & np.isfinite(record.tmin_c)).sum())
    if record.treated.n_crossed > max(1, n_both) * weather_figure("crossed days", "%") / 100:
        raise InputError.of("weather-unlikely", file=record.name, why=fact("weather-crossed"))
