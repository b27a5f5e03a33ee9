"""Notes for people: each said once, its quantities in the reader's units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Protocol

from fieldplan.model.notes import Note
from fieldplan.report.quantities import Quantities
from fieldplan.report.table import paragraph

_PLACE = re.compile(r"\{(?P<name>[a-z0-9_]+)(?::(?P<digits>\d))?\}")
_NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?(?<!,)")


class Sentence(Protocol):
    """Text with places for quantities, and what stands in them: a note, a check of the tractor."""

    @property
    def text(self) -> str:
        """The sentence, with places."""

    @property
    def values(self) -> Mapping[str, float]:
        """What stands in the places, in SI, by name."""


def said(sentence: Sentence, q: Quantities) -> str:
    """The sentence of a note with its quantities in it."""
    return _said([sentence], q)


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
        }
        for note in notes
    ]


def _grouped(notes: Iterable[Note], *, q: Quantities) -> Iterator[str]:
    groups: dict[tuple[str, str], list[Note]] = {}
    for note in notes:
        groups.setdefault((note.code, _NUMBER.sub("#", note.text) if note.field_id else note.text), []).append(note)
    for group in groups.values():
        fields = ", ".join(dict.fromkeys(note.field_id for note in group if note.field_id))
        yield f"{fields}: {_said(group, q)}" if fields else _said(group, q)


def _said(group: Sequence[Sentence], q: Quantities) -> str:
    """The sentence that notes share, each quantity as the range over all of them."""

    def shown(place: re.Match[str]) -> str:
        name, digits = place["name"], place["digits"]
        if any(name not in note.values for note in group):
            return place[0]
        values = [note.values[name] for note in group]
        low, high = (q.measured(name, value, None if digits is None else int(digits)) for value in (min(values), max(values)))
        return low if low == high else f"{low} to {high}"

    return _PLACE.sub(shown, _ranged([note.text for note in group]))


def _ranged(texts: list[str]) -> str:
    """Sentences that differ in their numbers alone as one, each number as the range of all."""
    ranges = iter(
        shown[0] if len(set(shown)) == 1 else f"{min(shown, key=_value)} to {max(shown, key=_value)}"
        for shown in zip(*(_NUMBER.findall(text) for text in texts), strict=True)
    )
    return _NUMBER.sub(lambda _: next(ranges), texts[0])


def _value(shown: str) -> float:
    return float(shown.replace(",", ""))
