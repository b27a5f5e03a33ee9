"""The tables: every number has a source, every source is used."""

from __future__ import annotations

import re

from conftest import ROOT

from fieldplan.tables import read as tables
from fieldplan.tables.columns import SPECIES_FIGURES
from fieldplan.tables.species import species_figure

TABLES = (
    "defaults",
    "machinery",
    "species",
    "carriers",
    "setup_steps",
    "cautions",
    "seed_gates",
    "drainage",
    "fieldwork_days",
    "frost_rules",
    "rain_rules",
    "soil_evaporation",
    "soil_temperatures",
    "sowing_windows",
    "survey_weeks",
    "weather",
    "handover",
    "packet",
    "plausible",
    "bushel_weights",
    "sowing_rates",
    "test_ages",
    "sale_limits",
    "seed_rules",
)


def test_every_source_is_known_and_used() -> None:
    """Keys in the tables stand in sources.csv; a source that no table and no sentence names is dead."""
    known = {row["key"] for row in tables.rows("sources")}
    named = {row["source"] for table in TABLES for row in tables.rows(table)}
    assert named <= known
    code = " ".join(path.read_text(encoding="utf-8") for path in (ROOT / "fieldplan").rglob("*.py"))
    in_code = {
        key
        for key in known
        if re.search(rf"(source: |\"){re.escape(key)}[\")]|source: {re.escape(key)}\b", code)
    }
    assert known == named | in_code


def test_species_figures_are_in_order() -> None:
    """Low is not over high; a word stands in both; a count, depth or rate that may be used is over 0."""
    for row in tables.rows("species"):
        if row["quantity"] in SPECIES_FIGURES:
            assert 0 < float(row["low"]) <= float(row["high"])
        else:
            assert row["low"] == row["high"]
            assert not row["unit"]


def test_an_unfit_figure_is_never_given() -> None:
    """Of thickspike wheatgrass one printed count is contradicted by another: only that is given. Of sunflower
    all are of the wild form: they come with the reason.
    """
    figure = species_figure("Thickspike Wheatgrass", "seeds per pound")
    assert figure is not None
    assert (figure.low, figure.high, figure.unfit) == (152_460, 152_460, "")
    wild = species_figure("sunflower (crop)", "seeds per pound")
    assert wild is not None
    assert wild.unfit == "the figure is of the wild form"
    differ = species_figure("alfalfa", "seeds per pound")
    assert differ is not None
    assert (differ.value, differ.low, differ.high) == (226_800, 200_000, 227_000)
    assert differ.sources == ("usda-plants", "wvu-trim5302", "cfr-201.46", "sask-rates", "trade-guide")


def test_counts_are_those_of_the_open_dataset() -> None:
    """USDA PLANTS, field Seed per Pound, read in full from its open edition."""
    printed = {
        "wheat": 11_360,
        "barley": 14_000,
        "oats": 19_400,
        "cereal rye": 18_160,
        "alfalfa": 226_800,
        "red clover": 272_160,
        "white clover": 776_000,
        "sainfoin": 32_400,
        "hairy vetch": 16_320,
        "soybean": 5_000,
        "big bluestem": 144_240,
        "little bluestem": 255_000,
        "indiangrass": 174_720,
        "switchgrass": 259_000,
        "sideoats grama": 159_200,
        "blue grama": 825_000,
        "western wheatgrass": 118_000,
        "bluebunch wheatgrass": 125_680,
        "green needlegrass": 167_840,
        "Canada wildrye": 114_000,
        "Indian ricegrass": 161_920,
        "blanketflower": 186_436,
        "Lewis (blue) flax": 294_848,
        "purple prairie clover": 317_000,
        "buckwheat": 20_000,
        "lacy phacelia": 244_944,
    }
    for species, count in printed.items():
        figure = species_figure(species, "seeds per pound")
        assert figure is not None
        assert figure.value == count
        assert bool(figure.unfit) == (species == "soybean")
