"""The published documents that a plan rests on."""

from __future__ import annotations

from collections.abc import Iterable

from fieldplan.model.cost import JobCost, TractorCheck
from fieldplan.model.notes import Note, Source
from fieldplan.tables import read as tables

ALWAYS = frozenset({"karney2013", "fsa-201", "h1-manual", "p3112"})
"""What every plan rests on: areas, live seed, and how far from the rate a drill may sow."""


def sources_of(notes: Iterable[Note], cost: JobCost, tractor: Iterable[TractorCheck]) -> tuple[Source, ...]:
    """The sources of a plan's notes, cost and tractor checks and those that every plan rests on, in order
    of their keys.

    What is no published document, such as "assumed" or the job file, is not among them.
    """
    cited = {key for note in notes for key in note.sources} | {
        key for line in cost.lines for key in line.sources
    }
    cited |= {key for check in tractor for key in check.sources} | set(cost.fuel_sources) | ALWAYS
    return tuple(tables.source(key) for key in sorted(cited & published()))


def published() -> frozenset[str]:
    """Keys of all documents of the bibliography."""
    return frozenset(row["key"] for row in tables.rows("sources")) - {"assumed", "practice"}
