"""The weather record that a job or season file names, with the rules that tell fieldwork days in it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from fieldplan.errors import InputError, Where, problem
from fieldplan.facts import fact
from fieldplan.files import Purpose, text_of
from fieldplan.jobfile.check import Checker, Table
from fieldplan.model.job import Published
from fieldplan.model.spelling import SLIP, nearest
from fieldplan.model.weather import Rule
from fieldplan.model.weather_odds import Level, WeatherTerms
from fieldplan.tables import read as tables
from fieldplan.weather.reading import Reading, record_of
from fieldplan.weather.rules import SOIL_WATER, drainages, rain_rules, soil_rule

_record_of = lru_cache(maxsize=2)(record_of)
"""A record is read once, however often the job beside it is looked at while it is typed."""
RECORD_FILE = Purpose(what=fact("called/weather"), code="weather", max_bytes=64_000_000)


def weather_of(
    named: str | None, beside: Path, table: Table | None, path: Path, checker: Checker
) -> WeatherTerms | None:
    """The record that ``weather`` names, read as the table ``[weather]`` says; ``None`` if there is none.

    Parameters
    ----------
    named
        The file's name, if one is given.
    beside
        The folder that it is looked for in.
    table
        The table ``[weather]`` as read from the file at ``path``, if it has one.
    checker
        Takes the problems, and the defaults used.
    """
    if named is None:
        if table is not None:
            checker.problem("weather-table-alone", file=str(path), about="[weather]")
        return None
    before = len(checker.problems)
    v = checker.values("weather", table or {}, path, "weather")
    where: Where = {"file": str(path), "about": "[weather]"}
    rules = _rules(v, where, checker)
    level = _level(v["survey"], where, checker) if "survey" in v else None
    if len(checker.problems) > before:
        return None
    file = beside / named
    reading = Reading(
        units=v.get("units", ""),
        station=v.get("station", ""),
        presumed_zero=v["presumed_zero"] == "none",
        day_before=v["rain_day"] == "day before",
    )
    try:
        record = _record_of(text_of(file, RECORD_FILE), str(file), reading)
    except InputError as error:
        checker.problems += error.problems
        return None
    if any(rule.name == SOIL_WATER for rule in rules) and not record.has_temperatures:
        checker.problem("weather-no-temperatures", file=record.name)
        return None
    return WeatherTerms(record=record, rules=rules, years=v.get("years"), level=level)


def _rules(v: Mapping[str, Any], where: Where, checker: Checker) -> tuple[Rule, ...]:
    """The rule that the user chose, or those that can be used; the soil is the user's to say."""
    drainage = v.get("drainage")
    if drainage is not None and drainage not in drainages():
        known = tuple(drainages())
        near = nearest(drainage, known) or ""
        checker.problems.append(
            problem("not-a-drainage", key="drainage", given=drainage, near=near, known=known, **where)
        )
        return ()
    chosen = v.get("rule")
    if chosen == SOIL_WATER and drainage is None:
        checker.problems.append(
            problem("drainage-missing", key="drainage", known=tuple(drainages()), **where)
        )
        return ()
    by_soil = () if drainage is None else (soil_rule(drainage),)
    if chosen is None:
        return (*rain_rules().values(), *by_soil)
    return by_soil if chosen == SOIL_WATER else (chosen,)


def _level(place: str, where: Where, checker: Checker) -> Level | None:
    """The survey's days for a place of the table or, for a state, of its longest part of the year."""
    name = place.strip().casefold()
    rows = [row for row in tables.rows("fieldwork_days") if row["place"].casefold() == name]
    rows = rows or [
        row for row in tables.rows("fieldwork_days") if row["state"].casefold() == name and _of_state(row)
    ]
    if not rows:
        places = [row["place"] for row in tables.rows("fieldwork_days")]
        near = nearest(place, [*states(), *places], 0.5) or ""
        checker.problems.append(
            problem("not-surveyed", key="survey", given=place, near=near, known=states(), **where)
        )
        return None
    levels = [_as_level(row) for row in rows]
    return max(levels, key=lambda level: level.n_days())


def _as_level(row: Mapping[str, str]) -> Level:
    first, last = (tuple(int(part) for part in row[key].split("-")) for key in ("first", "last"))
    whole = Level(
        place=row["place"],
        first=(first[0], first[1]),
        last=(last[0], last[1]),
        days=0,
        source=row["source"],
    )
    share = float(row["share"]) / 100
    return Level(
        place=whole.place,
        first=whole.first,
        last=whole.last,
        days=share * whole.n_days(),
        source=whole.source,
    )


def _of_state(row: Mapping[str, str]) -> bool:
    """Whether a row is of a whole state: its place then begins with that, and not with a part of it."""
    return row["place"].startswith(f"{row['state']},")


def states() -> tuple[str, ...]:
    """The states that the table of surveys has."""
    return tuple(dict.fromkeys(row["state"] for row in tables.rows("fieldwork_days")))


def known_states() -> tuple[str, ...]:
    """The states that any table has figures of."""
    return tuple(dict.fromkeys([*states(), *(row["state"] for row in tables.rows("sowing_windows"))]))


def is_known(state: str) -> bool:
    """Whether any table has figures of a state."""
    return state.strip().casefold() in [known.casefold() for known in known_states()]


def published_for(state: str, start: date | None, *, stands: bool) -> Published | None:
    """What a survey reports for a state at the time of the start.

    Of several that hold the start that of the whole state is taken, and of these the one for the fewest days.

    Parameters
    ----------
    stands
        Whether the odds are to stand on it.

    Returns
    -------
    Published or None
        ``None`` if there is no such figure and the odds need none.

    Raises
    ------
    InputError
        If the odds need the figure and the table does not have the state, or not that part of the year, or
        there is no start.
    """
    name = state.strip().casefold()
    if not is_known(state) and stands:
        near = nearest(state, states(), SLIP) or ""
        raise InputError.of("state-unknown", key="state", given=state, near=near, known=states())
    if start is None:
        if stands:
            raise InputError.of("start-missing/state", key="state")
        return None
    rows = [row for row in tables.rows("fieldwork_days") if row["state"].casefold() == name]
    fitting = [row for row in rows if row["first"] <= start.strftime("%m-%d") <= row["last"]]
    if not fitting:
        if not stands:
            return None
        if not rows:
            raise InputError.of("state-unknown", key="state", given=state, near="", known=states())
        raise InputError.of(
            "state-not-then",
            key="state",
            given=state,
            start=start.isoformat(),
            known=tuple(row["place"] for row in rows),
        )
    row = min(fitting, key=lambda row: (not _of_state(row), _as_level(row).n_days()))
    return Published(
        place=row["place"], prob=float(row["share"]) / 100, source=row["source"], stands=stands
    )
