"""Notes as lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterable

from fieldplan.model.notes import Note
from fieldplan.report.text.table import paragraph
from fieldplan.report.words.notes import note_sentences
from fieldplan.report.words.quantities import Quantities


def note_lines(notes: Iterable[Note], q: Quantities) -> list[str]:
    """Notes other than warnings, each under a bullet, wrapped.

    Parameters
    ----------
    notes
        Notes of a plan, warnings among them.
    q
        The reader's units.
    """
    return [line for text in note_sentences(notes, q) for line in paragraph(text, bullet="- ")]
