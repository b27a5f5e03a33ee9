"""The species table against the list of figures that it was made from, each with its source and its place.

The list (``species/species-figures.csv`` and ``species-more.csv`` of the references) holds what USDA PLANTS, 7 CFR
201.46 and 201.58, universities, districts and the seed trade print. Nothing of it may be lost or narrowed, and
nothing may stand in the table that is not in it, but for what is listed here.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path

import pytest
from conftest import ROOT

from fieldplan.tables import read as tables
from fieldplan.tables.names import species_name
from fieldplan.tables.species import species_figure

FOLDER = ROOT.parent / "shared" / "references" / "species"
OTHER_NAMES = {
    "field mustard / turnip rape": "field mustard",
    "field pea (Austrian winter pea)": "field pea",
    "rapeseed (canola, winter rape)": "rapeseed",
    "upright prairie coneflower (Mexican hat)": "prairie coneflower",
}
"""Kinds of the list by their names in the table."""
FROM_THE_NOTES = {
    # 7 CFR 201.46: seeds per gram of other forms and types, as the notes on the list quote them
    ("sideoats grama", "728000"): 1605,
    ("James' galleta", "263100"): 580,
    ("white clover", "877700"): 1935,
}
BY_ONE_MIX = {("blue grama", "640332"), ("slender wheatgrass", "110207")}
"""Counts that follow from a mix table of a state board: pounds per acre and seeds per square foot."""
LEFT_OUT = {("sorghum-sudangrass", "27280", "44240")}
"""A figure of the two parents, kept with the reason why it may not be used."""
Row = Mapping[str, str]
pytestmark = pytest.mark.skipif(
    not FOLDER.is_dir(), reason="needs the list of published figures beside the project"
)


def _listed(name: str) -> list[Row]:
    with Path(FOLDER / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _kind(name: str) -> str:
    return OTHER_NAMES.get(name, name)


def _ranges(rows: Iterable[Row]) -> dict[tuple[str, str], tuple[float, float]]:
    """The range of each species by each source."""
    found: dict[tuple[str, str], list[float]] = defaultdict(list)
    for row in rows:
        found[_kind(row["species"]), row["source"]] += [float(row["low"]), float(row["high"])]
    return {key: (min(values), max(values)) for key, values in found.items()}


def _of(quantity: str, table: str = "species") -> list[Row]:
    return [row for row in tables.rows(table) if row.get("quantity", quantity) == quantity]


@pytest.mark.parametrize(
    ("listed", "own"),
    [("seeds per pound", "seeds per pound"), ("depth", "depth"), ("full stand", "full seeding rate")],
)
def test_every_range_is_kept(listed: str, own: str) -> None:
    """By species and source, from the lowest to the highest that it prints."""
    published = _ranges(row for row in _listed("species-figures.csv") if row["quantity"] == listed)
    shipped = _ranges(
        row
        for row in _of(own)
        if (row["species"], row["low"]) not in FROM_THE_NOTES and row["source"] != "bwsr-dry"
    )
    for key in [key for key in shipped if key[0] == "sorghum-sudangrass" and key[1] == "usda-plants"]:
        del shipped[key]
    assert shipped == published


def test_of_counts_only_a_few_are_not_in_the_list() -> None:
    """Other forms by 7 CFR 201.46, four digits of seeds per gram × 453.59237; two counts by a state's mix."""
    listed = {
        (_kind(row["species"]), row["source"], row["low"])
        for row in _listed("species-figures.csv")
        if row["quantity"] == "seeds per pound"
    }
    further = {
        (row["species"], row["low"]): row
        for row in _of("seeds per pound")
        if (row["species"], row["source"], row["low"]) not in listed
    }
    parents = ("sorghum-sudangrass", "27280")
    split = ("bahiagrass", "272200")  # listed as one range with the other varieties
    assert set(further) - {split} == {*FROM_THE_NOTES, *BY_ONE_MIX, parents}
    assert further[parents]["unfit"]
    for (species, count), per_gram in FROM_THE_NOTES.items():
        assert float(count) == pytest.approx(per_gram * 453.59237, rel=2e-4), species


