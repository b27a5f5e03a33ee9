"""Layouts with a row for each day: exports of the GHCN-Daily archive, and plain tables with named columns.

Nothing is guessed of units. The archive's own table has whole tenths in cells padded with spaces; a table
that was ordered may hold mm, inches or tenths, so its units are asked for; a plain table names them in its
header ("rain_mm", "Tmax (F)").
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fieldplan.errors import InputError
from fieldplan.weather.gathered import RAIN, SEVERAL, SEVERAL_DAYS, SNOW, TMAX, TMIN, Gathered
from fieldplan.weather.ghcn import MISSING, cells_of, in_units, named, same_station, wanted

ATTRIBUTES = "_attributes"
UNITS = ("mm, C", "in, F", "tenths")
"""What the user may say a table is in."""
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "inch": 25.4, "inches": 25.4}
_DEGREES = {"c": "c", "degc": "c", "°c": "c", "f": "f", "degf": "f", "°f": "f"}
_PLAIN: Mapping[str, str] = {
    **dict.fromkeys(("rain", "rainfall", "prcp", "precip", "precipitation", "p"), RAIN),
    **dict.fromkeys(("tmax", "maxt", "tempmax", "maxtemp", "tempmaximum", "highesttemperature"), TMAX),
    **dict.fromkeys(("tmin", "mint", "tempmin", "mintemp", "tempminimum", "lowesttemperature"), TMIN),
    **dict.fromkeys(("snowdepth", "snwd"), SNOW),
    **dict.fromkeys(("soil", "soiltemp", "soiltemperature", "soiltmin", "soilmin"), "SOIL"),
}
_LIKE_GSOD = {"temp", "frshtt"}
_MARKS = ("", "na", "nan", "m", "-", "null")
"""Cells that say that a value is missing."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of values: its element and its unit ("mm", "c", "f", "tenths" …); empty where not known."""

    element: str
    unit: str
    index: int
    flags: int | None = None


def is_summary_of_the_day(header: Sequence[str]) -> bool:
    """Whether a table is the global summary of the day, which has inches and °F under the same first columns."""
    return {named(cell) for cell in header} >= _LIKE_GSOD


def is_archive(header: Sequence[str]) -> bool:
    """Whether a table has the columns of the archive: station, day and elements."""
    names = {named(cell) for cell in header}
    return {"station", "date"} <= names and any(wanted(name.upper()) for name in names)


def is_plain(header: Sequence[str]) -> bool:
    """Whether a table has a day, or year, month and day, and at least one element that is known by name."""
    names = {_split(cell)[0] for cell in header}
    return ("date" in names or {"year", "month", "day"} <= names) and any(name in _PLAIN for name in names)


def split_row(line: str) -> list[str]:
    """The cells of a row: between commas, semicolons, tabs or, where there are none of these, blanks."""
    for sign in (",", ";", "\t"):
        if sign in line:
            return cells_of(line, sign)
    return line.split()


def read_archive(
    header: Sequence[str], rows: Sequence[tuple[int, str]], into: Gathered, station: str, units: str
) -> None:
    """Read a table of the archive: as it keeps them, or as they were ordered in the units that are given.

    Raises
    ------
    InputError
        If the units cannot be known, a row cannot be read, or a station must be chosen.
    """
    names = [named(cell) for cell in header]
    split = [(number, split_row(line)) for number, line in rows]
    columns = [
        Column(name.upper(), "", k, _index(names, f"{name}{ATTRIBUTES}"))
        for k, name in enumerate(names)
        if wanted(name.upper())
    ]
    if not units:
        if not _in_tenths(columns, split):
            raise InputError.of("weather-units", file=into.name, units=UNITS)
        units = "tenths"
        into.layout = "wide"
    columns = [Column(c.element, _unit_of(c.element, units), c.index, c.flags) for c in columns]
    at, of, north = names.index("date"), names.index("station"), _index(names, "latitude")
    for number, cells in split:
        if len(cells) != len(names):
            raise InputError.of("weather-line", file=into.name, line=number)
        if not same_station(into, cells[of].strip(), station):
            continue
        if north is not None and into.lat_deg is None and cells[north].strip():
            into.lat_deg = _number(cells[north], into, number)
        _put_row(columns, cells, _iso(cells[at], into, number), into, number)


