"""Read the tables in this folder, each figure in the unit asked for and with the key of its source."""

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
from fieldplan.tables.cells import factor
from fieldplan.tables.columns import OF_SPECIES, checked
from fieldplan.units import FACTORS, Kind, parse_quantity

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


def _row(table: str, column: str, cell: str) -> Mapping[str, str]:
    """Return the first row with that cell; raise `TableError` if there is none."""
    found = next((row for row in rows(table) if row[column] == cell), None)
    if found is None:
        raise TableError.of("table-row-missing", file=f"{table}.csv", column=column, cell=cell)
    return found


def _in_unit(row: Mapping[str, str], column: str, unit: str, table: str) -> float:
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
    row = _row("machinery", "key", key)
    return _in_unit(row, "low", unit, "machinery"), _in_unit(row, "high", unit, "machinery"), row["source"]


def machinery_figure(key: str, unit: str) -> tuple[float, str]:
    """Return a machinery figure that is a single number, and the key of its source; see `machinery_range`.

    Raises
    ------
    TableError
        If the table has no such figure, a range instead of it, or not in a unit of that kind.
    """
    row = _row("machinery", "key", key)
    return _single_figure(row, unit), row["source"]


def weather_figure(key: str, unit: str) -> float:
    """Return a figure of ``weather.csv`` in a unit.

    Raises
    ------
    TableError
        If the table has no such figure, or not in a unit of that kind.
    """
    return _in_unit(_row("weather", "key", key), "value", unit, "weather")


def _single_figure(row: Mapping[str, str], unit: str) -> float:
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
    of_key = [row for row in rows("machinery") if row["key"] == key] or [_row("machinery", "key", key)]
    return tuple(sorted((_single_figure(row, unit), row["place"], row["source"]) for row in of_key))


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The likely and the possible range of a quantity, to tell slips of the pen.

    Parameters
    ----------
    key
        The quantity, such as ``drill.row_spacing``.
    unit
        The unit of all figures here; empty for counts.
    likely, possible
        Low and high end. Outside ``likely`` a value is warned of, outside ``possible`` it is refused.
    likely_typed
        The likely range as the table has it.
    nothing
        Whether zero is accepted although it is below the likely range.
    example
        A usual value, as people write it.
    other_units
        Other units that people use for it, most usual first.
    means
        What a value outside the likely range would mean; ``{names}`` in it are filled in.
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
    """Return the band of a quantity, such as ``drill.row_spacing``; ``None`` if the table has none.

    Raises
    ------
    TableError
        If the table gives it in a unit of another kind than ``kind``.
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
    """Return the band of a quantity that must have one; see `band`.

    Raises
    ------
    TableError
        If the table has none, or gives it in a unit of another kind.
    """
    known = band(key, kind)
    if known is None:
        raise TableError.of("table-row-missing", file="plausible.csv", column="key", cell=key)
    return known


def likely(key: str, unit: str) -> tuple[float, float]:
    """Return the low and high end of the likely range of a quantity, in a unit.

    Counts and prices are not converted: ``unit`` must be the table's own.

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


def published_bushel(species: str) -> tuple[float, float] | None:
    """Return the lowest and highest legal weight of a bushel of a species, in lb; ``None`` if unknown.

    It serves to check a bulk weight that was given, never to replace one that is missing.
    """
    name = species_kind(species).casefold()
    row = next((row for row in rows("bushel_weights") if row["species"].casefold() == name), None)
    if row is None:
        return None
    low, high = (_in_unit(row, column, "lb/bu", "bushel_weights") for column in ("low", "high"))
    return low, high


