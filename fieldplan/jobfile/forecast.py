"""A forecast as a person types it: "wet until Thursday, dry until 2027-05-24"."""

from __future__ import annotations

import re
from datetime import date, timedelta

from fieldplan.errors import InputError
from fieldplan.jobfile.days import day
from fieldplan.jobfile.values import short
from fieldplan.model.job import Spell

FORECAST_EXAMPLE = "wet until Thursday, dry until Sunday"
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SPELL = re.compile(r"(wet|dry)\s+(?:until|to|through|till)\s+(\S+)", re.IGNORECASE)
_LONGEST_DAYS = 30


def spells(text: str, today: date) -> tuple[Spell, ...]:
    """The spells of a forecast, from today on, each to the day that it names, that day included.

    Parameters
    ----------
    text
        Spells between commas, each "wet until" or "dry until" a weekday or a date; a weekday is the next one
        after the spell before.

    Raises
    ------
    InputError
        If it reads otherwise, or a spell ends before it begins or over a month ahead.

    Examples
    --------
    >>> [(spell.until.isoformat(), spell.fit) for spell in spells("wet until Thursday", date(2027, 5, 18))]
    [('2027-05-20', False)]
    """
    found: list[Spell] = []
    for part in (part.strip() for part in text.split(",")):
        match = _SPELL.fullmatch(part)
        if match is None:
            raise InputError.of("not-a-forecast", given=short(text), example=FORECAST_EXAMPLE)
        begins = found[-1].until + timedelta(days=1) if found else today
        until = _until(match[2], begins)
        if until is None:
            raise InputError.of("not-a-forecast", given=short(text), example=FORECAST_EXAMPLE)
        if not begins <= until <= today + timedelta(days=_LONGEST_DAYS):
            raise InputError.of("not-a-forecast/order", given=short(part), begins=begins.isoformat())
        found.append(Spell(until=until, fit=match[1].casefold() == "dry"))
    return tuple(found)


def _until(text: str, begins: date) -> date | None:
    weekday = next(
        (k for k, name in enumerate(_WEEKDAYS) if len(text) >= 3 and name.startswith(text.casefold())), None
    )
    if weekday is not None:
        return begins + timedelta(days=(weekday - begins.weekday()) % 7)
    try:
        return day(text)
    except InputError:
        return None
