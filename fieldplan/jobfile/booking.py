"""The booking of a job file: its days, and what the odds of a fieldwork day stand on."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fieldplan.errors import InputError, placed
from fieldplan.facts import Value
from fieldplan.jobfile.check import Checker, Placed, made, only_table
from fieldplan.jobfile.plausible import MEANT
from fieldplan.jobfile.schema import with_names_now
from fieldplan.jobfile.values import quantity
from fieldplan.jobfile.weather import is_known, known_states, published_for, weather_of
from fieldplan.model.job import BookingTerms, Published
from fieldplan.model.notes import Note
from fieldplan.model.spelling import SLIP, nearest
from fieldplan.tables import read as tables


def booking_of(
    given: list[Placed], weather: list[Placed], path: Path, checker: Checker
) -> BookingTerms | None:
    """The booking terms of a job file; ``None`` with the problems recorded if they cannot be used.

    Parameters
    ----------
    given, weather
        The tables ``[booking]`` and ``[weather]``, as many as there are.
    """
    table, source = only_table(given, "booking", path, checker) or ({}, path)
    of_weather, there = only_table(weather, "weather", path, checker) or (None, path)
    before = len(checker.problems)
    v = checker.values("booking", table, source, "booking")
    terms = weather_of(v.get("weather"), source.parent, of_weather, there, checker)
    published = None
    if "state" in v and len(checker.problems) == before:
        try:
            published = published_for(
                v["state"],
                v.get("start"),
                stands="fieldwork_day_chance" not in v and terms is None,
            )
        except InputError as error:
            checker.problems += [
                placed(fault, file=str(source), about="[booking]") for fault in error.problems
            ]
        if not is_known(v["state"]):
            near = nearest(v["state"], known_states(), SLIP) or ""
            checker.notes.append(
                Note(code="state-without-figures", values={"state": v["state"], "near": near})
            )
    typed = with_names_now("booking", table).get("fieldwork_day_chance")
    if len(checker.problems) > before:
        return None
    chance, published = _chance(v, typed, published, checker)
    persistence = _persistence(v, published, terms is not None, checker)
    weekdays_off, dates_off = v.get("days_off", (frozenset(), frozenset()))
    return made(
        checker,
        {"file": str(source), "about": "[booking]"},
        lambda: BookingTerms(
            day_s=v["hours_per_day"],
            fieldwork_day_prob=chance,
            confidence_prob=v["confidence"],
            start=v.get("start"),
            finish_by=v.get("finish_by"),
            weekdays_off=weekdays_off,
            dates_off=dates_off,
            persistence_frac=persistence,
            uncertainty_frac=v["uncertainty"],
            meant=v[MEANT],
            weather=terms,
            published=published,
            state=v.get("state", ""),
        ),
    )


def _chance(
    v: Mapping[str, Any], typed: object, published: Published | None, checker: Checker
) -> tuple[float | None, Published | None]:
    """The chance that was typed, as it is or as a place of the table, or else that of the state."""
    if "fieldwork_day_chance" not in v:
        if published is not None and published.stands:
            values: dict[str, Value] = {"fit_day_prob": published.prob, "place": published.place}
            checker.notes.append(Note(code="fit-days-table", values=values, sources=(published.source,)))
            return published.prob, published
        return None, published
    chance, cited = v["fieldwork_day_chance"]
    if cited and isinstance(typed, str):
        checker.notes.append(
            Note(code="fit-days-table", values={"fit_day_prob": chance, "place": typed}, sources=(cited,))
        )
        return chance, Published(place=typed, prob=chance, source=cited, stands=True)
    return chance, published


def _persistence(
    v: Mapping[str, Any], published: Published | None, has_record: bool, checker: Checker
) -> float:
    """The persistence that was typed; else none, or that of a survey where the odds stand on a state's."""
    if "persistence" in v:
        return float(v["persistence"])
    if "state" in v and published is not None and published.stands:
        persistence = tables.weather_figure("persistence of a survey", "%") / 100
        checker.notes.append(
            Note(
                code="persistence-of-survey",
                values={"persistence_frac": persistence},
                sources=("nass-days-nd",),
            )
        )
        return persistence
    value, text, source = tables.needed_default("booking", "persistence", quantity("share"))
    if not has_record:
        checker.default_used("booking.persistence", text, source)
    return float(value)
