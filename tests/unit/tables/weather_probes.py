"""What is said where figures on weather and sowing decide, table by table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
from unit.tables.edits import Row
from weather_records import plain_csv, record

from fieldplan.errors import InputError, TableError
from fieldplan.jobfile.check import Checker
from fieldplan.jobfile.weather import _level, published_for, states
from fieldplan.model.job import BookingTerms
from fieldplan.model.weather import SoilRule
from fieldplan.model.weather_odds import Level, WeatherTerms
from fieldplan.weather.level import wait_for
from fieldplan.weather.reading import record_of
from fieldplan.weather.rules import drainages, own_rule, rain_rules, soil_rule
from fieldplan.weather.sowing import warm_from
from fieldplan.weather.survey import surveyed_days, surveyed_states
from fieldplan.weather.water_balance import excess_water_cm
from fieldplan.weather.years import Sky, seasons_of
from fieldplan.work.sowing_window import sowing_window_notes
from fieldplan.work.weather_notes import _on_level, _on_rule

START, END = date(2001, 1, 1), date(2004, 12, 31)
Probe = Callable[[], str]


def _said(problem: Callable[[], object]) -> str:
    try:
        return str(problem())
    except TableError:
        raise
    except InputError as error:
        return str(error)


def rain_rules_probe(_row: Row) -> Probe:
    """Every rule as notes tell it, with its name."""
    return lambda: "\n".join(
        f"{name}: {note.text} {note.sources}"
        for name, rule in rain_rules().items()
        for note in [_on_rule(rule)]
    )


def _excess(start_cm: float = 0.3, name: str = "medium") -> str:
    """Excess water from just above the limit until it is dry, then after rain."""
    rain = np.array([0.0] * 12 + [1.0, 0.1, 3.0, 0.0, 0.0, np.nan, 0.0])
    return repr(excess_water_cm(rain, np.full(len(rain), 1.0), drainages()[name], start_cm))


def drainage_probe(row: Row) -> Probe:
    """The balance, its limit and its sources."""

    def probe() -> str:
        if row["drainage"] not in drainages():
            return repr(tuple(drainages()))
        rule = soil_rule(row["drainage"])
        assert isinstance(rule, SoilRule)
        return f"{_excess(name=row['drainage'])} {rule.drainage.limit_cm} {_on_rule(rule).sources}"

    return probe


def evaporation_probe(_row: Row) -> Probe:
    """The balance while the soil dries."""
    return _excess


def days_probe(row: Row) -> Probe:
    """What is published for the state then, the level of the state and of the place, and all that is known."""
    first = date.fromisoformat(f"2027-{row['first']}")
    last = date.fromisoformat(f"2027-{row['last']}")

    def level(place: str) -> object:
        checker = Checker()
        found = _level(place, {"file": "f", "about": "[weather]"}, checker)
        return found or [f"{problem.text} {problem.hint}" for problem in checker.problems]

    def probe() -> str:
        return "\n".join(
            [
                *(
                    _said(lambda on=on: published_for(row["state"], on, stands=True))
                    for on in (first, last)
                ),
                _said(lambda: published_for(row["state"], date(2027, 12, 25), stands=True)),
                str(level(row["state"])),
                str(level(row["place"])),
                str(states()),
            ]
        )

    return probe


def _sowing(species: str, start: date, state: str = "", soil: bool = True) -> str:
    """The notes on a species for a record whose soil warms through spring."""
    n_days = (END - START).days + 1
    day_of_year = np.arange(n_days) % 365
    soil_c = 12 - 20 * np.cos(2 * np.pi * (day_of_year - 15) / 365)
    made = record(
        np.zeros(n_days),
        START,
        tmax_c=soil_c + 3,
        tmin_c=soil_c - 3,
        soil_c=soil_c if soil else np.full(n_days, np.nan),
    )
    terms = BookingTerms(
        day_s=28_800,
        fieldwork_day_prob=None,
        confidence_prob=0.8,
        start=start,
        weather=WeatherTerms(record=made, rules=(own_rule("none on a day with over 1 mm"),)),
        state=state,
    )
    mix: Any = SimpleNamespace(components=[SimpleNamespace(species=species)])
    return "\n".join(f"{note.text} {note.sources}" for note in sowing_window_notes(terms, [mix]))


def soil_probe(row: Row) -> Probe:
    """Soil and air, early in spring."""
    return lambda: _sowing(row["species"], date(2027, 4, 10))


def frost_probe(row: Row) -> Probe:
    """Late in summer."""
    return lambda: _sowing(row["species"], date(2027, 8, 25))


def window_probe(row: Row) -> Probe:
    """The windows of the state."""
    return lambda: _sowing(row["species"], date(2027, 5, 10), row["state"])


def weeks_probe(row: Row) -> Probe:
    """The days of the week, and of the week before the one that it may be moved to."""
    end = date.fromisoformat(row["week_ending"])

    def probe() -> str:
        found = surveyed_days(row["state"], end - timedelta(days=6), 7)
        return repr((found.get(end.year), sorted(surveyed_states())))

    return probe


def _refused(rain: float, high: float = 20, low: float = 10, n_crossed: int = 0) -> Probe:
    """Whether a record with such days is refused."""

    def probe() -> str:
        def weather(day: date) -> tuple[float, float, float]:
            crossed = (day - START).days < n_crossed
            of_rain = rain if day == START else min(rain, 1.0) / 100
            return (of_rain, low, high) if crossed else (of_rain, high, low)

        return _said(lambda: record_of(plain_csv(START, END, weather), "r").n_days)

    return probe


def _often(rain: float) -> Probe:
    """Whether a record with so much rain every day is refused."""
    return lambda: _said(lambda: record_of(plain_csv(START, END, lambda _: (rain, 20, 10)), "r").n_days)


def _each(*probes: Probe) -> Probe:
    return lambda: "\n".join(probe() for probe in probes)


def _season(n_missing: int) -> Probe:
    """Whether a season of a hundred days with some missing is used."""

    def probe() -> str:
        known = np.arange(400) >= n_missing
        sky = Sky(first=START, fit=known, known=known)
        return repr(seasons_of(sky, START, 100).used)

    return probe


def _level_of(days: float) -> Probe:
    def probe() -> str:
        made = record_of(plain_csv(START, END), "r")
        level = Level(place="x", first=(4, 1), last=(6, 15), days=45, source="practice")
        waits, alone, waited = wait_for(made, rain_rules()["rain"], level, 44.0, None)
        counted: Any = SimpleNamespace(level_days=(alone, waited), waits=waits)
        terms = WeatherTerms(record=made, rules=(), level=replace(level, days=waited * days))
        return f"{waits} {_on_level(terms, counted).code}"

    return probe


def _persistence() -> str:
    from unit.tables.probes import state_job

    job = state_job()
    return repr([job.booking.persistence_frac, *(f"{note.text}" for note in job.notes)])


def _waits() -> str:
    rain = np.tile([0.0] * 8 + [6.9, 0.0], 150)
    level = Level(place="x", first=(4, 1), last=(6, 15), days=40, source="practice")
    return repr(wait_for(record(rain), own_rule("none on a day with over 2.5 mm"), level, None, None))


def _warm(*, soil: bool) -> Probe:
    def probe() -> str:
        n_days = (END - START).days + 1
        course = np.where(np.arange(n_days) % 365 >= 100, 20.0, 0.0)
        none = np.full(n_days, np.nan)
        made = record(
            np.zeros(n_days), START, tmax_c=course + 1, tmin_c=course - 1, soil_c=course if soil else none
        )
        return repr(warm_from(made, 10.0, date(2027, 4, 10), 0.8))

    return probe


WEATHER: Mapping[str, Probe] = {
    "driest excess water": _excess,
    "wet top": lambda: _excess(0.55),
    "excess water at the start": _excess,
    "days known of a season": _each(_season(5), _season(1), _season(40)),
    "most rain of a day": _each(_refused(690), _refused(750), _refused(800)),
    "most rain, mean": _each(_often(28), _often(34), _often(40)),
    "least wettest day": _each(_refused(9), _refused(11), _refused(12)),
    "least rain, mean": _each(_often(0.29), _often(0.32), _often(0.35)),
    "days that show the units": _each(
        *(
            (
                lambda n=n: _said(
                    lambda: (
                        record_of(
                            plain_csv(
                                START, date.fromordinal(START.toordinal() + n), lambda _: (0.1, 20, 10)
                            ),
                            "r",
                        ).n_days
                    )
                )
            )
            for n in (900, 1100, 1300)
        )
    ),
    "coldest air": _each(_refused(12, 20, -65), _refused(12, 20, -75), _refused(12, 20, -85)),
    "hottest air": _each(_refused(12, 58), _refused(12, 65), _refused(12, 70)),
    "crossed days": _each(*(_refused(12, n_crossed=n) for n in (50, 80, 100))),
    "rain that one waits after": _waits,
    "persistence of a survey": _persistence,
    "days off a survey": _each(_level_of(1.045), _level_of(1.06), _level_of(1.1)),
    "days that the soil stays warm": _warm(soil=True),
    "days of a mean of the air": _warm(soil=False),
}
