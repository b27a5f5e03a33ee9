"""The reader of the tables in this folder."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from fieldplan.facts import Measure
from fieldplan.model.notes import Source
from fieldplan.units import Kind, parse_quantity


@cache
def rows(table: str) -> tuple[Mapping[str, str], ...]:
    """The rows of a table, each a mapping from column to text."""
    text = files("fieldplan.tables").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def with_values(text: str) -> tuple[str, dict[str, float]]:
    """A sentence of a table as places and SI values: what stands in it as ``{8.5 ft}`` is shown in the reader's units.

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
    "ft": ("length", "_m"), "in": ("length", "_small_m"), "ft2": ("area", "_small_m2"), "ac": ("area", "_m2"),
    "mph": ("speed", "_m_per_s"), "lb": ("mass", "_kg"),
}  # fmt: skip
"""Units of the tables that a reader may not want, their kind, and the ending of the value's name."""


@cache
def default(table: str, key: str) -> tuple[str, str] | None:
    """Default text of a job-file key and the key of its source, or ``None`` if it has none."""
    found = (row for row in rows("defaults") if row["table"] == table and row["key"] == key)
    return next(((row["value"], row["source"]) for row in found), None)


def asked(table: str, key: str) -> str:
    """What to say of a job-file key that has no default and is missing; empty if its name says it."""
    return next((row["says"] for row in rows("asked") if (row["table"], row["key"]) == (table, key)), "")


def machinery_range(key: str) -> tuple[float, float, str]:
    """Low and high value of a machinery figure as printed, and the key of its source."""
    row = next(row for row in rows("machinery") if row["key"] == key)
    return float(row["low"]), float(row["high"]), row["source"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """What a quantity is likely and what it can possibly be, in its unit; ``nothing`` says that none of it is as likely;
    ``example`` is a value of it as people write it.

    ``other_units`` are others that people use, likeliest first; ``means`` says what a value outside would mean.
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
def band(key: str) -> Band | None:
    """The band of a quantity, such as ``drill.row_spacing``; ``None`` if the table has none."""
    row = next((row for row in rows("plausible") if row["key"] == key), None)
    if row is None:
        return None
    low, high, least, most = (float(row[name]) for name in ("low_likely", "high_likely", "low_possible", "high_possible"))
    return Band(
        key=key, unit=row["unit"], likely=(low, high), likely_typed=(row["low_likely"], row["high_likely"]), possible=(least, most), nothing=row["nothing"] == "yes", example=row["example"],
        other_units=tuple(row["other_units"].split()), means=row["means"],
    )  # fmt: skip


def published_bushel(species: str) -> tuple[float, float] | None:
    """Lowest and highest legal weight of a bushel of a species, in lb: to judge a weight by, never to stand in for one."""
    name = species_kind(species).casefold()
    row = next((row for row in rows("bushel_weights") if row["species"].casefold() == name), None)
    return None if row is None else (float(row["low"]), float(row["high"]))


def sowing_rate(species: str) -> tuple[float, float] | None:
    """Lowest and highest published rate of a species sown alone, in lb/ac: to judge a rate by, never to stand in for one."""
    name = species_kind(species).casefold()
    found = [row for row in rows("sowing_rates") if row["species"].casefold() == name]
    return (min(float(row["low"]) for row in found), max(float(row["high"]) for row in found)) if found else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure of a species: the middle of what the first source prints, and the range over all sources that print one.

    ``unfit`` says why a printed figure must not be used; then there is no other.
    """

    value: float
    low: float
    high: float
    sources: tuple[str, ...]
    unfit: str = ""


def species_figure(species: str, quantity: str) -> Figure | None:
    """A figure of a species by its common or scientific name; ``None`` if the table has none."""
    found = _of_species(species, quantity)
    if not found:
        return None
    fit = [row for row in found if not row["unfit"]]
    first = (fit or found)[0]
    return Figure(
        value=(float(first["low"]) + float(first["high"])) / 2,
        low=min(float(row["low"]) for row in fit or found),
        high=max(float(row["high"]) for row in fit or found),
        sources=tuple(dict.fromkeys(row["source"] for row in fit or found)),
        unfit="" if fit else first["unfit"],
    )


@cache
def species_names() -> Mapping[str, str]:
    """Every name by which a species is known here, in small letters, and its common name: common, scientific, other names, symbol."""
    known: dict[str, str] = {}
    for row in (*rows("species"), *rows("species_names")):
        others = row.get("other_names", "").split(";")
        for name in (row["species"], row["scientific_name"], row.get("symbol", ""), *others):
            if name:
                known.setdefault(name.casefold(), row["species"])
    return known


def species_name(species: str) -> str:
    """The species as the tables spell its common name, if they have it by any of its names or its symbol; else as it is."""
    plain = " ".join(species.split()).casefold()
    if plain in species_names():
        return species_names()[plain]
    together = _together(plain)
    return _names_together().get(together) or _names_together().get(together.removesuffix("s")) or species


def species_kind(species: str) -> str:
    """The species that a name as on a tag is of, such as "switchgrass, Alamo" or "Panicum virgatum 'Alamo'"; else as `species_name`."""
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
        row
        for row in rows("species")
        if row["quantity"] == quantity and name in (row["species"].casefold(), row["scientific_name"].casefold())
    ]


def carrier_lb_per_bu(name: str) -> tuple[float, float, float, str] | None:
    """Weight of a carrier, its published range, in lb/bu, and the key of its source; ``None`` if the table has none."""
    row = next((row for row in rows("carriers") if row["carrier"] == name.casefold()), None)
    return None if row is None else (float(row["value"]), float(row["low"]), float(row["high"]), row["source"])


def source(key: str) -> Source:
    """A published source by its key."""
    return Source(key=key, title=next(row["title"] for row in rows("sources") if row["key"] == key))
