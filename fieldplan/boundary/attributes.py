"""What the attributes of a feature say about a field: id, name, mix, priority, gate, edge and exclusions."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

from fieldplan.boundary.choose import attribute
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.facts import Value
from fieldplan.model.field import EdgeWord, PatternWord
from fieldplan.model.notes import Note
from fieldplan.model.spelling import slips
from fieldplan.typed_place import place_in

_ID_NAMES = ("field_id", "fieldid", "id", "fid", "gml_id", "name")
_NAME_NAMES = ("name", "field_name", "fieldname", "label", "title")
_KNOWN = ("mix", "priority", "gate", "gate_lat", "gate_lon", "exclusions", "edge")
_SPACES = re.compile(r"\s+")


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldAttributes:
    """What the attributes of one feature say, ``None`` where they say nothing.

    Parameters
    ----------
    mix
        Name of the seed mix of the job file.
    priority
        Place in the order in which fields are drilled, 1 first.
    gate_lonlat
        Longitude and latitude of the gate, in degrees.
    exclusion_reasons
        The only exclusions that apply, by their reasons.
    edge
        Whether the outer edge is open or fenced.
    pattern
        How passes run.
    """

    mix: str | None
    priority: int | None
    gate_lonlat: tuple[float, float] | None
    exclusion_reasons: tuple[str, ...] | None
    edge: EdgeWord | None
    pattern: PatternWord | None


def id_and_name(
    attributes: Mapping[str, Any],
    number: int,
    layer: str,
    taken: Counter[str],
    terms: ReadingTerms,
    notes: list[Note],
) -> tuple[str, str]:
    """A field's id, unique in the file, and its name: from its attributes, else its layer and number.

    Parameters
    ----------
    attributes
        Of the field's feature.
    number
        The field's number in the file, from 1.
    taken
        How often each id has been given so far; this one is added.
    notes
        Takes a note if the id had to be changed to be unique.
    """
    id_names = (terms.id_field,) if terms.id_field else _ID_NAMES
    name_names = (terms.name_field,) if terms.name_field else _NAME_NAMES
    found_id = next((found for key in id_names if (found := text_of(attributes, key))), None)
    name = next((found for key in name_names if (found := text_of(attributes, key))), None)
    field_id = one_line(found_id) if found_id else f"field-{number}"
    taken[field_id] += 1
    while taken[field_id] > 1 and f"{field_id}-{taken[field_id]}" in taken:
        taken[field_id] += 1
    unique = field_id if taken[field_id] == 1 else f"{field_id}-{taken[field_id]}"
    taken[unique] = max(1, taken[unique])
    if unique != field_id:
        notes.append(Note(code="id-twice", field_id=unique, values={"given": field_id, "unique": unique}))
    return unique, name or (field_id if found_id else f"{layer} {number}")


def field_attributes(
    attributes: Mapping[str, Any], terms: ReadingTerms, field_id: str, notes: list[Note]
) -> FieldAttributes:
    """Mix, priority, gate, edge and exclusions of a field.

    A value that cannot be understood is ignored, with a note: in a file made for another purpose an
    attribute of such a name may mean something else.

    Parameters
    ----------
    attributes
        Of the field's feature.
    notes
        Takes the notes about what was ignored.
    """
    reasons = text_of(attributes, "exclusions")
    for named, known in slips(attributes, _KNOWN if terms.mix_field is None else _KNOWN[1:]):
        note = Note(code="attribute-like", warning=True, values={"named": named, "known": known})
        if note not in notes:
            notes.append(note)
    return FieldAttributes(
        mix=text_of(attributes, terms.mix_field or "mix"),
        priority=_priority(text_of(attributes, "priority"), field_id, notes),
        gate_lonlat=_gate(attributes, field_id, notes),
        exclusion_reasons=None if reasons is None else _listed(reasons),
        edge=_edge(attributes, field_id, notes),
        pattern=_pattern(attributes, field_id, notes),
    )


def edge_of(attributes: Mapping[str, Any]) -> EdgeWord | None:
    """What the attribute ``edge`` says; ``None`` if it says neither "open" nor "fenced".

    Examples
    --------
    >>> edge_of({"Edge": " Open "})
    'open'
    """
    words: dict[str, EdgeWord] = {"open": "open", "fenced": "fenced"}
    return words.get((text_of(attributes, "edge") or "").casefold())


def _edge(attributes: Mapping[str, Any], field_id: str, notes: list[Note]) -> EdgeWord | None:
    edge, given = edge_of(attributes), text_of(attributes, "edge")
    if given and edge is None:
        notes.append(Note(code="edge-unreadable", field_id=field_id, values={"given": given}))
    return edge


def _pattern(attributes: Mapping[str, Any], field_id: str, notes: list[Note]) -> PatternWord | None:
    given = text_of(attributes, "pattern")
    if given is None:
        return None
    words: dict[str, PatternWord] = {word: word for word in get_args(PatternWord)}
    pattern = words.get(" ".join(given.casefold().split()))
    if pattern is None:
        values: dict[str, Value] = {"given": given, "patterns": tuple(words)}
        notes.append(Note(code="pattern-unreadable", field_id=field_id, values=values))
    return pattern


def _listed(text: str) -> tuple[str, ...]:
    """The items of a list with commas or semicolons."""
    return tuple(item.strip() for item in re.split(r"[,;]", text) if item.strip())


def one_line(text: str) -> str:
    """Text with every run of spaces, tabs and line breaks made one space.

    Examples
    --------
    >>> one_line("  North\\n  quarter ")
    'North quarter'
    """
    return _SPACES.sub(" ", text).strip()


def text_of(attributes: Mapping[str, Any], name: str) -> str | None:
    """An attribute as text; ``None`` if it is missing or blank.

    Examples
    --------
    >>> text_of({"Name": " North "}, "name")
    'North'
    >>> text_of({"id": 7.0}, "id")
    '7'
    >>> text_of({"name": {"en": "North"}}, "name")
    '{"en": "North"}'
    >>> text_of({"id": b"P 7"}, "id")
    'P 7'
    """
    value = attribute(attributes, name)
    if value is None:
        return None
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, Mapping):  # as it stands there: its names alone would be another text
        return _writable(json.dumps(value, ensure_ascii=False, default=str))
    if isinstance(value, bytes):
        value = text_of_bytes(value)
    if isinstance(value, str) or not hasattr(value, "__iter__"):
        return _writable(str(value)).strip()
    return _writable(", ".join(str(item) for item in value)).strip()


def text_of_bytes(value: bytes) -> str:
    """Bytes as the text that they spell or, where they spell none, as hexadecimal digits.

    Examples
    --------
    >>> text_of_bytes(b"field 7"), text_of_bytes(bytes([255, 254]))
    ('field 7', 'fffe')
    """
    try:
        return value.decode()
    except UnicodeDecodeError:
        return value.hex()


def _writable(text: str) -> str:
    """Text without what no file can hold: null characters, and halves of a character."""
    return text.replace("\x00", "").encode("utf-8", "replace").decode("utf-8")


def _priority(text: str | None, field_id: str, notes: list[Note]) -> int | None:
    if text is None:
        return None
    whole = re.fullmatch(
        r"(\d{1,6})(?:\.0*)?", text
    )  # tables write whole numbers as 1.0 where some are lacking
    if whole is None:
        notes.append(Note(code="priority-unreadable", field_id=field_id, values={"given": text}))
        return None
    return int(whole[1])


def _gate(attributes: Mapping[str, Any], field_id: str, notes: list[Note]) -> tuple[float, float] | None:
    """Longitude and latitude from ``gate_lat`` and ``gate_lon``, or from the text ``gate``."""
    pair = [text_of(attributes, "gate_lat"), text_of(attributes, "gate_lon")]
    text = text_of(attributes, "gate")
    if pair == [None, None] and text is None:
        return None
    place = place_in(f"{pair[0]}, {pair[1]}" if any(pair) else text or "")
    if place is not None:
        return place
    given = text or ", ".join(number or "" for number in pair)
    notes.append(Note(code="gate-unreadable", field_id=field_id, values={"given": given}))
    return None
