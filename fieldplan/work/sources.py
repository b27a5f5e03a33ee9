"""The published documents that a plan rests on."""

from __future__ import annotations

from collections.abc import Iterable

from fieldplan.model.cost import JobCost, TractorCheck
from fieldplan.model.notes import Note, Source
from fieldplan.tables import read as tables

ALWAYS = frozenset({"karney2013", "fsa-201", "h1-manual", "p3112"})
"""Sources of every plan: areas, pure live seed, and how far off the rate a drill may sow."""


def sources_of(notes: Iterable[Note], cost: JobCost, tractor: Iterable[TractorCheck]) -> tuple[Source, ...]:
    """The published sources of a plan's notes, cost and tractor checks, by key.

    `ALWAYS` is among them; keys that name no document, such as "assumed" or the job file, are not.
    """
    cited = {key for note in notes for key in note.sources}
    cited |= {key for line in cost.lines for key in line.sources}
    cited |= {key for check in tractor for key in check.sources} | set(cost.fuel_sources) | ALWAYS
    return tuple(tables.source(key) for key in sorted(cited & published()))


def published() -> frozenset[str]:
    """Keys of all documents in ``tables/sources.csv``."""
    return frozenset(row["key"] for row in tables.rows("sources")) - {"assumed", "practice"}
