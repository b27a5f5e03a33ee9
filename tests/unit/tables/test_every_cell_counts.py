"""Every cell of every table that code reads: changed, it changes what users see, or its row is refused with
its reason.
"""

from __future__ import annotations

import pytest
from unit.tables.edits import REAL, changes_of, edited, outcome
from unit.tables.probes import probe_of

from fieldplan.tables.columns import COLUMNS

DOCUMENTATION = {
    *(
        (table, "place")
        for table in (
            "carriers",
            "defaults",
            "machinery",
            "plausible",
            "seed_gates",
            "drainage",
            "frost_rules",
            "rain_rules",
            "sale_limits",
            "soil_temperatures",
            "sowing_windows",
            "twins",
            "weather",
        )
    ),
    ("fieldwork_days", "where"),
}
"""Columns for whoever keeps the tables: where in the source a value stands."""
JUDGES = {
    ("plausible", "source"),
    *((table, "source") for table in ("weather", "soil_evaporation", "survey_weeks")),
}
"""Sources of what values are only judged by: none is named to users, so that any known key will do."""
EVERY = {"survey_weeks": 40, "species": 17, "test_ages": 5, "bushel_weights": 3}
"""Of a long series of rows alike, some stand for all."""
UNCITED = {
    "seeds a pound of fine seed",
    "expected field efficiency",
    "catch near enough",
    "meter of the drill may be off by",
    "a meter reads over the map by",
    "a meter reads beyond the plan by",
    "heaviest seeding that is drilled",
    "a wider drill has",
    "tongue of a drawn drill",
    "hitch behind the axle",
    "nose ahead of the axle",
    "half width of a tractor",
}
"""The same in the table of machinery: thresholds and lengths that the project set."""


@pytest.mark.parametrize(
    ("table", "column"),
    [(t, c) for t, columns in COLUMNS.items() for c in columns if (t, c) not in DOCUMENTATION],
)
def test_every_cell_counts(table: str, column: str) -> None:
    """A probe that reads the row as users see it says something else, or says which row cannot be used."""
    dead = []
    for number, row in list(enumerate(REAL[table]))[:: EVERY.get(table, 1)]:
        probe = probe_of(table, row)
        before = outcome(probe)
        assert not before.startswith("TableError"), before
        for changes in changes_of(table, row, column):
            if _uncited(table, row, column) and "no-such-source" not in changes.values():
                continue
            if row.get("unfit") and column not in ("species", "quantity", "unfit"):
                continue  # what must not be used is not
            with edited(table, number, changes):
                after = outcome(probe)
            if after == before:
                dead.append((number + 2, dict(row), changes))
            elif after.startswith("TableError") and not _names(after, number, row):
                dead.append((number + 2, dict(row), changes, after))
    assert not dead, f"{len(dead)} cells of {table}.csv, {column}, count for nothing, such as {dead[:8]}"


def _uncited(table: str, row: dict[str, str], column: str) -> bool:
    if column == "low_likely" and row["key"].startswith("plan."):
        return True  # what comes of a plan is never too little
    return (table, column) in JUDGES or (
        table == "machinery" and column == "source" and row["key"] in UNCITED
    )


def _names(refusal: str, number: int, row: dict[str, str]) -> bool:
    """Whether a refusal names the row: by its number, its cells or the name by which it was looked for."""
    return f"row {number + 2}:" in refusal or any(
        f'"{cell}"' in refusal or (len(cell) > 5 and cell in refusal) for cell in row.values() if cell
    )
