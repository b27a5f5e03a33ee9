"""Fieldwork days that a weekly survey of a state reports, summed over the same days of each year.

A week ends on the day that it is listed under; each of its seven days has a seventh of its days. A year with
a week missing is left out, never filled. Weekly quantiles must not be added: a bad week in every week of a
season is no bad season. A state's average is steadier than one field.
"""

from __future__ import annotations

from datetime import date, timedelta

from fieldplan.tables import read as tables
from fieldplan.weather.years import same_day


def surveyed_states() -> tuple[str, ...]:
    """The states with a weekly series."""
    return tuple(dict.fromkeys(row["state"] for row in tables.rows("survey_weeks")))


def surveyed_days(state: str, start: date, n_days: int) -> dict[int, float]:
    """Fieldwork days of the same days in each year that was surveyed on all of them, by year.

    Parameters
    ----------
    start
        Month and day of the first day; its year does not count.
    """
    a_day: dict[date, float] = {}
    name = state.strip().casefold()
    for row in tables.rows("survey_weeks"):
        if row["state"].casefold() == name:
            end = date.fromisoformat(row["week_ending"])
            for back in range(7):
                a_day[end - timedelta(days=back)] = float(row["days"]) / 7
    found = {}
    for year in sorted({day.year for day in a_day}):
        first = same_day(start, year)
        each = [a_day.get(first + timedelta(days=k)) for k in range(n_days)]
        if None not in each:
            found[year] = sum(days for days in each if days is not None)
    return found