def sowing_rate(species: str) -> tuple[float, float] | None:
    """Return the lowest and highest published rate of a species sown alone, in lb/ac; ``None`` if unknown.

    It serves to check a rate that was given, never to replace one that is missing.
    """
    name = species_kind(species).casefold()
    published = [row for row in rows("sowing_rates") if row["species"].casefold() == name]
    if not published:
        return None
    lows = [_in_unit(row, "low", "lb/ac", "sowing_rates") for row in published]
    highs = [_in_unit(row, "high", "lb/ac", "sowing_rates") for row in published]
    return min(lows), max(highs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure of a species, in the unit of `species_figure`.

    Parameters
    ----------
    value
        The middle of what the first source prints.
    low, high
        The range over all sources.
    sources
        Their keys.
    unfit
        Why none of the printed figures may be used; empty if they may.
    """

    value: float
    low: float
    high: float
    sources: tuple[str, ...]
    unfit: str = ""


_FIGURES = {"seeds per pound": "1/lb", "depth": "m", "full seeding rate": "lb/ac"}
"""Figures of species and the unit that they are returned in."""


def species_figure(species: str, quantity: str) -> Figure | None:
    """Return a published figure of a species; ``None`` if the table has none.

    Parameters
    ----------
    species
        A common name, a scientific name or a plant symbol; a variety may follow.
    quantity
        ``"seeds per pound"`` (1/lb), ``"full seeding rate"`` (lb/ac PLS) or ``"depth"`` (m).
    """
    published = _of_species(species, quantity)
    if not published:
        return None
    fit = [row for row in published if not row["unfit"]]
    usable = fit or published
    unit = _FIGURES[quantity]
    lows = [_in_unit(row, "low", unit, "species") for row in usable]
    highs = [_in_unit(row, "high", unit, "species") for row in usable]
    return Figure(
        value=(lows[0] + highs[0]) / 2,
        low=min(lows),
        high=max(highs),
        sources=tuple(dict.fromkeys(row["source"] for row in usable)),
        unfit="" if fit else usable[0]["unfit"],
    )


@cache
def species_names() -> Mapping[str, str]:
    """Return the common name of every species by each of its names, in lower case.

    Those are its common and scientific name, its plant symbol and its other names.
    """
    main_names, other_names = [], []
    for row in rows("species_names"):
        species = row["species"]
        main_names += [(species, species), (row["scientific_name"], species)]
        other_names += [(name, species) for name in (row["symbol"], *row["other_names"].split(";"))]
    # reversed: where two species share a name, the later entry of the dict, a main name, wins
    return {name.casefold(): species for name, species in reversed((*main_names, *other_names)) if name}


def species_name(species: str) -> str:
    """Return the common name of a species as the tables spell it; the text unchanged if they do not have it.

    Examples
    --------
    >>> species_name("panicum  virgatum"), species_name("orchard grass")
    ('switchgrass', 'orchardgrass')
    """
    plain = " ".join(species.split()).casefold()
    if plain in species_names():
        return species_names()[plain]
    together = _together(plain)
    return _names_together().get(together) or _names_together().get(together.removesuffix("s")) or species


def species_kind(species: str) -> str:
    """Return the species of a name as it stands on a seed tag, where a variety may follow it.

    If no species is found in it, the result is that of `species_name`.

    Examples
    --------
    >>> species_kind("switchgrass, Alamo"), species_kind("Panicum virgatum 'Alamo'")
    ('switchgrass', 'switchgrass')
    """
    name = species_name(species)
    if name.casefold() in species_names() or len(parts := _VARIETY.split(species, maxsplit=1)) < 2:
        return name
    head, rest = parts
    for words in (head, f"{rest} {head}"):  # "clover, red" as well
        named = species_name(words)
        if named.casefold() in species_names() and "(" not in named:
            return named
    return name


_VARIETY = re.compile(r"\s*(?:[,;(]|\s['\"‘“]|\s(?=VNS\b))\s*")
"""What separates the species from the variety on a tag."""


@cache
def _names_together() -> Mapping[str, str]:
    """Return names of species without spaces, hyphens and periods: "orchard grass" is orchardgrass."""
    return {_together(name): common for name, common in species_names().items() if len(name) > 6}


def _together(name: str) -> str:
    return re.sub(r"[^a-z0-9()]", "", name.casefold())


def usual_box(species: str) -> tuple[str, str] | None:
    """Return the kind of box for a species and the key of the source; ``None`` if unknown."""
    return next(((row["low"], row["source"]) for row in _of_species(species, "box")), None)


def _of_species(species: str, quantity: str) -> list[Mapping[str, str]]:
    name = species_kind(species).casefold()
    return [
        row for row in rows("species") if row["quantity"] == quantity and row["species"].casefold() == name
    ]


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
    value, low, high = (_in_unit(row, column, "lb/bu", "carriers") for column in ("value", "low", "high"))
    return value, low, high, row["source"]


def source(key: str) -> Source:
    """Return a published source by its key in ``sources.csv``.

    Raises
    ------
    TableError
        If the bibliography has no such key.
    """
    return Source(key=key, title=_row("sources", "key", key)["title"])
