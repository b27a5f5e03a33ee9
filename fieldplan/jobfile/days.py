"""Days in a job file: dates, days off and the chance of a fieldwork day."""

from __future__ import annotations

import re
from datetime import date, datetime

from fieldplan.errors import InputError, QuantityError
from fieldplan.jobfile.values import short
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables
from fieldplan.tables.bands import needed_band
from fieldplan.typed_number import number_in
from fieldplan.typed_quantity import parse_quantity

EARLIEST_YEAR, LATEST_YEAR = 2000, 2100
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def day(value: object) -> date:
    """Return a date of a job file, which may be in quotes.

    Raises
    ------
    InputError
        If it is not a date, or before `EARLIEST_YEAR` or after `LATEST_YEAR`.

    Examples
    --------
    >>> day("2027-05-10")
    datetime.date(2027, 5, 10)
    """
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value.strip()):
        try:
            value = date.fromisoformat(value.strip())
        except ValueError:
            raise InputError.of("not-a-date/no-such-day", given=short(value)) from None
    if isinstance(value, date) and EARLIEST_YEAR <= value.year <= LATEST_YEAR:
        return value
    if first := _month_alone(value):
        raise InputError.of("not-a-date/month", given=short(value), first=first)
    meant = day_meant(value)
    raise InputError.of(
        "not-a-date/meant" if meant else "not-a-date",
        given=short(value),
        right=meant.isoformat() if meant else "",
        first_year=str(EARLIEST_YEAR),
        last_year=str(LATEST_YEAR),
    )


def test_month(value: object) -> date:
    """Return the date of a seed test: a day or, as tags have it, a month; that is its first day.

    Raises
    ------
    InputError
        As `day`.

    Examples
    --------
    >>> test_month("2026-05"), test_month("May 2026")
    (datetime.date(2026, 5, 1), datetime.date(2026, 5, 1))
    """
    if isinstance(value, str) and re.fullmatch(r"\s*20\d\d-(0[1-9]|1[0-2])\s*", value):
        return day(f"{value.strip()}-01")
    return day(_month_alone(value) or value)


def _month_alone(value: object) -> str:
    """Return the first day of a month given as "May 2027"; empty if the value is anything else."""
    if not isinstance(value, str) or not (
        match := re.fullmatch(r"\s*([A-Za-z]{3,9})\.?,?\s+(20\d\d)\s*", value)
    ):
        return ""
    word = match[1].casefold()[:3]
    return f"{match[2]}-{_MONTHS.index(word) + 1:02}-01" if word in _MONTHS else ""


def day_meant(value: object) -> date | None:
    """Return the day that a date in another form most likely means; ``None`` if it is no such date.

    Where day and month could be swapped, the month is taken to come first, as in the US, unless periods
    separate them.

    Examples
    --------
    >>> day_meant("5/10/2027"), day_meant("10.5.2027"), day_meant("soon")
    (datetime.date(2027, 5, 10), datetime.date(2027, 5, 10), None)
    """
    if isinstance(value, int) and re.fullmatch(r"20\d{6}", str(value)):
        value = f"{str(value)[:4]}-{str(value)[4:6]}-{str(value)[6:]}"
    if not isinstance(value, str):
        return None
    words = [word.casefold() for word in re.findall(r"[A-Za-z]+|\d+", value)]
    if not all(word.isdigit() or word[:3] in _DATE_WORDS or word in _SMALL_WORDS for word in words):
        return None
    numbers = [int(word) for word in words if word.isdigit()]
    month = next((_MONTHS.index(word[:3]) + 1 for word in words if word[:3] in _MONTHS), None)
    year = next((number for number in numbers if EARLIEST_YEAR <= number <= LATEST_YEAR), None)
    rest = [number for number in numbers if number != year]
    if year is None and len(rest) == 3 and rest[2] < 100:
        year, rest = 2000 + rest[2], rest[:2]
    if year is None or len(rest) != (2 if month is None else 1):
        return None
    day_first = rest[0] > 12 or bool(re.fullmatch(r"\s*\d{1,2}\.\d{1,2}\.\d{2,4}\s*", value))
    if month is not None:
        (day_of_month,) = rest
    elif day_first:
        day_of_month, month = rest
    else:
        month, day_of_month = rest
    try:
        return date(year, month, day_of_month)
    except ValueError:
        return None


