"""What a plan and a planned season have in common: sentences, and files in the units asked for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from fieldplan.api.reader import hints, quantities_in, require_paper
from fieldplan.model.notes import Note
from fieldplan.report.typeset import Paper
from fieldplan.report.words.notes import note_sentences, warning_sentences
from fieldplan.report.words.quantities import Quantities, System


class Result:
    """A result with notes, in US or metric units."""

    def __init__(self, notes: Sequence[Note], units: System) -> None:
        self._notes, self._q = notes, quantities_in(units)

    @property
    def notes(self) -> list[str]:
        """Assumptions, defaults and repairs behind the numbers, as sentences."""
        return note_sentences(self._notes, self._q)

    @property
    def warnings(self) -> list[str]:
        """What to look at before using any number, as sentences."""
        return warning_sentences(self._notes, self._q)

    @contextmanager
    def _on_paper(self, paper: Paper, units: System | None) -> Iterator[Quantities]:
        """Quantities for files, in the result's own units if no others are asked for."""
        require_paper(paper)
        with hints():
            yield quantities_in(units) if units else self._q
