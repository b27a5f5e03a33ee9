"""The reader of the tables in this folder."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TypeVar

from fieldplan.errors import InputError, TableError
from fieldplan.facts import Measure
from fieldplan.model.notes import Source
from fieldplan.tables.columns import OF_SPECIES, checked, factor
from fieldplan.units import FACTORS, Kind, parse_quantity

Parsed = TypeVar("Parsed")


@cache
def rows(table: str) -> tuple[Mapping[str, str], ...]:
    """The rows of a table, each a mapping from column to text.

    Raises
    ------
    TableError
        If a cell of it cannot be used.
    """
    read = _read(table)
    known = read if table == "sources" else rows("sources")
    species = {row["species"] for row in rows("species_names")} if table in OF_SPECIES else ()
    return checked(table, read, {row["key"] for row in known}, species)


def _read(table: str) -> tuple[Mapping[str, str], ...]:
    text = files("fieldplan.tables").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def _row(table: str, column: str, cell: str) -> Mapping[str, str]:
    """The row that has that cell.

    Raises
    ------
    TableError
        If there is none.
    """
    found = next((row for row in rows(table) if row[column] == cell), None)
    if found is None:
        raise TableError.of("table-row-missing", file=f"{table}.csv", column=column, cell=cell)
    return found


def _in_unit(row: Mapping[str, str], column: str, unit: str, table: str) -> float:
    """A figure of a row in a unit, whichever unit of that kind the row is in.

    Raises
    ------
    TableError
        If the row's unit is of another kind.
    """
    wanted, given = factor(unit), factor(row["unit"])
    if wanted is None or given is None or wanted[0] != given[0]:
        raise TableError.of(
            "table-unit", file=f"{table}.csv", row=", ".join(row.values()), unit=row["unit"], wanted=unit
        )
    value = float(row[column])
    return value if wanted[1] == given[1] else value * given[1] / wanted[1]


def with_values(text: str) -> tuple[str, dict[str, float]]:
    """A sentence of a table as places and SI values: what stands in it as ``{8.5 ft}`` is shown in the
    reader's units.

    A quantity whose unit is the same in either units, such as 15 min, stays as it is.
    """
    values: dict[str, float] = {}

    def place(match: re.Match[str]) -> str:
        if match["unit"] not in _TYPED:
            return match["typed"]
        kind, ending = _TYPED[match["unit"]]
        name = f"q{len(values) + 1}_typed{ending}"
        values[name] = parse_quantity(match["typed"], kind)
        return f"{{{name}}}"

    return _QUANTITY.sub(place, text), values


def quantity(text: str) -> Measure | str:
    """A cell as a quantity in SI, if its unit is one that a reader may not want; else as it stands."""
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
"""Units of the tables that a reader may not want, their kind, and the ending of the value's name."""


@cache
def default(table: str, key: str) -> tuple[str, str] | None:
    """Default text of a job-file key and the key of its source, or ``None`` if it has none."""
    found = (row for row in rows("defaults") if row["table"] == table and row["key"] == key)
    return next(((row["value"], row["source"]) for row in found), None)


def default_read(table: str, key: str, parse: Callable[[str], Parsed]) -> tuple[Parsed, str, str] | None:
    """The default of a job-file key as its value, its text and the key of its source, or ``None`` if it has
    none.

    Raises
    ------
    TableError
        If it cannot be read as that.
    """
    found = default(table, key)
    if found is None:
        return None
    text, source_key = found
    try:
        return parse(text), text, source_key
    except InputError as error:
        why = error.problems[0].as_fact()
        raise TableError.of(
            "table-row", file="defaults.csv", row=f"{table}, {key}", column="value", why=why
        ) from None


def needed_default(table: str, key: str, parse: Callable[[str], Parsed]) -> tuple[Parsed, str, str]:
    """The same of a key that must have one.

    Raises
    ------
    TableError
        If the table has none, or it cannot be read as that.
    """
    found = default_read(table, key, parse)
    if found is None:
        raise TableError.of("table-row-missing", file="defaults.csv", column="key", cell=key)
    return found


def asked(table: str, key: str) -> str:
    """What to say of a job-file key that has no default and is missing; empty if its name says it."""
    return next((row["says"] for row in rows("asked") if (row["table"], row["key"]) == (table, key)), "")


def machinery_range(key: str, unit: str) -> tuple[float, float, str]:
    """Low and high value of a machinery figure in a unit, and the key of its source.

    Raises
    ------
    TableError
        If the table has no such figure, or not in a unit of that kind.
    """
    row = _row("machinery", "key", key)
    return _in_unit(row, "low", unit, "machinery"), _in_unit(row, "high", unit, "machinery"), row["source"]