_DAYS_OFF = '["Sunday", 2027-05-31]'
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_DATE_WORDS = (*_MONTHS, *(weekday[:3] for weekday in _WEEKDAYS))
_SMALL_WORDS = ("st", "nd", "rd", "th", "of")


def days_off(value: object) -> tuple[frozenset[int], frozenset[date]]:
    """Return the weekdays and dates on which no work is done.

    Parameters
    ----------
    value
        A list of names of weekdays and dates, such as ``["Sunday", "2027-05-31"]``.

    Returns
    -------
    tuple of frozenset of int and frozenset of date
        Weekdays, with Monday as 0, and dates.

    Raises
    ------
    InputError
        If it is no list, or holds something else.
    """
    if isinstance(value, str | date):
        raise InputError.of("not-days/one", given=short(value), right=f"[{short(value)}]")
    if not isinstance(value, list):
        raise InputError.of("not-days", given=short(value), example=_DAYS_OFF)
    weekdays, dates = set(), set()
    for entry in value:
        if isinstance(entry, str) and _weekday(entry) in _WEEKDAYS:
            weekdays.add(_WEEKDAYS.index(_weekday(entry)))
        elif isinstance(entry, date) or (isinstance(entry, str) and re.match(r"\d{4}-", entry.strip())):
            dates.add(day(entry))
        else:
            raise _not_a_day_off(entry)
    return frozenset(weekdays), frozenset(dates)


def _weekday(text: str) -> str:
    return text.strip().casefold().rstrip("s")


def _not_a_day_off(entry: object) -> InputError:
    if meant := day_meant(entry):
        return InputError.of("not-days/form", given=short(entry), meant=meant.isoformat())
    if isinstance(entry, str) and (near := nearest(entry, _WEEKDAYS)):
        return InputError.of("not-days/slip", given=short(entry), near=near.capitalize())
    weekend = isinstance(entry, str) and _weekday(entry).startswith("weekend")
    example = '["Saturday", "Sunday"]' if weekend else _DAYS_OFF
    return InputError.of("not-days/no-day", given=short(entry), example=example)


def fieldwork_day_chance(value: object) -> tuple[float, str]:
    """Return the chance of a fieldwork day, and the key of its source if it was taken from a table.

    Parameters
    ----------
    value
        A percentage such as ``"55 %"``, or a place of ``fieldwork_days.csv``.

    Returns
    -------
    tuple of float and str
        The chance, 0 to 1, and the key of the source; empty if the user gave the chance.

    Raises
    ------
    InputError
        If it is neither.
    """
    published = {row["place"].casefold(): row for row in tables.rows("fieldwork_days")}
    if isinstance(value, str) and value.strip().casefold() in published:
        row = published[value.strip().casefold()]
        return float(row["share"]) / 100, row["source"]
    try:
        return parse_quantity(value, "share"), ""
    except QuantityError:
        raise _not_a_chance(value) from None


def _not_a_chance(value: object) -> InputError:
    places = [row["place"] for row in tables.rows("fieldwork_days")]
    name = value.strip().casefold() if isinstance(value, str) and number_in(value) is None else ""
    matching = [place for place in places if name and name in place.casefold()]
    one_a_state = {row["state"]: row["place"] for row in reversed(tables.rows("fieldwork_days"))}
    near = matching[0] if matching else nearest(str(value), places, 0.5) if name else None
    usual = float(needed_band("booking.fieldwork_day_chance").example)
    chance = number_in(value) or usual
    percent = usual if not 0 < chance <= 100 else chance * 100 if chance < 1 else chance
    return InputError.of(
        "not-a-chance",
        given=short(value),
        near=near or "",
        chance=f"{percent:.10g} %",
        places=tuple(matching or reversed(one_a_state.values())),
    )