@pytest.mark.parametrize("quantity", ["box", "placement"])
def test_every_word_is_kept(quantity: str) -> None:
    """By species and source; further boxes are common practice, and say so."""
    published = {
        (_kind(row["species"]), row["source"], row["low"])
        for row in _listed("species-figures.csv")
        if row["quantity"] == quantity
    }
    shipped = {(row["species"], row["source"], row["low"]) for row in _of(quantity)}
    assert published <= shipped
    assert {source for _, source, _ in shipped - published} <= {"practice"}


def test_light_and_cold_stratification_are_as_listed() -> None:
    """The laboratory's rule and the need for light stay apart; cold stratification is that of USDA PLANTS."""
    published = [row for row in _listed("species-figures.csv") if row["quantity"] == "light"]
    in_laboratories = {(row["species"], row["low"]) for row in published if row["source"] == "cfr-201.58"}
    assert {(row["species"], row["low"]) for row in _of("light in the laboratory")} == in_laboratories
    needed = {(_kind(row["species"]), row["source"]) for row in published if row["source"] != "cfr-201.58"}
    assert {(row["species"], row["source"]) for row in _of("light")} == needed
    cold = {
        (_kind(row["common_name"]), row["cold_stratification"])
        for row in _listed("species-more.csv")
        if row["cold_stratification"]
    }
    assert {(row["species"], row["low"]) for row in _of("cold stratification")} == cold


def test_every_season_and_rate_stands_in_one_of_the_tables() -> None:
    """Days of one state as a window, else in the words of the source; rates by weight with the others."""
    listed = _listed("species-figures.csv")
    windows = {
        (row["species"], row["source"], row["place"])
        for row in tables.rows("sowing_windows")
        if row["place"]
    }
    seasons = {(row["species"], row["source"], row["low"]) for row in _of("season")}
    for row in (row for row in listed if row["quantity"] == "planting"):
        kind, source, words = _kind(row["species"]), row["source"], row["low"]
        held = (kind, source, words) in seasons or any(
            place in words for species, key, place in windows if (species, key) == (kind, source)
        )
        assert held, row
    rates = {
        (row["species"], row["source"], row["low"], row["high"])
        for row in (*tables.rows("sowing_rates"), *_of("rate as printed"))
    }
    for row in (row for row in listed if row["quantity"] == "rate as printed"):
        assert (_kind(row["species"]), row["source"], row["low"], row["high"]) in rates, row


@pytest.mark.parametrize(
    ("quantity", "table"), [("min soil temp", "soil_temperatures"), ("test weight", "bushel_weights")]
)
def test_every_temperature_and_weight_is_kept(quantity: str, table: str) -> None:
    """By species, source, low and high end."""
    published = {
        (_kind(row["species"]), row["source"], row["low"], row["high"])
        for row in _listed("species-figures.csv")
        if row["quantity"] == quantity
    }
    shipped = {(row["species"], row["source"], row["low"], row["high"]) for row in tables.rows(table)}
    assert published <= shipped


def test_every_name_finds_its_kind() -> None:
    """Common and scientific names, federal plant symbols and other names of all kinds of the list."""
    listed = _listed("species-more.csv")
    symbols = [row["symbol"] for row in listed]
    for row in listed:
        kind = _kind(row["common_name"])
        assert species_name(kind) == kind
        shared = "buffalograss" in kind  # two kinds of one plant, told apart by the form of its seed
        if not shared:
            assert species_name(row["scientific_name"].upper()) == kind
        if row["symbol"] and symbols.count(row["symbol"]) == 1:
            assert species_name(row["symbol"].lower()) == kind


def test_switchgrass_spreads_by_cultivar() -> None:
    """224,000 to 426,000 a pound; of Alamo only its own."""
    every = species_figure("Panicum virgatum", "seeds per pound")
    alamo = species_figure("switchgrass, Alamo", "seeds per pound")
    assert every is not None
    assert alamo is not None
    assert (every.low, every.high) == (224_000, 426_000)
    assert (alamo.low, alamo.value, alamo.high) == (426_000,) * 3


def test_two_sources_that_copy_each_other_are_one() -> None:
    """USDA PLANTS 259,000 and 7 CFR 258,500; PLANTS 114,000 and 7 CFR 86,180 of Canada wildrye are two."""
    alike = species_figure("switchgrass", "seeds per pound")
    apart = species_figure("Canada wildrye", "seeds per pound")
    assert alike is not None
    assert apart is not None
    assert (alike.witnesses, len(alike.sources)) == (3, 4)
    assert (apart.witnesses, len(apart.sources)) == (3, 3)