def read_plain(header: Sequence[str], rows: Iterable[tuple[int, str]], into: Gathered, units: str) -> None:
    """Read a table with named columns; a unit in a column's name comes before the units that are given.

    Raises
    ------
    InputError
        If a column's unit cannot be known, or a row cannot be read.
    """
    split = [_split(cell) for cell in header]
    names = [name for name, _ in split]
    columns = []
    for k, (name, unit) in enumerate(split):
        element = _PLAIN.get(name)
        if element is None:
            continue
        if not unit and not units:
            raise InputError.of(
                "weather-units/column", file=into.name, column=header[k].strip(), units=UNITS
            )
        columns.append(Column(element, unit or _unit_of(element, units), k))
    twice = next((c.element for c in columns if sum(o.element == c.element for o in columns) > 1), None)
    if twice:
        raise InputError.of("weather-column-twice", file=into.name, element=twice)
    for number, line in rows:
        cells = split_row(line)
        if len(cells) != len(names):
            raise InputError.of("weather-line", file=into.name, line=number)
        _put_row(columns, cells, _on(names, cells, into, number), into, number)


def _put_row(
    columns: Iterable[Column], cells: Sequence[str], day: date, into: Gathered, number: int
) -> None:
    for column in columns:
        text = cells[column.index].strip()
        m, q, time = ("", "", "") if column.flags is None else _flags(cells[column.flags])
        value = None
        if text.casefold() not in _MARKS:
            value = _in_si(_number(text, into, number), column)
        into.put(column.element, day, value, m=m, q=q, time=time)


def _flags(cell: str) -> tuple[str, str, str]:
    """How a value was measured, what check it failed and when it was read, from ",,7,0700"."""
    parts = (*cell.split(","), "", "", "", "")
    return parts[0].strip(), parts[1].strip(), parts[3].strip()


def _in_tenths(columns: Iterable[Column], rows: Iterable[tuple[int, Sequence[str]]]) -> bool:
    """Whether every value is a whole number padded with spaces: how the archive keeps its own tables."""
    cells = [
        row[column.index]
        for _, row in rows
        for column in columns
        if column.index < len(row) and row[column.index]
    ]
    return (
        bool(cells)
        and all(re.fullmatch(r" *-?\d+", cell) for cell in cells)
        and any(cell.startswith(" ") for cell in cells)
    )


def _unit_of(element: str, units: str) -> str:
    if units == "tenths" or element == SEVERAL_DAYS:
        return "tenths"
    rain, degrees = units.split(", ")
    return rain if element in (RAIN, SEVERAL, SNOW) else degrees.casefold()


def _in_si(value: float, column: Column) -> float | None:
    """A value in mm or °C."""
    if column.unit == "tenths":
        return in_units(column.element if column.element != "SOIL" else TMIN, value)
    if value == MISSING:
        return None
    if column.unit in _MM:
        return value * _MM[column.unit]
    return (value - 32) / 1.8 if column.unit == "f" else value


def _split(cell: str) -> tuple[str, str]:
    """A column's name without its unit, and the unit: "Prcp(mm)" and "rain_mm" are both rain in mm."""
    text = cell.strip().casefold()
    if match := re.fullmatch(r"(.*?)\s*[(\[]\s*(.+?)\s*[)\]]", text):
        name, unit = match[1], match[2]
    else:
        name, _, unit = text.replace(" ", "_").rpartition("_")
        if not name or unit not in {**_MM, **_DEGREES}:
            name, unit = text, ""
    return re.sub(r"[\s_.-]", "", name), _DEGREES.get(unit, unit) if unit in {**_MM, **_DEGREES} else ""


def _on(names: Sequence[str], cells: Sequence[str], into: Gathered, number: int) -> date:
    if "date" in names:
        return _iso(cells[names.index("date")], into, number)
    try:
        return date(*(int(float(cells[names.index(part)])) for part in ("year", "month", "day")))
    except ValueError:
        raise InputError.of("weather-date", file=into.name, line=number, given="") from None


def _iso(text: str, into: Gathered, number: int) -> date:
    """A day as YYYY-MM-DD or YYYYMMDD; in any other form day and month could be swapped."""
    text = text.strip()
    match = re.fullmatch(r"(\d{4})-?(\d\d)-?(\d\d)", text)
    try:
        if match is None:
            raise ValueError
        return date(*(int(part) for part in match.groups()))
    except ValueError:
        raise InputError.of("weather-date", file=into.name, line=number, given=text) from None


def _number(text: str, into: Gathered, number: int) -> float:
    if re.fullmatch(r"\s*[+-]?(\d+\.?\d*|\.\d+)\s*", text) is None:
        raise InputError.of("weather-line", file=into.name, line=number)
    return float(text)


def _index(names: Sequence[str], name: str) -> int | None:
    return names.index(name) if name in names else None
