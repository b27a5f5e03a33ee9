"""All that the tables hold of a species, gathered by its name in any form."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from fieldplan.model.seed import Component
from fieldplan.model.species import Count, Printed, SpeciesFacts, Window
from fieldplan.tables import read as tables
from fieldplan.tables.columns import SPECIES_FIGURES
from fieldplan.tables.names import misspelled, species_kind, species_names
from fieldplan.tables.species import forms_of, kind_in_form, rows_of, species_figure
from fieldplan.units import ACRE_M2, BUSHEL_M3, POUND_KG

_A_YEAR = 2027
"""A year that days of any year are shown by; no leap year."""
_SI: dict[str, tuple[str, str, float]] = {
    "seeds per pound": ("1/lb", "_seeds_per_kg", 1 / POUND_KG),
    "full seeding rate": ("lb/ac", "_kg_per_m2", POUND_KG / ACRE_M2),
    "rate as printed": ("lb/ac", "_kg_per_m2", POUND_KG / ACRE_M2),
    "rate alone": ("lb/ac", "_kg_per_m2", POUND_KG / ACRE_M2),
    "depth": ("m", "_small_m", 1.0),
    "test weight": ("lb/bu", "_kg_per_m3", POUND_KG / BUSHEL_M3),
}
"""The unit to read each quantity in, the ending of its name in SI, and the factor to that."""
WANTED = (
    "seeds per pound",
    "depth",
    "placement",
    "box",
    "agitator",
    "light",
    "cold stratification",
    "soil temperature",
    "season",
)
"""What whoever sows a species should know of it."""


def species_facts(name: str, *, variety: str = "", form: str = "") -> SpeciesFacts:
    """All that the tables hold of a species, each figure with its source.

    Parameters
    ----------
    name
        A common, scientific or other name, or a plant symbol; a variety may follow, and it may be misspelled.
    variety, form
        As the tag names them: they choose among counts.
    """
    kind, taken = species_kind(name), False
    if kind.casefold() not in species_names():
        near, surely = misspelled(name)
        if not surely:
            return SpeciesFacts(named=name, kind="", asked=WANTED)
        kind, taken = near, True
    kind = kind_in_form(kind, form)
    row = tables.row_with("species_names", "species", kind)
    printed, windows = tuple(_printed(kind)), tuple(_windows(kind))
    there = {one.quantity for one in printed} | ({"season"} if windows else set())
    if "depth" in there:
        there.add("placement")  # under cover, as deep as that
    figure = species_figure(kind, "seeds per pound", variety=f"{name} {variety}", form=form)
    return SpeciesFacts(
        named=name,
        kind=kind,
        taken=taken,
        scientific_name=row["scientific_name"],
        symbol=row["symbol"],
        other_names=tuple(other for other in row["other_names"].split(";") if other),
        count=None
        if figure is None
        else Count(
            per_kg=figure.value / POUND_KG,
            low_per_kg=figure.low / POUND_KG,
            high_per_kg=figure.high / POUND_KG,
            witnesses=figure.witnesses,
            sources=figure.sources,
            unfit=figure.unfit,
            forms=_forms(kind, form, name),
        ),
        printed=printed,
        windows=windows,
        asked=tuple(quantity for quantity in WANTED if quantity not in there),
    )


def facts_of(components: Iterable[Component]) -> tuple[SpeciesFacts, ...]:
    """What is known of each species of some lots, by name."""
    tags = dict.fromkeys((one.species, one.variety, one.form) for one in components)
    found = [species_facts(name, variety=variety, form=form) for name, variety, form in tags]
    return tuple(sorted(found, key=lambda facts: facts.named.casefold()))


def _forms(kind: str, form: str, name: str) -> tuple[tuple[str, float, float], ...]:
    forms = forms_of(kind)
    if form in forms or any(one in name.casefold() for one in forms):
        return ()
    return tuple((one, low / POUND_KG, high / POUND_KG) for one, (low, high, _) in forms.items())


def _printed(kind: str) -> Iterator[Printed]:
    for row in rows_of(kind):
        is_figure = row["quantity"] in SPECIES_FIGURES
        low, high, ending = _in_si(row, row["quantity"], "species") if is_figure else (None, None, "")
        pls = "PLS" if row["unit"].endswith("PLS") else ""
        yield Printed(
            quantity=row["quantity"],
            low=low,
            high=high,
            ending=ending,
            word="" if is_figure else row["low"],
            form=row["form"],
            variety=row["type"],
            source=row["source"],
            place=row["place"],
            note="; ".join(text for text in (pls, row["note"]) if text),
            unfit=row["unfit"],
        )
    for table, quantity in (("sowing_rates", "rate alone"), ("bushel_weights", "test weight")):
        for row in (row for row in tables.rows(table) if row["species"] == kind):
            low, high, ending = _in_si(row, quantity, table)
            yield Printed(
                quantity=quantity,
                low=low,
                high=high,
                ending=ending,
                source=row["source"],
                place=row["place"],
            )
    for row in (row for row in tables.rows("soil_temperatures") if row["species"] == kind):
        yield Printed(
            quantity="soil temperature",
            low=(float(row["low"]) - 32) / 1.8,
            high=(float(row["high"]) - 32) / 1.8,
            ending="_c",
            source=row["source"],
            place=row["place"],
        )


def _in_si(row: Mapping[str, str], quantity: str, table: str) -> tuple[float, float, str]:
    """The low and high end of a figure in SI, and the ending of its name."""
    unit, ending, factor = _SI[quantity]
    low, high = (tables.in_unit(row, end, unit, table) * factor for end in ("low", "high"))
    return low, high, ending


def _windows(kind: str) -> Iterator[Window]:
    for row in (row for row in tables.rows("sowing_windows") if row["species"] == kind):
        first, last = (date.fromisoformat(f"{_A_YEAR}-{row[end]}") for end in ("first", "last"))
        yield Window(
            state=row["state"],
            purpose=row["purpose"],
            first=first,
            last=last,
            source=row["source"],
            place=row["place"],
        )
