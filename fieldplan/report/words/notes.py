"""Notes for people: each said once, its quantities in the reader's units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from fieldplan.model.notes import Note
from fieldplan.report.text.table import paragraph
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import shown_place

_PLACE = re.compile(r"\{(?P<name>[a-z0-9_]+)(?:\.\.(?P<to>[a-z0-9_]+))?(?::(?P<digits>\d))?\}")
"""``{swing_m}``, ``{swing_m:0}`` with so many decimals, ``{low_frac..high_frac}`` from one to the other."""
MOST_PLACES = 3
"""Fields whose place is named where notes that differ in it are said as one."""


def said(note: Note, q: Quantities) -> str:
    """The sentence of a note with its quantities in it."""
    return _said([note], q)


def filled(text: str, values: Mapping[str, float], q: Quantities) -> str:
    """A sentence with its quantities in it; ``{catch}`` is the way of a catch, which is a round one in either units."""
    return _filled(text, [values], q).replace("{catch}", q.length(q.catch_m))


def notes_shown(notes: Iterable[Note], q: Quantities) -> list[str]:
    """Notes that are no warnings, grouped: what several fields share is said once, with the range of its numbers; defaults stand together."""
    notes = [note for note in notes if not note.warning]
    defaults = [said(note, q) for note in notes if note.code == "default-used"]
    others = _grouped((note for note in notes if note.code != "default-used"), q=q)
    lines = [line for text in others for line in paragraph(text, bullet="- ")]
    if defaults:
        lines += paragraph("Defaults used: " + "; ".join(defaults) + ".", bullet="- ")
    return lines


def warnings_shown(notes: Iterable[Note], q: Quantities) -> list[str]:
    """Warnings as sentences, each said once for all fields that it concerns."""
    return [f"Warning: {text}" for text in _grouped((note for note in notes if note.warning), q=q)]


def notes_as_data(notes: Iterable[Note]) -> list[dict[str, Any]]:
    """Notes ready for JSON: the sentence, in US units, and its quantities in SI by name."""
    us = Quantities("us")
    return [
        {
            "code": note.code,
            "text": said(note, us),
            "field_id": note.field_id,
            "warning": note.warning,
            "values": dict(note.values),
            "places": {name: {"lon": lon, "lat": lat} for name, (lon, lat) in note.places.items()},
        }
        for note in notes
    ]


def _grouped(notes: Iterable[Note], *, q: Quantities) -> Iterator[str]:
    """Notes with the same sentence as one: of one field each with the range of their quantities, others where those are the same too."""
    groups: dict[tuple[object, ...], list[Note]] = {}
    for note in notes:
        own = () if note.field_id else (tuple(sorted(note.values.items())), tuple(sorted(note.places.items())))
        groups.setdefault((note.code, note.text, bool(note.field_id), frozenset(note.values), *own), []).append(note)
    for group in groups.values():
        fields = ", ".join(dict.fromkeys(note.field_id for note in group if note.field_id))
        yield f"{fields}: {_said(group, q)}" if fields else _said(group, q)


def _said(group: Sequence[Note], q: Quantities) -> str:
    """The sentence that notes share, each quantity as the range over all of them, each place with the field that it is of."""
    text = _filled(group[0].text, [note.values for note in group], q)
    for name in group[0].places:
        text = text.replace(f"{{{name}}}", _places(group, name))
    return text


def _places(group: Sequence[Note], name: str) -> str:
    if len(group) == 1:
        return shown_place(group[0].places[name])
    first = [f"{shown_place(note.places[name])} ({note.field_id})" for note in group[:MOST_PLACES]]
    more = len(group) - len(first)
    return "; ".join(first) + (f"; and so on for {more} more" if more else "")


def _filled(text: str, each: Sequence[Mapping[str, float]], q: Quantities) -> str:
    def shown(place: re.Match[str]) -> str:
        names = [place["name"], place["to"] or place["name"]]
        digits = None if place["digits"] is None else int(place["digits"])
        if any(name not in values for name in names for values in each):
            return place[0]
        numbers = [[values[name] for values in each] for name in names]
        low, high = q.measured(names[0], min(numbers[0]), digits), q.measured(names[1], max(numbers[1]), digits)
        return low if low == high else _range(low, high)

    return _PLACE.sub(shown, text)


def _range(low: str, high: str) -> str:
    """From one quantity to another, the unit said once where it is the same."""
    number, _, unit = low.partition(" ")
    return f"{number if unit and high.endswith(f' {unit}') else low} to {high}"
