"""Days in a job file: dates, days off, and the chance that a day is fit."""

from __future__ import annotations

import re
from datetime import date, datetime

from fieldplan.errors import InputError, QuantityError
from fieldplan.jobfile.values import short
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables
from fieldplan.units import number_in, parse_quantity

EARLIEST_YEAR, LATEST_YEAR = 2000, 2100
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def day(value: object) -> date:
    """A date, in quotes or not."""
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


def _month_alone(value: object) -> str:
    """The first day of a month that is given with its year and no day; empty if it is not."""
    if not isinstance(value, str) or not (
        match := re.fullmatch(r"\s*([A-Za-z]{3,9})\.?,?\s+(20\d\d)\s*", value)
    ):
        return ""
    word = match[1].casefold()[:3]
    return f"{match[2]}-{_MONTHS.index(word) + 1:02}-01" if word in _MONTHS else ""


def day_meant(value: object) -> date | None:
    """The day that a text in another form of date most likely means, month before day where that is
    open.
    """
    if isinstance(value, int) and re.fullmatch(r"20\d{6}", str(value)):
        value = f"{str(value)[:4]}-{str(value)[4:6]}-{str(value)[6:]}"
    if not isinstance(value, str):
        return None
    words = [one.casefold() for one in re.findall(r"[A-Za-z]+|\d+", value)]
    if any(
        word.isalpha()
        and word[:3] not in (*_MONTHS, *(day[:3] for day in _WEEKDAYS))
        and word not in ("st", "nd", "rd", "th", "of")
        for word in words
    ):
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
    first, second = (month, rest[0]) if month else (rest[1], rest[0]) if day_first else (rest[0], rest[1])
    try:
        return date(year, first, second)
    except ValueError:
        return None


_DAYS_OFF = '["Sunday", 2027-05-31]'
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def days_off(value: object) -> tuple[frozenset[int], frozenset[date]]:
    """Weekdays and dates on which no work is done."""
    if isinstance(value, str | date):
        raise InputError.of("not-days/one", given=short(value), right=f"[{short(value)}]")
    if not isinstance(value, list):
        raise InputError.of("not-days", given=short(value), example=_DAYS_OFF)
    weekdays, dates = set(), set()
    for one in value:
        if isinstance(one, str) and one.strip().casefold().rstrip("s") in _WEEKDAYS:
            weekdays.add(_WEEKDAYS.index(one.strip().casefold().rstrip("s")))
        elif isinstance(one, date) or (isinstance(one, str) and re.match(r"\d{4}-", one.strip())):
            dates.add(day(one))
        elif meant_day := day_meant(one):
            raise InputError.of("not-days/form", given=short(one), meant=meant_day.isoformat())
        elif isinstance(one, str) and (near := nearest(one, _WEEKDAYS)):
            raise InputError.of("not-days/slip", given=short(one), near=near.capitalize())
        else:
            weekend = isinstance(one, str) and one.strip().casefold().startswith("weekend")
            raise InputError.of(
                "not-days/no-day",
                given=short(one),
                example='["Saturday", "Sunday"]' if weekend else _DAYS_OFF,
            )
    return frozenset(weekdays), frozenset(dates)


def fieldwork_day_chance(value: object) -> tuple[float, str]:
    """The chance that a day is fit, and the key of its source if it names a published table instead of
    giving one.
    """
    known = {row["place"].casefold(): row for row in tables.rows("fieldwork_days")}
    if isinstance(value, str) and value.strip().casefold() in known:
        row = known[value.strip().casefold()]
        return float(row["share"]) / 100, row["source"]
    try:
        return parse_quantity(value, "share"), ""
    except QuantityError:
        places = [row["place"] for row in tables.rows("fieldwork_days")]
        named = isinstance(value, str) and number_in(value) is None and value.strip()
        heads = [place for place in places if named and value.strip().casefold() in place.casefold()]  # type: ignore[attr-defined]
        near = heads[0] if heads else nearest(str(value), places, 0.5) if named else None
        usual = float(tables.needed_band("booking.fieldwork_day_chance").example)
        chance = number_in(value) or usual
        percent = usual if not 0 < chance <= 100 else chance * 100 if chance < 1 else chance
        raise InputError.of(
            "not-a-chance",
            given=short(value),
            near=near or "",
            chance=f"{percent:.10g} %",
            places=tuple(places),
        ) from None
