"""Notes as lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterable

from fieldplan.model.notes import Note
from fieldplan.report.text.table import paragraph
from fieldplan.report.words.notes import notes_said
from fieldplan.report.words.quantities import Quantities


def notes_shown(notes: Iterable[Note], q: Quantities) -> list[str]:
    """Notes that are no warnings, each under a bullet."""
    return [line for text in notes_said(notes, q) for line in paragraph(text, bullet="- ")]
