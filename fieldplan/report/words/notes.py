"""Notes for people, each once, with quantities in the reader's units; and notes as data."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields
from datetime import date
from decimal import Decimal
from typing import Any

from fieldplan.errors import Problem
from fieldplan.facts import Fact, Measure, Money, TableSentence, Value
from fieldplan.model.notes import Note
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import alike, joint_sentence, sentence


def note_sentences(notes: Iterable[Note], q: Quantities) -> list[str]:
    """Notes other than warnings as sentences.

    Parameters
    ----------
    notes
        Notes of a plan, warnings among them.
    q
        The reader's units.

    Returns
    -------
    list of str
        What several fields share is one sentence with the range of its numbers; the defaults used are one
        sentence at the end.
    """
    notes = [note for note in notes if not note.warning]
    defaults = [sentence(note, q) for note in notes if note.code == "default-used"]
    others = list(grouped((note for note in notes if note.code != "default-used"), q))
    return [*others, "Defaults used: " + "; ".join(defaults) + "."] if defaults else others


def warning_lines(notes: Iterable[Note], q: Quantities) -> list[str]:
    """Warnings as sentences that begin with "Warning:"; see `warning_sentences`."""
    return [f"Warning: {text}" for text in warning_sentences(notes, q)]


def warning_sentences(notes: Iterable[Note], q: Quantities) -> list[str]:
    """Warnings as sentences, each once for all fields that it concerns.

    Parameters
    ----------
    notes
        Notes of a plan, of which only the warnings are taken.
    q
        The reader's units.
    """
    return list(grouped((note for note in notes if note.warning), q))


BACKGROUND = frozenset(
    {
        *(
            "acres-flat",
            "blocks-cut",
            "clock-leaves-out",
            "default-used",
            "efficiency-unusual",
            "fit-days-table",
        ),
        *(
            "handbook-efficiency",
            "layout-thinned",
            "persistence-of-survey",
            "rounds-weighed",
            "survey-years",
        ),
        *("turns-backing", "weather-halves", "weather-level", "weather-methods", "weather-reliability"),
        *("weather-rule", "weather-state-beside", "weather-treated", "weather-typed", "weather-years"),
        *("metering-unknown", "tag-unsaid"),
    }
)
"""Codes, with their cases where these differ, of notes on how numbers come about, and of what the cover asks for:
nobody has to act on them. Any other note stands on the short page too.
"""
MAX_IDS = 4
"""Fields that a short note names; of more it names one fewer and counts the others."""


def notes_to_act_on(notes: Iterable[Note]) -> list[Note]:
    """Notes, other than warnings, that a person must act on or know about in the field; see `BACKGROUND`."""
    return [note for note in notes if not note.warning and not _is_background(note)]


def background_sentences(notes: Iterable[Note], q: Quantities) -> list[str]:
    """The sentences of `note_sentences` that the short page leaves out."""
    return note_sentences((note for note in notes if _is_background(note)), q)


def n_background(notes: Iterable[Note]) -> int:
    """How many sentences of `note_sentences` the short page leaves out."""
    return len(background_sentences(notes, Quantities("us")))


def _is_background(note: Note) -> bool:
    key = f"{note.code}/{note.case}" if note.code == "turns-backing" and note.case else note.code
    return key in BACKGROUND


def short_sentences(notes: Iterable[Note], q: Quantities, n_fields: int) -> list[str]:
    """Notes as short sentences, each once for all fields that it concerns.

    Parameters
    ----------
    notes
        Notes of a plan.
    q
        The reader's units.
    n_fields
        Fields of the plan: what all of them share is said of all.
    """
    return list(dict.fromkeys(grouped(notes, q, short_for=n_fields)))


def notes_as_data(notes: Iterable[Note]) -> list[dict[str, Any]]:
    """Notes ready for JSON: the sentence in US units, its quantities in SI by name, sources and places."""
    us = Quantities("us")
    return [
        {
            "code": note.code,
            "text": sentence(note, us),
            "field_id": note.field_id,
            "warning": note.warning,
            "values": values_as_data(note.values),
            "sources": list(note.sources),
            "places": {name: {"lon": lon, "lat": lat} for name, (lon, lat) in note.places.items()},
        }
        for note in notes
    ]


def fact_as_data(fact: Fact) -> dict[str, Any]:
    """A fact ready for JSON: its code and values; for a problem also file, subject and key."""
    where = {"file": fact.file, "about": fact.about, "key": fact.key} if isinstance(fact, Problem) else {}
    case = getattr(fact, "case", "")
    return {
        "code": f"{fact.code}/{case}" if case and not where else fact.code,
        **where,
        "values": values_as_data(fact.values),
    }


def values_as_data(values: Mapping[str, Value]) -> dict[str, Any]:
    """Values ready for JSON: dates as ISO text, numbers that are not finite as null, facts as `fact_as_data`."""
    return {name: _plain(value) for name, value in values.items()}


def _plain(value: Value) -> Any:
    if isinstance(value, tuple):
        return [_plain(member) for member in value]
    if isinstance(value, Fact):
        return fact_as_data(value)
    if isinstance(value, TableSentence):
        return {"text": value.text, "values": values_as_data(value.values)}
    if isinstance(value, Measure | Money):
        return {member.name: _plain(getattr(value, member.name)) for member in fields(value)}
    if isinstance(value, date):
        return value.isoformat()
    number = float(value) if isinstance(value, Decimal) else value
    return None if isinstance(number, float) and not math.isfinite(number) else number


def grouped(notes: Iterable[Note], q: Quantities, *, short_for: int = 0) -> Iterator[str]:
    """One sentence for all notes that share it, after the ids of their fields.

    Notes of fields share a sentence with the range of their quantities; notes of the whole job share one
    only if their quantities and places are the same too.

    Parameters
    ----------
    notes
        The notes to group, in the order in which their sentences come.
    q
        The reader's units.
    short_for
        Say it in short, for a plan of so many fields; 0 to say it in full.
    """
    groups: dict[Hashable, list[Note]] = {}
    for note in notes:
        quantities = () if note.field_id else (_values_key(note), tuple(sorted(note.places.items())))
        groups.setdefault((bool(note.field_id), alike(note), *quantities), []).append(note)
    for group in groups.values():
        named = list(dict.fromkeys(note.field_id for note in group if note.field_id))
        ids = _in_short(named, short_for) if short_for else ", ".join(named)
        text = joint_sentence(group, q, short=bool(short_for))
        yield f"{ids}: {text}" if ids else text


def _in_short(ids: Sequence[str], n_fields: int) -> str:
    """The ids of fields, or how many they are; none where there is no other field."""
    if len(ids) == n_fields:
        return "" if n_fields == 1 else "All fields"
    if len(ids) <= MAX_IDS:
        return ", ".join(ids)
    return f"{', '.join(ids[: MAX_IDS - 1])} and {len(ids) - MAX_IDS + 1} more"


def _values_key(note: Note) -> str:
    return repr(sorted(note.values.items(), key=lambda item: item[0]))
