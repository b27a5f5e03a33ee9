"""Lines of a tag that matter: dormant and hard seed, weeds, other crop, tests by tetrazolium."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from fieldplan.model.seed import Component, Mix, Rate
from fieldplan.model.seed_law import SeedLaw
from fieldplan.seed.labels import label_notes

LOT = Component(
    species="switchgrass",
    lot="7",
    box="small",
    rate=Rate(value=0.001, basis="pls"),
    purity_frac=0.95,
    germination_frac=0.62,
    hard_frac=0.03,
    dormant_frac=0.3,
    bulk_kg_per_m3=500,
    bag_kg=25,
    inert_frac=0.03,
    other_crop_frac=0.01,
    weed_frac=0.01,
    tested=date(2027, 1, 1),
    origin="Iowa",
    noxious=("none",),
)


def _texts(state: str = "", **changed: Any) -> dict[str, str]:
    mix = Mix(name="m", components=(replace(LOT, **changed),), overage_frac=0.0)
    notes = label_notes(mix, SeedLaw(state=state))
    return {f"{note.code}/{note.case}": note.text for note in notes}


def test_a_tag_that_says_all_leaves_nothing_to_ask() -> None:
    """Not one note."""
    assert _texts() == {}


@pytest.mark.parametrize(
    ("species", "case"),
    [("switchgrass", "dormant"), ("PAVI2", "dormant"), ("partridge pea", "hard"), ("wheat", "")],
)
def test_dormant_and_hard_seed_are_asked_for_where_they_matter(species: str, case: str) -> None:
    """By 7 CFR 201.57a, and by the trade for hard seed; not of wheat, nor where one of both is given."""
    both = frozenset({"hard", "dormant"})
    found = _texts(species=species, hard_frac=0.0, dormant_frac=0.0, unsaid=both)
    assert set(found) == ({f"dormant-unsaid/{case}"} if case else set())
    assert _texts(species=species, unsaid=frozenset({"hard"})) == {}
    none_said = {"hard_frac": 0.0, "dormant_frac": 0.0}
    assert _texts(species=species, unsaid=frozenset(), **none_said) == {}
    only_hard_said = _texts(species=species, unsaid=frozenset({"dormant"}), **none_said)
    assert set(only_hard_said) == ({"dormant-unsaid/dormant"} if case == "dormant" else set())


@pytest.mark.parametrize(
    ("state", "weed_frac", "sold"),
    [
        ("New York", 0.01, True),
        ("New York", 0.011, False),
        ("Maryland", 0.025, True),
        ("Ohio", 0.025, True),
    ],
)
def test_weed_seed_is_compared_with_what_the_state_lets_be_sold(
    state: str, weed_frac: float, sold: bool
) -> None:
    """1 % in New York, 2.5 % in Maryland; no figure of Ohio was found."""
    found = _texts(state, purity_frac=0.9, inert_frac=None, weed_frac=weed_frac)
    assert ("not-sold/weed" not in found) == sold


def test_germination_and_purity_have_least_shares() -> None:
    """75 and 90 % in Tennessee: germination and hard seed together, dormant seed left out."""
    found = _texts("Tennessee", purity_frac=0.89, inert_frac=None)
    assert (
        "purity switchgrass (7) 89 %: Tennessee lets seed be sold with 90 % at least"
        in found["not-sold/purity"]
    )
    assert "switchgrass (7) 65 %" in found["not-sold/live"]
    assert _texts("Tennessee", germination_frac=0.72, dormant_frac=0.0) == {}


def test_noxious_weeds_are_named_with_the_state_where_they_count() -> None:
    """As the tag has them; "none" is no weed."""
    found = _texts("Iowa", noxious=("quackgrass 9/lb", "dodder 5/lb"))
    assert "switchgrass (7): quackgrass 9/lb, dodder 5/lb" in found["noxious-named/"]
    assert "where it is sown, Iowa." in found["noxious-named/"]
    assert _texts(noxious=("None found",)) == {}
    found = _texts("North Dakota", noxious=("dodder 20/lb",))
    assert "(restricted weeds are named when over 13 a pound in grasses" in found["noxious-named/"]


def test_other_crop_over_five_percent_must_be_named() -> None:
    """7 CFR 201: each kind over 5 %."""
    assert _texts(other_crop_frac=0.05, purity_frac=0.9, inert_frac=None) == {}
    assert "other-crop-high/" in _texts(other_crop_frac=0.051, purity_frac=0.9, inert_frac=None)


@pytest.mark.parametrize(
    ("state", "says"),
    [
        (
            "Colorado",
            "in Colorado it may not replace the germination test unless a rule allows it (source: law-co)",
        ),
        ("Wisconsin", "in Wisconsin native seed may be analyzed by it"),
        ("Ohio", "not what germinates."),
    ],
)
def test_a_tetrazolium_test_comes_with_its_date_and_the_rule_of_the_state(state: str, says: str) -> None:
    """Without a date it is asked for."""
    found = _texts(state, tz_frac=0.95, tz_tested=date(2027, 2, 1))
    assert "switchgrass (7) 95 %, Feb 2027" in found["tz-counted/"]
    assert says in found["tz-counted/"]
    assert "tz-undated/" in _texts(state, tz_frac=0.95)
