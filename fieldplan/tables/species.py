"""What is published of a species: counts, depth, box, rates and weights, each with its source."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from fieldplan.tables import read
from fieldplan.tables.names import species_kind

Row = Mapping[str, str]
OWN_COUNT_TIMES = 2.0
"""Seed forms whose counts differ more than this are told apart: the tag's is asked for."""


def published_bushel(species: str) -> tuple[float, float] | None:
    """Return the lowest and highest legal weight of a bushel of a species, in lb; ``None`` if unknown.

    It serves to check a bulk weight that was given, never to replace one that is missing.
    """
    return _range("bushel_weights", species, "lb/bu")


def sowing_rate(species: str) -> tuple[float, float] | None:
    """Return the lowest and highest published rate of a species sown alone, in lb/ac; ``None`` if unknown.

    It serves to check a rate that was given, never to replace one that is missing.
    """
    return _range("sowing_rates", species, "lb/ac")


def _range(table: str, species: str, unit: str) -> tuple[float, float] | None:
    name = species_kind(species).casefold()
    published = [row for row in read.rows(table) if row["species"].casefold() == name]
    if not published:
        return None
    lows, highs = ([read.in_unit(row, end, unit, table) for row in published] for end in ("low", "high"))
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
    witnesses
        How many of them are independent: two that copy each other are one.
    unfit
        Why none of the printed figures may be used; empty if they may.
    """

    value: float
    low: float
    high: float
    sources: tuple[str, ...]
    witnesses: int = 1
    unfit: str = ""


_FIGURES = {"seeds per pound": "1/lb", "depth": "m", "full seeding rate": "lb/ac"}
"""Figures of species and the unit that they are returned in."""


def species_figure(species: str, quantity: str, *, variety: str = "", form: str = "") -> Figure | None:
    """Return a published figure of a species; ``None`` if the table has none.

    A figure of one variety or type, such as the count of one cultivar, stands for seed of that variety alone.
    Without a variety it only widens the range.

    Parameters
    ----------
    species
        A common name, a scientific name or a plant symbol; a variety may follow.
    quantity
        ``"seeds per pound"`` (1/lb), ``"full seeding rate"`` (lb/ac PLS) or ``"depth"`` (m).
    variety
        The variety or type on the tag, if it does not follow the species.
    form
        The form of the seed, one of `forms_of`; figures of other forms are left out.
    """
    published = rows_of(kind_in_form(species, form), quantity)
    if form and any(row["form"] == form for row in published):
        first = next(row["form"] for row in published if row["form"])
        # where a source does not say, it means the form in which such seed is usually sold
        published = [row for row in published if row["form"] in ((form, "") if form == first else (form,))]
    if not published:
        return None
    own = [row for row in published if row["type"] and _is_of(row["type"], f"{species} {variety}")]
    fit = own or [row for row in published if not row["unfit"]]
    value = own or [row for row in fit if not row["type"]]
    usable = fit if value else published
    unfit = "" if value else next((row["unfit"] for row in published if row["unfit"]), "")
    unit = _FIGURES[quantity]
    lows, highs = ([read.in_unit(row, end, unit, "species") for row in usable] for end in ("low", "high"))
    of_value = usable.index((value or usable)[0])
    return Figure(
        value=(lows[of_value] + highs[of_value]) / 2,
        low=min(lows),
        high=max(highs),
        sources=tuple(dict.fromkeys(row["source"] for row in usable)),
        witnesses=witnesses(usable),
        unfit=unfit,
    )


def type_in(species: str, text: str) -> str:
    """Return the variety or type with figures of its own that a text names; empty if it names none.

    Examples
    --------
    >>> type_in("field pea", "Austrian winter pea")
    'Austrian winter'
    """
    return next((row["type"] for row in rows_of(species) if row["type"] and _is_of(row["type"], text)), "")


def _is_of(kind: str, text: str) -> bool:
    words = set(re.findall(r"[a-z0-9]+", text.casefold()))
    return all(word in words for word in kind.casefold().split())


def witnesses(rows: Sequence[Row]) -> int:
    """Return the number of sources that do not repeat one another, by ``twins.csv``."""
    first = {row["source"]: float(row["low"]) for row in reversed(rows)}
    repeated = {
        twin["other"]
        for twin in read.rows("twins")
        if twin["source"] in first
        and twin["other"] in first
        and abs(first[twin["other"]] / first[twin["source"]] - 1) <= float(twin["within"]) / 100
    }
    return len(first) - len(repeated)


def rows_of(species: str, quantity: str = "") -> list[Row]:
    """Return the rows of the species table for a species; of one quantity, if it is named."""
    of_kind = _by_kind().get(species_kind(species).casefold(), [])
    return [row for row in of_kind if quantity in ("", row["quantity"])]


@cache
def _by_kind() -> Mapping[str, list[Row]]:
    """Return the rows of the species table by species, in lower case."""
    found: dict[str, list[Row]] = {}
    for row in read.rows("species"):
        found.setdefault(row["species"].casefold(), []).append(row)
    return found


def word_of(species: str, quantity: str) -> tuple[str, str] | None:
    """Return what the first source says of a species in a word, and its key; ``None`` if none does.

    Parameters
    ----------
    species
        Its name in any form.
    quantity
        ``"box"``, ``"agitator"``, ``"placement"``, ``"light"``, ``"cold stratification"`` or ``"dormant seed"``.
    """
    return next(((row["low"], row["source"]) for row in rows_of(species, quantity)), None)


def usual_box(species: str) -> tuple[str, str] | None:
    """Return the kind of box for a species and the key of the source; ``None`` if unknown."""
    return word_of(species, "box")


def placement(species: str) -> tuple[str, tuple[str, ...]] | None:
    """Return whether seed belongs on the ``"surface"`` or under ``"cover"``, and its sources.

    Where no source says it in words, a published depth means cover. ``None`` if nothing is known.
    """
    said = word_of(species, "placement")
    if said is not None:
        return said[0], (said[1],)
    depth = species_figure(species, "depth")
    return None if depth is None else ("cover", depth.sources)


def forms_of(species: str) -> dict[str, tuple[float, float, tuple[str, ...]]]:
    """Return the seed forms of a species that its counts tell apart: seeds per pound, from and to, and sources.

    Empty where there are fewer than two, or their counts differ less than `OWN_COUNT_TIMES`.

    Examples
    --------
    >>> {form: counts[:2] for form, counts in forms_of("buffalograss").items()}
    {'burs': (49900.0, 56000.0), 'caryopses': (335360.0, 335700.0)}
    """
    by_form: dict[str, list[Row]] = {}
    for kind in _same_plant(species):
        for row in rows_of(kind, "seeds per pound"):
            if row["form"] and not row["unfit"]:
                by_form.setdefault(row["form"], []).append(row)
    found = {
        form: (
            min(read.in_unit(row, "low", "1/lb", "species") for row in rows),
            max(read.in_unit(row, "high", "1/lb", "species") for row in rows),
            tuple(dict.fromkeys(row["source"] for row in rows)),
        )
        for form, rows in by_form.items()
    }
    least = min((low for low, _, _ in found.values()), default=0.0)
    most = max((high for _, high, _ in found.values()), default=0.0)
    return found if len(found) > 1 and most > OWN_COUNT_TIMES * least else {}


def kind_in_form(species: str, form: str) -> str:
    """Return the kind of a plant that is listed under the form of its seed; the species itself if none is.

    Examples
    --------
    >>> kind_in_form("buffalograss", "caryopses"), kind_in_form("switchgrass", "")
    ('buffalograss (caryopses)', 'switchgrass')
    """
    return next((kind for kind in _same_plant(species) if form and kind.endswith(f"({form})")), species)


def _same_plant(species: str) -> list[str]:
    """Return all kinds with the scientific name of a species."""
    return _same_plants().get(species_kind(species), [])


@cache
def _same_plants() -> Mapping[str, list[str]]:
    """Return for each kind all kinds of its scientific name, itself included."""
    by_plant: dict[str, list[str]] = {}
    for row in read.rows("species_names"):
        by_plant.setdefault(row["scientific_name"], []).append(row["species"])
    return {kind: kinds for kinds in by_plant.values() for kind in kinds}