def machinery_figure(key: str, unit: str) -> tuple[float, str]:
    """A machinery figure that is one number, in a unit, and the key of its source.

    Raises
    ------
    TableError
        If the table has no such figure, a range instead of it, or not in a unit of that kind.
    """
    row = _row("machinery", "key", key)
    return _one_figure(row, unit), row["source"]


def _one_figure(row: Mapping[str, str], unit: str) -> float:
    low, high = (_in_unit(row, name, unit, "machinery") for name in ("low", "high"))
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
    """All values of a figure that sources give differently, in a unit, from the least to the most, with
    what each is and its source's key.
    """
    found = [row for row in rows("machinery") if row["key"] == key] or [_row("machinery", "key", key)]
    return tuple(sorted((_one_figure(row, unit), row["place"], row["source"]) for row in found))


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """What a quantity is likely and what it can possibly be, in its unit; ``nothing`` says that none of it
    is as likely; ``example`` is a value of it as people write it.

    ``other_units`` are others that people use, likeliest first; ``means`` says what a value outside would
    mean.
    """

    key: str
    unit: str
    likely: tuple[float, float]
    likely_typed: tuple[str, str]
    possible: tuple[float, float]
    nothing: bool
    example: str
    other_units: tuple[str, ...]
    means: str


@cache
def band(key: str, kind: Kind | None = None) -> Band | None:
    """The band of a quantity, such as ``drill.row_spacing``; ``None`` if the table has none.

    Raises
    ------
    TableError
        If it is not in a unit of the ``kind`` that is asked for.
    """
    row = next((row for row in rows("plausible") if row["key"] == key), None)
    if row is None:
        return None
    if kind is not None and row["unit"] not in FACTORS[kind]:
        raise TableError.of(
            "table-unit", file="plausible.csv", row=", ".join(row.values()), unit=row["unit"], wanted=kind
        )
    low, high = float(row["low_likely"]), float(row["high_likely"])
    minimum, maximum = float(row["low_possible"] or -math.inf), float(row["high_possible"] or math.inf)
    return Band(
        key=key,
        unit=row["unit"],
        likely=(low, high),
        likely_typed=(row["low_likely"], row["high_likely"]),
        possible=(minimum, maximum),
        nothing=row["nothing"] == "yes",
        example=row["example"],
        other_units=tuple(row["other_units"].split()),
        means=row["means"],
    )


def needed_band(key: str, kind: Kind | None = None) -> Band:
    """The same of a quantity that must have one.

    Raises
    ------
    TableError
        If the table has none.
    """
    found = band(key, kind)
    if found is None:
        raise TableError.of("table-row-missing", file="plausible.csv", column="key", cell=key)
    return found


def likely(key: str, unit: str) -> tuple[float, float]:
    """From what to what a quantity that must have a band is likely, in a unit; what is counted or paid has
    one unit alone.

    Raises
    ------
    TableError
        If the table has no such band, or not in a unit of that kind.
    """
    row = _row("plausible", "key", key)
    if row["unit"] == unit:
        return float(row["low_likely"]), float(row["high_likely"])
    return _in_unit(row, "low_likely", unit, "plausible"), _in_unit(row, "high_likely", unit, "plausible")


def seed_gate(seeds_per_lb: float) -> tuple[int, str, str]:
    """Notch of the seed gate for seed of a size, what it is as large as, and the key of the source.

    Raises
    ------
    TableError
        If the table ends before seed that large.
    """
    fitting = [row for row in rows("seed_gates") if seeds_per_lb >= float(row["least_seeds_per_lb"])]
    if not fitting:
        raise TableError.of(
            "table-row-missing", file="seed_gates.csv", column="least_seeds_per_lb", cell="0"
        )
    return int(fitting[0]["notch"]), fitting[0]["like"], fitting[0]["source"]


def published_bushel(species: str) -> tuple[float, float] | None:
    """Lowest and highest legal weight of a bushel of a species, in lb: to judge a weight by, never to stand
    in for one.
    """
    name = species_kind(species).casefold()
    row = next((row for row in rows("bushel_weights") if row["species"].casefold() == name), None)
    return (
        None
        if row is None
        else (
            _in_unit(row, "low", "lb/bu", "bushel_weights"),
            _in_unit(row, "high", "lb/bu", "bushel_weights"),
        )
    )


