"""What each column of each table may hold. A row that cannot be used is refused with the reason."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from fieldplan.errors import TableError, problem
from fieldplan.facts import Fact, fact
from fieldplan.tables.cells import (
    Check,
    any_of,
    anything,
    days_of_week,
    month_day,
    number,
    number_or_none,
    percent,
    signed,
    signed_or_none,
    source_key,
    text,
    unit_name,
    unit_names,
    unit_or_words,
    whole,
    whole_date,
    whole_or_none,
    word_of,
)

CARD_PARTS = (
    "Hitch",
    "Road",
    "Level",
    "Openers",
    "Boxes",
    "Depth",
    "Settings",
    "Fill",
    "Prime",
    "Calibrate",
    "First rounds",
    "Clean out",
)
"""The parts of a set-up card, in the order of the work."""
PACKET: Mapping[str, Sequence[str]] = {
    "request": ("farm", "tract", "practice"),
    "field": ("mapped", "drilled", "sown", "depth", "settings", "seed"),
    "seed": ("box", "tag", "kept", "tested", "origin", "receipt"),
}
"""What a packet lists of a request, a field and a lot of seed."""
SOWING_TIMES = ("seeding", "cover-crop", "dormant", "frost")
"""What a window of sowing is for."""
SPECIES_FIGURES = ("seeds per pound", "full seeding rate", "rate as printed", "depth")
"""Quantities of the species table that are numbers, from low to high, in a unit."""
SPECIES_WORDS: Mapping[str, Check | None] = {
    "box": any_of("grain", "small", "native"),
    "agitator": any_of("needed"),
    "placement": any_of("surface", "cover"),
    "light": any_of("needed"),
    "light in the laboratory": None,
    "cold stratification": any_of("yes", "no"),
    "dormant seed": any_of("dormant", "hard"),
    "season": None,
}
"""Those that are words, the same in low and high; ``None`` where they stand as their source has them."""
Row = Mapping[str, str]


_RANGE = {"low": number, "high": number, "unit": unit_name, "source": source_key, "place": anything}
COLUMNS: Mapping[str, Mapping[str, Check]] = {
    "asked": {"table": text, "key": text, "says": text},
    "bushel_weights": {"species": text, **_RANGE},
    "carriers": {"carrier": text, "value": number, **_RANGE},
    "cautions": {
        "when": any_of("always", "wide", "treated", "treated-unsaid", "backing"),
        "text": text,
        "source": source_key,
    },
    "clean_out": {"text": text, "source": source_key},
    "defaults": {"table": text, "key": text, "value": text, "source": source_key, "place": anything},
    "drainage": {
        "drainage": text,
        "a_per_day": number,
        "b_cm_per_day": number,
        "limit_cm": signed,
        "source": source_key,
        "place": anything,
    },
    "fieldwork_days": {
        "place": text,
        "state": text,
        "first": month_day,
        "last": month_day,
        "share": percent,
        "source": source_key,
        "where": anything,
    },
    "handover": {"part": text, "line": text, "source": source_key},
    "machinery": {"key": text, **_RANGE},
    "other_words": {"table": text, "word": text, "meant": anything, "says": anything},
    "packet": {"key": text, "level": any_of(*PACKET), "line": text, "source": source_key},
    "plausible": {
        "key": text,
        "unit": unit_or_words,
        "low_likely": signed,
        "high_likely": signed,
        "low_possible": signed_or_none,
        "high_possible": signed_or_none,
        "nothing": any_of("", "yes"),
        "source": source_key,
        "place": anything,
        "example": anything,
        "other_units": unit_names,
        "means": anything,
    },
    "rain_rules": {
        "rule": text,
        "day_mm": number,
        "two_days_mm": number_or_none,
        "three_days_mm": number_or_none,
        "source": source_key,
        "place": anything,
    },
    "sale_limits": {
        "state": text,
        "what": any_of("weed seed", "germination and hard", "purity"),
        "least": number_or_none,
        "most": number_or_none,
        "source": source_key,
        "place": anything,
    },
    "seed_gates": {
        "notch": whole,
        "least_seeds_per_lb": number,
        "like": text,
        "source": source_key,
        "place": anything,
    },
    "seed_rules": {
        "about": any_of("tetrazolium", "noxious weeds"),
        "state": text,
        "says": text,
        "source": source_key,
    },
    "setup_steps": {"part": any_of(*CARD_PARTS), "text": text, "blank": anything, "source": source_key},
    "frost_rules": {
        "species": text,
        "days_before": whole,
        "frost_f": number,
        "source": source_key,
        "place": anything,
    },
    "soil_temperatures": {
        "species": text,
        "low": number,
        "high": number,
        "source": source_key,
        "place": anything,
    },
    "sowing_windows": {
        "species": text,
        "state": text,
        "purpose": any_of(*SOWING_TIMES),
        "first": month_day,
        "last": month_day,
        "source": source_key,
        "place": anything,
    },
    "soil_evaporation": {"deficit_cm": signed, "most_cm_per_day": number, "source": source_key},
    "sources": {"key": source_key, "title": text},
    "sowing_rates": {"species": text, **_RANGE},
    "species": {
        "species": text,
        "quantity": any_of(*SPECIES_FIGURES, *SPECIES_WORDS),
        "low": text,
        "high": text,
        "unit": unit_name,
        "form": anything,
        "type": anything,
        "source": source_key,
        "place": anything,
        "note": anything,
        "unfit": anything,
    },
    "species_names": {
        "species": text,
        "scientific_name": text,
        "symbol": anything,
        "other_names": anything,
    },
    "survey_weeks": {"state": text, "week_ending": whole_date, "days": days_of_week, "source": source_key},
    "test_ages": {
        "state": text,
        "seed": text,
        "months": whole_or_none,
        "source": source_key,
        "place": anything,
    },
    "twins": {"source": source_key, "other": text, "within": number, "place": anything},
    "weather": {"key": text, "value": signed, "unit": unit_name, "source": source_key, "place": anything},
}
OF_SPECIES = (
    "bushel_weights",
    "frost_rules",
    "soil_temperatures",
    "sowing_rates",
    "sowing_windows",
    "species",
)
"""Tables with a species in each row, spelled as in species_names."""
_ORDER: Mapping[str, tuple[tuple[str, str], ...]] = {
    "plausible": (
        ("low_possible", "low_likely"),
        ("low_likely", "high_likely"),
        ("high_likely", "high_possible"),
    ),
    **dict.fromkeys(
        ("bushel_weights", "carriers", "machinery", "soil_temperatures", "sowing_rates"), (("low", "high"),)
    ),
}
"""Pairs of columns, the first of which may not exceed the second."""


def checked(
    table: str, rows: Sequence[Row], sources: Collection[str], species: Collection[str] = ()
) -> tuple[Row, ...]:
    """Return the rows of a table after checking every cell.

    Parameters
    ----------
    table
        Name of the table, a key of `COLUMNS`.
    rows
        Its rows as read, each a mapping from column to text.
    sources
        Keys of the bibliography.
    species
        Common names that the ``species`` column may hold, for the tables in `OF_SPECIES`.

    Raises
    ------
    TableError
        With every cell that cannot be used and why.
    """
    problems = [
        problem("table-row", file=f"{table}.csv", row=number, column=column, why=fault)
        for number, row in enumerate(rows, start=2)
        for column, fault in (*_wrong(table, row), *_uncited(row, sources), *_unnamed(table, row, species))
    ]
    if problems:
        raise TableError(tuple(problems))
    return tuple(rows)


def _wrong(table: str, row: Row) -> Iterator[tuple[str, Fact]]:
    columns = COLUMNS[table]
    if set(row) != set(columns):
        yield "", fact("cells-not-those", columns=tuple(columns))
        return
    for name, check in columns.items():
        if fault := check(row[name]):
            yield name, fault
    if table == "species":
        yield from _wrong_figure(row)
    if table == "packet" and (fault := word_of(PACKET.get(row["level"], ()), row["key"])):
        yield "key", fault
    for low, high in _ORDER.get(table, ()):
        yield from _out_of_order(row, low, high)


def _out_of_order(row: Row, low: str, high: str) -> Iterator[tuple[str, Fact]]:
    given = row[low] and row[high]
    if given and not (signed(row[low]) or signed(row[high])) and float(row[low]) > float(row[high]):
        yield low, fact("cell-over", cell=row[low], other=high, value=row[high])


def _uncited(row: Row, sources: Collection[str]) -> Iterator[tuple[str, Fact]]:
    if "source" in row and row["source"] not in sources:
        yield "source", fact("cell-not-a-source", cell=row["source"])


def _unnamed(table: str, row: Row, species: Collection[str]) -> Iterator[tuple[str, Fact]]:
    if table in OF_SPECIES and row.get("species") not in species:
        yield "species", fact("cell-not-a-species", cell=row.get("species", ""))


def _wrong_figure(row: Row) -> Iterator[tuple[str, Fact]]:
    """Check a row of the species table: a word, the same twice, or a figure from low to high."""
    if row["quantity"] in SPECIES_FIGURES:
        if not row["unit"]:
            yield "unit", fact("cell-not-a-unit", cell=row["unit"])
        faults = [(name, fault) for name in ("low", "high") if (fault := number(row[name]))]
        yield from faults or _out_of_order(row, "low", "high")
        return
    if row["unit"]:
        yield "unit", fact("cell-not-a-unit", cell=row["unit"])
    check = SPECIES_WORDS.get(row["quantity"]) or any_of(row["low"])
    for name in ("low", "high"):
        if fault := check(row[name]) or any_of(row["low"])(row[name]):
            yield name, fault
