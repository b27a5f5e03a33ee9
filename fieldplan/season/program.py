"""Reading a season's TOML file: the season, its rules and its drills, all checked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from fieldplan.errors import InputError, JobFileError, problem
from fieldplan.files import Purpose, is_there
from fieldplan.jobfile.check import Checker, Table, made
from fieldplan.jobfile.load import load_job, read_toml
from fieldplan.jobfile.rate_card import CARD_FILE, load_rate_card
from fieldplan.jobfile.weather import weather_of
from fieldplan.model.rental_program import RentalProgram, SeasonDrill, SeasonTerms
from fieldplan.model.weather_odds import WeatherTerms
from fieldplan.season.priorities import rule_of
from fieldplan.season.roads import Distances, read_distances
from fieldplan.season.sky import on_record, sky_notes

TABLES = ("season", "drill", "weather")
SEASON_FILE = Purpose(what="season file", code="season", max_bytes=1_000_000, error=JobFileError)


def load_program(path: Path) -> RentalProgram:
    """Read a season's file and the job files, rate card and distances that it names.

    Raises
    ------
    JobFileError
        With every problem found in any of them.
    """
    return program_of(read_toml(path, SEASON_FILE), path)


def program_of(document: Table, path: Path) -> RentalProgram:
    """The program of a season's tables; files that they name are looked for beside ``path``.

    Raises
    ------
    JobFileError
        With every problem found in any of them.
    """
    checker = Checker()
    given = dict(document)
    for key in document:
        if key not in TABLES and (meant := checker.unknown(key, TABLES, "season file", file=str(path))):
            given.setdefault(meant, document[key])
    terms, requests, card, distances, record = _terms(given.get("season"), path, checker)
    weather = _weather(record, given.get("weather"), path, checker)
    drills = _drills(given.get("drill"), path, checker)
    if terms is not None:
        drills = _under_one_sky(drills, weather, terms, path, checker)
    names = [drill.name for drill in drills]
    for twice in sorted({name for name in names if names.count(name) > 1}):
        checker.problems.append(problem("drill-twice", file=str(path), drill=twice))
    if checker.problems or terms is None:
        raise JobFileError(tuple(checker.problems))
    return RentalProgram(
        path=path,
        terms=terms,
        drills=tuple(drills),
        requests_path=requests,
        card_path=card,
        distances=distances,
        earlier=tuple(path.parent / named for named in document["season"].get("earlier", ())),
        templates=path.parent / document["season"]["templates"]
        if "templates" in document["season"]
        else None,
        notes=(*checker.notes, *sky_notes(drills, terms)),
    )


def _terms(
    given: object, path: Path, checker: Checker
) -> tuple[SeasonTerms | None, Path, Path | None, Distances, str | None]:
    if not isinstance(given, dict):
        checker.problems.append(problem("table-missing/season", file=str(path)))
        return None, path, None, {}, None
    n_problems = len(checker.problems)
    values = checker.values("season", given, path, "season")
    if len(checker.problems) > n_problems:
        return None, path, None, {}, None
    rules = tuple(rule_of(text) for text in values["serve_first"])
    terms = made(
        checker,
        {"file": str(path), "about": "[season]"},
        lambda: SeasonTerms(
            name=values.get("name", path.stem),
            opens=values["opens"],
            closes=values["closes"],
            confidence_prob=values["confidence"],
            longest_days=values["longest_booking"],
            notice_days=values["notice"],
            inspection_s=values["inspection"],
            rules=rules,
            letterhead=values.get("letterhead", ()),
            share_days=values["share_days"],
            season_id=values.get("id", ""),
            early_by_rules=values.get("early_by_rules", False),
            before_out=values.get("before_out", ()),
        ),
    )
    card = path.parent / values["rate_card"] if "rate_card" in values else None
    try:
        if card and not is_there(card, CARD_FILE):
            checker.problems.append(
                problem(
                    "card-not-found/named",
                    file=str(path),
                    about="[season]",
                    key="rate_card",
                    card=str(card),
                )
            )
        elif card:
            load_rate_card(card)
    except InputError as error:
        checker.problems += error.problems
    distances: Distances = {}
    if "distances" in values:
        try:
            distances = read_distances(path.parent / values["distances"])
        except InputError as error:
            checker.problems += error.problems
    return terms, path.parent / values["requests"], card, distances, values.get("weather")


def _weather(record: str | None, given: object, path: Path, checker: Checker) -> WeatherTerms | None:
    """The record of the season's file, read as its table ``[weather]`` says."""
    if given is not None and not isinstance(given, dict):
        checker.problem("not-a-table", key="weather", file=str(path))
        return None
    return weather_of(record, path.parent, given, path, checker)


def _under_one_sky(
    drills: list[SeasonDrill],
    weather: WeatherTerms | None,
    terms: SeasonTerms,
    path: Path,
    checker: Checker,
) -> list[SeasonDrill]:
    """The drills with the season's record or, if it has none, each with that of its job file.

    Drills side by side get wet together, so all of them must have a record or none.
    """
    records = [weather or drill.job.booking.weather for drill in drills]
    without = [drill.name for drill, record in zip(drills, records, strict=True) if record is None]
    if without and len(without) < len(drills):
        checker.problems.append(
            problem("weather-some-drills", file=str(path), about="[season]", drills=tuple(without))
        )
        return drills
    try:
        return [
            drill if record is None else on_record(drill, record, terms)
            for drill, record in zip(drills, records, strict=True)
        ]
    except InputError as error:
        checker.problems += error.problems
        return drills


def _drills(given: object, path: Path, checker: Checker) -> list[SeasonDrill]:
    tables: list[Any] = given if isinstance(given, list) and given else [given]
    drills = []
    for number, table in enumerate(tables, start=1):
        if not isinstance(table, dict):
            checker.problems.append(problem("table-missing/season-drill", file=str(path)))
            continue
        drill = _drill(table, number, path, checker)
        if drill:
            drills.append(drill)
    return drills


def _drill(table: Table, number: int, path: Path, checker: Checker) -> SeasonDrill | None:
    label = f"drill {number}"
    n_problems = len(checker.problems)
    values = checker.values("season_drill", table, path, label)
    if len(checker.problems) > n_problems:
        return None
    try:
        job = load_job(path.parent / values["job"])
    except JobFileError as error:
        checker.problems += error.problems
        return None
    checker.notes += [
        replace(note, about=f"{values['name']} ({values['job']})") for note in job.notes if note.warning
    ]
    weekdays, dates = values.get("days_off", (frozenset(), frozenset()))
    return made(
        checker,
        {"file": str(path), "about": f"[{label}]"},
        lambda: SeasonDrill(
            name=values["name"],
            job=job,
            home_lonlat=values["home"],
            weekdays_off=weekdays,
            dates_off=dates,
        ),
    )