def sowing_rate(species: str) -> tuple[float, float] | None:
    """Lowest and highest published rate of a species sown alone, in lb/ac: to judge a rate by, never to
    stand in for one.
    """
    name = species_kind(species).casefold()
    found = [row for row in rows("sowing_rates") if row["species"].casefold() == name]
    if not found:
        return None
    low, high = (
        [_in_unit(row, name, "lb/ac", "sowing_rates") for row in found] for name in ("low", "high")
    )
    return min(low), max(high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure of a species: the middle of what the first source prints, and the range over all sources
    that print one.

    ``unfit`` says why a printed figure must not be used; then there is no other.
    """

    value: float
    low: float
    high: float
    sources: tuple[str, ...]
    unfit: str = ""


_FIGURES = {"seeds per pound": "1/lb", "depth": "m", "full stand": "lb/ac"}
"""Figures of species and the unit that they are asked for in."""


def species_figure(species: str, quantity: str) -> Figure | None:
    """A figure of a species by its common or scientific name; ``None`` if the table has none."""
    found = _of_species(species, quantity)
    if not found:
        return None
    fit = [row for row in found if not row["unfit"]]
    first = (fit or found)[0]
    unit = _FIGURES[quantity]
    return Figure(
        value=(_in_unit(first, "low", unit, "species") + _in_unit(first, "high", unit, "species")) / 2,
        low=min(_in_unit(row, "low", unit, "species") for row in fit or found),
        high=max(_in_unit(row, "high", unit, "species") for row in fit or found),
        sources=tuple(dict.fromkeys(row["source"] for row in fit or found)),
        unfit="" if fit else first["unfit"],
    )


@cache
def species_names() -> Mapping[str, str]:
    """Every name by which a species is known here, in small letters, and its common name: common,
    scientific, other names, symbol.
    """
    own = [
        (row[column], row["species"])
        for row in rows("species_names")
        for column in ("species", "scientific_name")
    ]
    others = [
        (name, row["species"])
        for row in rows("species_names")
        for name in (row["symbol"], *row["other_names"].split(";"))
    ]
    return {name.casefold(): species for name, species in reversed((*own, *others)) if name}


def species_name(species: str) -> str:
    """The species as the tables spell its common name, if they have it by any of its names or its symbol;
    else as it is.
    """
    plain = " ".join(species.split()).casefold()
    if plain in species_names():
        return species_names()[plain]
    together = _together(plain)
    return _names_together().get(together) or _names_together().get(together.removesuffix("s")) or species


def species_kind(species: str) -> str:
    """The species that a name as on a tag is of, such as "switchgrass, Alamo" or "Panicum virgatum
    'Alamo'"; else as `species_name`.
    """
    name = species_name(species)
    if name.casefold() in species_names() or len(parts := _VARIETY.split(species, maxsplit=1)) < 2:
        return name
    head, rest = parts
    for one in (head, f"{rest} {head}"):  # "clover, red" as well
        named = species_name(one)
        if named.casefold() in species_names() and "(" not in named:
            return named
    return name


_VARIETY = re.compile(r"\s*(?:[,;(]|\s['\"‘“]|\s(?=VNS\b))\s*")
"""What parts the species from the variety on a tag."""


@cache
def _names_together() -> Mapping[str, str]:
    """Names of species without their blanks, hyphens and full stops: "orchard grass" is orchardgrass."""
    return {_together(name): common for name, common in species_names().items() if len(name) > 6}


def _together(name: str) -> str:
    return re.sub(r"[^a-z0-9()]", "", name.casefold())


def usual_box(species: str) -> tuple[str, str] | None:
    """The kind of box that a species usually goes in, and the key of the source that says so."""
    return next(((row["low"], row["source"]) for row in _of_species(species, "box")), None)


def _of_species(species: str, quantity: str) -> list[Mapping[str, str]]:
    name = species_kind(species).casefold()
    return [
        row for row in rows("species") if row["quantity"] == quantity and row["species"].casefold() == name
    ]


def carrier_lb_per_bu(name: str) -> tuple[float, float, float, str] | None:
    """Weight of a carrier, its published range, in lb/bu, and the key of its source; ``None`` if the table
    has none.
    """
    row = next((row for row in rows("carriers") if row["carrier"] == name.casefold()), None)
    if row is None:
        return None
    value, low, high = (_in_unit(row, name, "lb/bu", "carriers") for name in ("value", "low", "high"))
    return value, low, high, row["source"]


def source(key: str) -> Source:
    """A published source by its key.

    Raises
    ------
    TableError
        If the bibliography has no such key.
    """
    return Source(key=key, title=_row("sources", "key", key)["title"])
