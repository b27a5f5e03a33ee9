"""Read the tables in this folder, each figure in the unit asked for and with the key of its source."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files
from typing import TypeVar

from fieldplan.errors import InputError, TableError
from fieldplan.facts import Measure
from fieldplan.model.notes import Source
from fieldplan.tables.cells import factor
from fieldplan.tables.columns import OF_SPECIES, checked
from fieldplan.typed_quantity import parse_quantity
from fieldplan.units import Kind

Parsed = TypeVar("Parsed")


@cache
def rows(table: str) -> tuple[Mapping[str, str], ...]:
    """Return the rows of a table, each a mapping from column to text.

    Parameters
    ----------
    table
        Name of the CSV file without its ending.

    Raises
    ------
    TableError
        If a cell cannot be used.
    """
    unchecked = _read(table)
    sources = unchecked if table == "sources" else rows("sources")
    species = {row["species"] for row in rows("species_names")} if table in OF_SPECIES else ()
    return checked(table, unchecked, {row["key"] for row in sources}, species)


def _read(table: str) -> tuple[Mapping[str, str], ...]:
    text = files("fieldplan.tables").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def row_with(table: str, column: str, cell: str) -> Mapping[str, str]:
    """Return the first row with that cell; raise `TableError` if there is none."""
    found = next((row for row in rows(table) if row[column] == cell), None)
    if found is None:
        raise TableError.of("table-row-missing", file=f"{table}.csv", column=column, cell=cell)
    return found


def in_unit(row: Mapping[str, str], column: str, unit: str, table: str) -> float:
    """Return a figure of a row in a unit; raise `TableError` if the row's unit is of another kind."""
    wanted, given = factor(unit), factor(row["unit"])
    if wanted is None or given is None or wanted[0] != given[0]:
        raise TableError.of(
            "table-unit", file=f"{table}.csv", row=", ".join(row.values()), unit=row["unit"], wanted=unit
        )
    value = float(row[column])
    return value if wanted[1] == given[1] else value * given[1] / wanted[1]


def with_values(text: str) -> tuple[str, dict[str, float]]:
    """Split a sentence of a table into a template and SI values, to show it in the reader's units.

    Parameters
    ----------
    text
        The cell; ``{8.5 ft}`` in it is a quantity to be shown in the reader's units. One whose unit is the
        same for all readers, such as ``{15 min}``, is kept as text.

    Returns
    -------
    tuple of str and dict
        The sentence with a named place for each quantity, and the quantities in SI by those names.

    Examples
    --------
    >>> with_values("wider than {10 ft}")
    ('wider than {q1_typed_m}', {'q1_typed_m': 3.048})
    """
    values: dict[str, float] = {}

    def place_for(match: re.Match[str]) -> str:
        if match["unit"] not in _TYPED:
            return match["typed"]
        kind, ending = _TYPED[match["unit"]]
        name = f"q{len(values) + 1}_typed{ending}"
        values[name] = parse_quantity(match["typed"], kind)
        return f"{{{name}}}"

    return _QUANTITY.sub(place_for, text), values


def quantity(text: str) -> Measure | str:
    """Return a cell as a quantity in SI; as it stands, if its unit is the same for all readers.

    Examples
    --------
    >>> quantity("10 ft"), quantity("15 min")
    (Measure(value=3.048, ending='_typed_m'), '15 min')
    """
    _, values = with_values(f"{{{text}}}")
    return next((Measure(value, f"_{name.partition('_')[2]}") for name, value in values.items()), text)


_QUANTITY = re.compile(r"\{(?P<typed>[\d.,]+ (?P<unit>[a-z0-9/ ]+))\}")
_TYPED: dict[str, tuple[Kind, str]] = {
    "ft": ("length", "_m"),
    "in": ("length", "_small_m"),
    "ft2": ("area", "_small_m2"),
    "ac": ("area", "_m2"),
    "mph": ("speed", "_m_per_s"),
    "lb": ("mass", "_kg"),
}
"""Units that are converted for metric readers, with their kind and the ending of the value's name."""


@cache
def default(table: str, key: str) -> tuple[str, str] | None:
    """Return the default text of a job-file key and the key of its source; ``None`` if it has none."""
    matching = (row for row in rows("defaults") if row["table"] == table and row["key"] == key)
    return next(((row["value"], row["source"]) for row in matching), None)


