"""Notes for people: each said once."""

from __future__ import annotations

import re
from collections.abc import Iterable

from fieldplan.model.notes import Note
from fieldplan.report.table import paragraph

_NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?(?<!,)")


def notes_shown(notes: Iterable[Note]) -> list[str]:
    """Notes grouped: what several fields share is said once, with the range of its numbers; defaults stand together."""
    groups: dict[tuple[str, str], list[Note]] = {}
    defaults: list[str] = []
    for note in notes:
        if note.code == "default-used":
            defaults.append(note.text)
        else:
            groups.setdefault((note.code, _NUMBER.sub("#", note.text) if note.field_id else note.text), []).append(note)
    lines = []
    for group in groups.values():
        fields = ", ".join(dict.fromkeys(note.field_id for note in group if note.field_id))
        text = _ranged([note.text for note in group])
        lines += paragraph(f"{fields}: {text}" if fields else text, bullet="- ")
    if defaults:
        lines += paragraph("Defaults used: " + "; ".join(defaults) + ".", bullet="- ")
    return lines


def _ranged(texts: list[str]) -> str:
    """Sentences that differ in their numbers alone as one, each number as the range of all."""
    ranges = iter(
        shown[0] if len(set(shown)) == 1 else f"{min(shown, key=_value)} to {max(shown, key=_value)}"
        for shown in zip(*(_NUMBER.findall(text) for text in texts), strict=True)
    )
    return _NUMBER.sub(lambda _: next(ranges), texts[0])


def _value(shown: str) -> float:
    return float(shown.replace(",", ""))
