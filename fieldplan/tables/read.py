"""The reader of the tables in this folder."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from fieldplan.model.notes import Source


@cache
def rows(table: str) -> tuple[Mapping[str, str], ...]:
    """The rows of a table, each a mapping from column to text."""
    text = files("fieldplan.tables").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


@cache
def default(table: str, key: str) -> tuple[str, str] | None:
    """Default text of a job-file key and the key of its source, or ``None`` if it has none."""
    found = (row for row in rows("defaults") if row["table"] == table and row["key"] == key)
    return next(((row["value"], row["source"]) for row in found), None)


def machinery_range(key: str) -> tuple[float, float, str]:
    """Low and high value of a machinery figure as printed, and the key of its source."""
    row = next(row for row in rows("machinery") if row["key"] == key)
    return float(row["low"]), float(row["high"]), row["source"]


def species_range(species: str, quantity: str) -> tuple[float, float, str] | None:
    """Low and high of a species figure as printed, and the key of its source; ``None`` if the table has none."""
    name = species.strip().casefold()
    for row in rows("species"):
        if row["quantity"] == quantity and name in (
            row["species"].casefold(),
            row["scientific_name"].casefold(),
        ):
            return float(row["low"]), float(row["high"]), row["source"]
    return None


def source(key: str) -> Source:
    """A published source by its key."""
    return Source(key=key, title=next(row["title"] for row in rows("sources") if row["key"] == key))