def default_read(table: str, key: str, parse: Callable[[str], Parsed]) -> tuple[Parsed, str, str] | None:
    """Return the default of a job-file key as value, text and key of its source; ``None`` if it has none.

    Parameters
    ----------
    table, key
        The table and key of the job file, such as ``"working"`` and ``"field_speed"``.
    parse
        Reads the text as the value of that key.

    Raises
    ------
    TableError
        If the text cannot be read as such a value.
    """
    text_and_source = default(table, key)
    if text_and_source is None:
        return None
    text, source_key = text_and_source
    try:
        return parse(text), text, source_key
    except InputError as error:
        why = error.problems[0].as_fact()
        raise TableError.of(
            "table-row", file="defaults.csv", row=f"{table}, {key}", column="value", why=why
        ) from None


def needed_default(table: str, key: str, parse: Callable[[str], Parsed]) -> tuple[Parsed, str, str]:
    """Return the default of a key that must have one; see `default_read`.

    Raises
    ------
    TableError
        If the table has no default for it, or one that cannot be read.
    """
    value_text_source = default_read(table, key, parse)
    if value_text_source is None:
        raise TableError.of("table-row-missing", file="defaults.csv", column="key", cell=key)
    return value_text_source


def asked(table: str, key: str) -> str:
    """Return how to fill in a missing job-file key that has no default; empty if its name says enough."""
    return next((row["says"] for row in rows("asked") if (row["table"], row["key"]) == (table, key)), "")


def machinery_range(key: str, unit: str) -> tuple[float, float, str]:
    """Return the low and high value of a machinery figure, and the key of its source.

    Parameters
    ----------
    key
        The figure, as ``machinery.csv`` names it.
    unit
        The unit to return it in, one of `units.FACTORS` or `cells.MORE_UNITS`.

    Raises
    ------
    TableError
        If the table has no such figure, or not in a unit of that kind.
    """
    row = row_with("machinery", "key", key)
    return in_unit(row, "low", unit, "machinery"), in_unit(row, "high", unit, "machinery"), row["source"]


def machinery_figure(key: str, unit: str) -> tuple[float, str]:
    """Return a machinery figure that is a single number, and the key of its source; see `machinery_range`.

    Raises
    ------
    TableError
        If the table has no such figure, a range instead of it, or not in a unit of that kind.
    """
    row = row_with("machinery", "key", key)
    return _single_figure(row, unit), row["source"]


def weather_figure(key: str, unit: str) -> float:
    """Return a figure of ``weather.csv`` in a unit.

    Raises
    ------
    TableError
        If the table has no such figure, or not in a unit of that kind.
    """
    return in_unit(row_with("weather", "key", key), "value", unit, "weather")


def _single_figure(row: Mapping[str, str], unit: str) -> float:
    low, high = (in_unit(row, name, unit, "machinery") for name in ("low", "high"))
    if low != high:
        raise TableError.of(
            "table-one-figure",
            file="machinery.csv",
            row=", ".join(row.values()),
            low=row["low"],
            high=row["high"],
        )
    return low


def machinery_values(key: str, unit: str) -> tuple[tuple[float, str, str], ...]:
    """Return all values of a machinery figure on which sources differ, smallest first.

    Returns
    -------
    tuple of (float, str, str)
        Each value in the unit, what it stands for, and the key of its source.

    Raises
    ------
    TableError
        If the table has no such figure, or not in a unit of that kind.
    """
    of_key = [row for row in rows("machinery") if row["key"] == key] or [row_with("machinery", "key", key)]
    return tuple(sorted((_single_figure(row, unit), row["place"], row["source"]) for row in of_key))


def seed_gate(seeds_per_lb: float) -> tuple[int, str, str]:
    """Return the seed-gate notch for seed of a size.

    Returns
    -------
    tuple of (int, str, str)
        The notch, a seed of about that size in words, and the key of the source.

    Raises
    ------
    TableError
        If the table has no notch for seed that large.
    """
    fitting = [row for row in rows("seed_gates") if seeds_per_lb >= float(row["least_seeds_per_lb"])]
    if not fitting:
        raise TableError.of(
            "table-row-missing", file="seed_gates.csv", column="least_seeds_per_lb", cell="0"
        )
    return int(fitting[0]["notch"]), fitting[0]["like"], fitting[0]["source"]


def carrier_lb_per_bu(name: str) -> tuple[float, float, float, str] | None:
    """Return the bulk weight of a carrier; ``None`` if the table has none.

    Returns
    -------
    tuple of (float, float, float, str), or None
        Weight, low and high end of its published range, all in lb/bu, and the key of the source.
    """
    row = next((row for row in rows("carriers") if row["carrier"] == name.casefold()), None)
    if row is None:
        return None
    value, low, high = (in_unit(row, column, "lb/bu", "carriers") for column in ("value", "low", "high"))
    return value, low, high, row["source"]


def source(key: str) -> Source:
    """Return a published source by its key in ``sources.csv``.

    Raises
    ------
    TableError
        If the bibliography has no such key.
    """
    return Source(key=key, title=row_with("sources", "key", key)["title"])
