"""The layouts of the GHCN-Daily archive: fixed columns (.dly), and one value a row.

Layouts, elements, units and flags after the archive's own readme files (version 3; data doi
10.7289/V5D21VHZ). Values are whole tenths of mm and °C, depths of snow whole mm.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from datetime import date

from fieldplan.errors import InputError
from fieldplan.weather.gathered import RAIN, SEVERAL, SEVERAL_DAYS, SNOW, TMAX, TMIN, Gathered, is_soil

_TENTHS = frozenset({RAIN, SEVERAL, TMAX, TMIN})
ELEMENTS = _TENTHS | {SEVERAL_DAYS, SNOW}
MISSING = -9999
_DLY = re.compile(
    r"(?P<station>[A-Z0-9_-]{11})(?P<year>\d{4})(?P<month>0[1-9]|1[0-2])(?P<element>[A-Z0-9]{4})(?=[ -]*\d)"
)
_LONG_HEADERS = ("id", "date", "element")
_LONG_VALUES = ("data_value", "value")
_N_CELLS, _CELL, _CELLS_FROM = 31, 8, 21


def is_dly(line: str) -> bool:
    """Whether a line is of the layout with fixed columns."""
    return "," not in line and _DLY.match(line) is not None


def is_long(cells: Sequence[str]) -> bool:
    """Whether the first row is of the layout with one value a row, with or without a header."""
    names = [named(cell) for cell in cells]
    if tuple(names[:3]) == _LONG_HEADERS and len(names) > 3 and names[3] in _LONG_VALUES:
        return True
    return (
        len(cells) >= 4
        and re.fullmatch(r"[A-Z0-9_-]{11}", cells[0].strip()) is not None
        and re.fullmatch(r"\d{8}", cells[1].strip()) is not None
        and re.fullmatch(r"[A-Z0-9]{4}", cells[2].strip()) is not None
    )


def named(cell: str) -> str:
    """A column's name in any of the spellings in use: "Q-FLAG" and "q_flag" are the same."""
    return cell.strip().casefold().replace("-", "_")


def cells_of(line: str, sign: str = ",") -> list[str]:
    """The cells of a row; the row as one cell, if it cannot be divided."""
    try:
        return next(csv.reader([line], delimiter=sign))
    except csv.Error:
        return [line]


def wanted(element: str) -> bool:
    """Whether an element has a part in telling fieldwork days or sowing windows."""
    return element in ELEMENTS or is_soil(element)


def in_units(element: str, value: float) -> float | None:
    """A whole number of the archive in mm, °C or days; ``None`` if it stands for a missing value."""
    if value == MISSING:
        return None
    return value / 10 if element in _TENTHS or is_soil(element) else value


def read_dly(lines: Iterable[tuple[int, str]], into: Gathered, station: str) -> None:
    """Read the layout with fixed columns: a line for each month and element, 31 values with three flags.

    Raises
    ------
    InputError
        If a line is of another layout, or there are several stations and none was chosen.
    """
    for number, line in lines:
        found = _DLY.match(line)
        if found is None:
            raise InputError.of("weather-line", file=into.name, line=number)
        if not same_station(into, found["station"], station) or not wanted(found["element"]):
            continue
        padded = line.ljust(_CELLS_FROM + _N_CELLS * _CELL)
        for k in range(_N_CELLS):
            cell = padded[_CELLS_FROM + k * _CELL : _CELLS_FROM + (k + 1) * _CELL]
            value = _value(cell[:5], into, number)
            try:
                day = date(int(found["year"]), int(found["month"]), k + 1)
            except ValueError:
                if value not in (None, MISSING):
                    raise InputError.of("weather-line", file=into.name, line=number) from None
                continue  # past the end of the month
            into.put(
                found["element"],
                day,
                None if value is None else in_units(found["element"], value),
                m=cell[5],
                q=cell[6],
            )


def read_long(lines: Iterable[tuple[int, str]], into: Gathered, station: str) -> None:
    """Read the layout with one value a row: station, day, element, value, three flags, time of reading.

    Raises
    ------
    InputError
        As `read_dly`.
    """
    for number, line in lines:
        cells = cells_of(line)
        if named(cells[0]) == "id":
            continue
        if not is_long(cells):
            raise InputError.of("weather-line", file=into.name, line=number)
        own, on, element, value, m, q, _, time = (*(cell.strip() for cell in cells), *[""] * 8)[:8]
        if not same_station(into, own, station) or not wanted(element):
            continue
        number_read = _value(value, into, number)
        into.put(
            element,
            _day(on, into, number),
            None if number_read is None else in_units(element, number_read),
            m=m,
            q=q,
            time=time,
        )


def same_station(into: Gathered, own: str, asked: str) -> bool:
    """Whether a row is of the station to read.

    Raises
    ------
    InputError
        If there are several stations and none was chosen.
    """
    if asked:
        into.station = asked
        return own == asked
    if not into.station:
        into.station = own
    if own != into.station:
        raise InputError.of("weather-stations", file=into.name, station=into.station, other=own)
    return True


def _day(text: str, into: Gathered, number: int) -> date:
    try:
        return date(int(text[:4]), int(text[4:6]), int(text[6:]))
    except ValueError:
        raise InputError.of("weather-line", file=into.name, line=number) from None


def _value(text: str, into: Gathered, number: int) -> float | None:
    if not text.strip():
        return None
    if re.fullmatch(r"\s*-?\d+\s*", text) is None:
        raise InputError.of("weather-line", file=into.name, line=number)
    return float(text)
