"""Seed tags as a job file gives them: names, seed form, tetrazolium, months, and the spread of the order."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from conftest import SAMPLES

from fieldplan.errors import JobFileError
from fieldplan.jobfile.days import test_month as month_of_test
from fieldplan.jobfile.load import job_of, read_toml
from fieldplan.model.budget import Delivery
from fieldplan.model.job import Job
from fieldplan.model.seed import Component
from fieldplan.seed.order import order_lines

PATH = Path("farm.toml")
TAG = {
    "species": "switchgrass",
    "box": "small",
    "rate": "2 lb/ac PLS",
    "purity": "95 %",
    "germination": "62 %",
    "dormant": "30 %",
    "bulk_weight": "40 lb/bu",
}


def _job(*, law: dict[str, Any] | None = None, without: tuple[str, ...] = (), **given: Any) -> Job:
    tag = {key: value for key, value in {**TAG, **given}.items() if key not in without}
    document = {**read_toml(SAMPLES / "farm.toml"), "mix": [{"name": "m", "component": [tag]}], "cost": {}}
    return job_of({**document, "seed_law": law or {}}, PATH)


def _lot(**given: Any) -> Component:
    return _job(**given).mixes[0].components[0]


def _refused(**given: Any) -> str:
    with pytest.raises(JobFileError) as refusal:
        _job(**given)
    return "\n".join(f"{one.text} {one.hint}" for one in refusal.value.problems)


@pytest.mark.parametrize(
    ("name", "kind", "per_lb"),
    [
        ("switchgrass", "switchgrass", 259_000),
        ("Panicum virgatum", "switchgrass", 259_000),
        ("PAVI2", "switchgrass", 259_000),
        ("swichgrass", "switchgrass", 259_000),
        ("Panicum virgatm", "switchgrass", 259_000),
        ("switchgrass, Alamo", "switchgrass, Alamo", 426_000),
        ("Austrian winter pea", "field pea", 5_000),
        ("winter rape", "rapeseed", 104_300),
        ("canola", "rapeseed", 156_960),
        ("ladino clover", "ladino clover", None),
        ("white clover, Ladino", "white clover, Ladino", 877_700),
        ("buffalograss (caryopses)", "buffalograss (caryopses)", 335_360),
    ],
)
def test_a_name_in_any_form_finds_the_count_of_its_kind(name: str, kind: str, per_lb: int | None) -> None:
    """Common, scientific and other names, plant symbols, slips of them, with a variety or type."""
    if per_lb is None:
        assert "seeds per pound" in _refused(species=name, rate="20 seeds/ft2")
        return
    lot = _lot(species=name, rate="20 seeds/ft2")
    assert lot.species == kind
    assert lot.seeds_per_kg is not None
    assert lot.seeds_per_kg * 0.45359237 == pytest.approx(per_lb)


def test_what_is_meant_as_it_stands_is_taken_for_nothing_else() -> None:
    """The slip may be a name."""
    assert _lot(species="swichgrass", meant=["species"]).species == "swichgrass"


def test_the_form_of_seed_is_asked_for_where_a_count_depends_on_it() -> None:
    """Sideoats florets 158,800 and caryopses 728,000 a pound: a rate in seeds needs the form, or a count."""
    said = _refused(species="sideoats grama", rate="20 seeds/ft2")
    assert "differs 4.58 times by the form of its seed" in said
    assert 'add form = "florets" or "caryopses"' in said
    florets = _lot(species="sideoats grama", rate="20 seeds/ft2", form="florets")
    grain = _lot(species="BOCU", rate="20 seeds/ft2", form="caryopsis")
    assert florets.seeds_per_kg is not None
    assert grain.seeds_per_kg is not None
    assert grain.seeds_per_kg / florets.seeds_per_kg == pytest.approx(728_000 / 159_200)
    assert _lot(species="sideoats grama", rate="20 seeds/ft2", seeds_per_pound=160000).form == ""
    assert 'no count of buffalograss (burs) as "flakes"' in _refused(species="buffalograss", form="flakes")


def test_the_form_chooses_the_kind() -> None:
    """Buffalograss burs and naked grain differ almost seven times, in count and rate."""
    assert _lot(
        species="buffalograss", form="bur", rate="50 % of stand"
    ).full_rate_kg_per_m2 == pytest.approx(
        _lot(species="buffalograss", form="grain", rate="50 % of stand").full_rate_kg_per_m2 * 16 / 3  # type: ignore[operator]
    )
    by_weight = _job(species="buffalograss", rate="8 lb/ac PLS")
    (note,) = [note for note in by_weight.notes if note.code == "form-unsaid"]
    assert "differs 6.73 times" in note.text


def test_coated_seed_without_coating_is_told() -> None:
    """Coating is inert matter, 7 CFR 201.51b: purity must leave it out."""
    codes = {note.code for note in _job(form="coated").notes}
    assert "coating-unsaid" in codes
    assert "coating-unsaid" not in {note.code for note in _job(form="coated", coating="4 %").notes}


@pytest.mark.parametrize(
    ("given", "without", "live", "viability"),
    [
        ({}, (), 0.92, "germination"),
        # germination and what tetrazolium finds beyond it
        ({"tz": "90 %"}, ("dormant",), 0.90, "germination and TZ"),
        ({"tz": "90 %", "hard": "3 %"}, ("dormant",), 0.90, "germination and TZ"),
        # the label's own dormant share comes first
        ({"tz": "90 %"}, (), 0.92, "germination and TZ"),
        ({"tz": "90 %"}, ("germination", "dormant"), 0.90, "TZ"),
    ],
)
def test_live_seed_by_germination_tetrazolium_or_both(
    given: dict[str, str], without: tuple[str, ...], live: float, viability: str
) -> None:
    """The three ways in which a tag may tell it."""
    lot = _lot(**given, without=without)
    assert lot.pls_frac == pytest.approx(0.95 * live)
    assert lot.viability == viability


def test_tetrazolium_below_germination_is_a_slip() -> None:
    """It finds all that is alive."""
    assert "tz-below-germination" in {note.code for note in _job(tz="60 %").notes}
    assert "tz-below-germination" not in {note.code for note in _job(tz="62 %").notes}


@pytest.mark.parametrize(
    ("given", "month"),
    [("2026-05", date(2026, 5, 1)), ("May 2026", date(2026, 5, 1)), ("2026-05-17", date(2026, 5, 17))],
)
def test_a_test_is_dated_by_month_as_tags_are(given: str, month: date) -> None:
    """Or by day."""
    assert month_of_test(given) == month
    assert _lot(tested=given).tested == month


def test_lines_of_the_tag_are_kept() -> None:
    """One noxious weed or several, origin, and what is not said."""
    lot = _lot(noxious="none", origin="Nebraska")
    assert (lot.noxious, lot.origin, lot.unsaid) == (("none",), "Nebraska", frozenset({"hard"}))
    assert _lot(noxious=["dodder 5/lb", "quackgrass 9/lb"]).noxious == ("dodder 5/lb", "quackgrass 9/lb")


def test_the_state_of_the_booking_stands_in_for_that_of_the_law() -> None:
    """Where [seed_law] names none; a limit of one's own needs its source."""
    assert _job(law={"state": "Iowa"}).seed_law.state == "Iowa"
    assert _job().seed_law.state == _job().booking.state
    assert "a limit of your own needs its source" in _refused(law={"test_limit_months": 12})


def test_counts_that_differ_spread_the_order() -> None:
    """100 kg by 259,000 seeds a pound are 60.8 kg by 426,000 and 115.6 kg by 224,000; a count of one's own, or a
    rate by weight, spreads nothing.
    """

    def line(**given: Any) -> tuple[float, float] | None:
        job = _job(**given)
        species = job.mixes[0].components[0].species
        delivered = Delivery(
            field_id="a",
            species=species,
            lot="",
            sown_kg=100.0,
            overage_kg=0.0,
            residual_kg=0.0,
            sown_pls_kg=90.0,
        )
        (order,) = order_lines([delivered], job.mixes)
        if order.need_range_kg is not None:
            assert order.bags_range == (3, 6)  # of 50 lb, 22.68 kg; by the table's count 5
            assert order.bags == 5
        return order.need_range_kg

    assert line(rate="20 seeds/ft2") == pytest.approx((100 * 259 / 426, 100 * 259 / 224))
    assert line(rate="20 seeds/ft2", seeds_per_pound=300000) is None
    assert line(rate="2 lb/ac PLS") is None
    assert line(rate="20 seeds/ft2", species="switchgrass, Alamo") is None
