"""Seed of a field, by hand: round densities and rates, whatever the trade's units."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldplan.model.live_seed import live_kg_per_m2
from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.seed import Carrier, Component, Mix, Rate
from fieldplan.seed.budget import bulk_kg_per_m2, carried_m3_per_m2, pls_kg_per_m2, seed_budget

LOT = Component(
    species="a",
    box="grain",
    rate=Rate(value=0.01, basis="pls"),
    purity_frac=0.8,
    germination_frac=0.5,
    hard_frac=0.1,
    dormant_frac=0.4,
    bulk_kg_per_m3=400,
    bag_kg=20,
)
"""80 % pure and all of that alive: 80 % pure live seed."""


@pytest.fixture
def drill(job) -> Drill:  # type: ignore[no-untyped-def]
    """The sample drill with a grain box of 0.5 m³ alone."""
    box = SeedBox(name="grain", kind="grain", volume_m3=0.5, usable_frac=0.9, min_frac=0.1)
    return replace(job.drill, boxes=(box,), chart=())


@pytest.mark.parametrize(
    ("rate", "live", "bulk"),
    [
        (Rate(value=0.008, basis="pls"), 0.008, 0.010),
        (Rate(value=0.010, basis="bulk"), 0.008, 0.010),
        (Rate(value=400.0, basis="live seeds"), 0.008, 0.010),
        (Rate(value=0.5, basis="stand"), 0.008, 0.010),
    ],
)
def test_a_rate_comes_to_the_same_in_every_form(rate: Rate, live: float, bulk: float) -> None:
    """50,000 seeds a kilogram; a full stand is 0.016 kg/m² of live seed: 8 g/m² alive are 10 g/m² of seed
    four fifths alive.
    """
    one = replace(LOT, rate=rate, seeds_per_kg=50_000, full_rate_kg_per_m2=0.016)
    assert pls_kg_per_m2(one) == pytest.approx(live)
    assert bulk_kg_per_m2(one) == pytest.approx(bulk)


def test_without_the_figure_that_it_takes_a_rate_has_no_weight() -> None:
    """Live seeds need seeds per kilogram, a share of a stand needs the stand; by weight nothing is
    needed.
    """
    assert live_kg_per_m2(Rate(value=400.0, basis="live seeds"), 0.8, None, 0.016) is None
    assert live_kg_per_m2(Rate(value=0.5, basis="stand"), 0.8, 50_000, None) is None
    assert live_kg_per_m2(Rate(value=0.01, basis="bulk"), 0.8, None, None) == pytest.approx(0.008)


def test_a_box_sows_the_rate_on_what_is_drilled(drill: Drill) -> None:
    """10 g/m² live at 80 % is 12.5 g/m²; on a hectare 125 kg, 100 kg of it alive; 0.4 m³ above the least
    level sow 12,800 m².
    """
    (box,) = seed_budget("f", Mix(name="m", components=(LOT,), overage_frac=0.05), drill, 10_000, 1).boxes
    assert (box.sown_bulk_kg, box.sown_pls_kg) == pytest.approx((125, 100))
    assert box.volume_m3_per_m2 == pytest.approx(0.0125 / 400)
    assert box.area_per_fill_m2 == pytest.approx(0.4 * 400 / 0.0125)


def test_sown_twice_each_sowing_gets_half(drill: Drill) -> None:
    """On 2 ha drilled in two sowings of a hectare lies what one sowing of a hectare would have got."""
    (box,) = seed_budget("f", Mix(name="m", components=(LOT,), overage_frac=0.0), drill, 20_000, 2).boxes
    assert box.bulk_kg_per_m2 == pytest.approx(0.00625)
    assert box.sown_bulk_kg == pytest.approx(125)


def test_a_carrier_fills_up_to_the_volume_that_it_asks_for(drill: Drill) -> None:
    """Seed is 31.25 ml/m²; up to 50 ml/m² go 18.75 ml of hulls of 100 kg/m³."""
    hulls = Carrier(name="hulls", bulk_kg_per_m3=100, volume_m3_per_m2=50e-6)
    (box,) = seed_budget(
        "f", Mix(name="m", components=(replace(LOT, carrier=hulls),), overage_frac=0.0), drill, 10_000, 1
    ).boxes
    assert box.carrier_kg_per_m2 == pytest.approx(18.75e-6 * 100)
    assert box.volume_m3_per_m2 == pytest.approx(50e-6)
    seed, carrier = box.portions(box.load_kg_per_m2 * 1000)
    assert (seed.bulk_kg, seed.pls_kg, carrier.bulk_kg) == pytest.approx((12.5, 10, 1.875))


@pytest.mark.parametrize(("metering", "case"), [((40e-6, 90e-6), "under"), ((10e-6, 20e-6), "over")])
def test_volumes_out_of_the_metering_range_are_noted(
    drill: Drill, metering: tuple[float, float], case: str
) -> None:
    """31.25 ml/m² asked for, from and to what the box meters."""
    boxes = (replace(drill.boxes[0], metering_m3_per_m2=metering),)
    (note,) = seed_budget(
        "f", Mix(name="m", components=(LOT,), overage_frac=0.0), replace(drill, boxes=boxes), 1.0, 1
    ).notes
    assert (note.code, note.case, note.values["box"]) == ("metering-out-of-range", case, "grain")
    assert note.values["asked_m3_per_m2"] == pytest.approx(31.25e-6)
    assert ("add a carrier" in note.text) == (case == "under")


def test_a_volume_within_the_metering_range_makes_no_note(drill: Drill) -> None:
    """Its ends included."""
    for metering in ((31.25e-6, 90e-6), (10e-6, 31.25e-6)):
        boxes = (replace(drill.boxes[0], metering_m3_per_m2=metering),)
        assert not seed_budget(
            "f", Mix(name="m", components=(LOT,), overage_frac=0.0), replace(drill, boxes=boxes), 1.0, 1
        ).notes


def test_a_carrier_that_asks_for_no_volume_fills_up_to_the_min_that_the_box_meters(drill: Drill) -> None:
    """From 31.25 ml/m² of seed to 40 ml/m²: 8.75 ml of hulls of 100 kg/m³; to nothing where the box has no
    least, or has enough.
    """
    hulls = Carrier(name="hulls", bulk_kg_per_m3=100)
    mix = Mix(name="m", components=(replace(LOT, carrier=hulls),), overage_frac=0.0)
    plain = drill.boxes[0]
    for metering, carrier_kg_per_m2 in (
        ((40e-6, 90e-6), 8.75e-6 * 100),
        ((20e-6, 90e-6), 0.0),
        (None, 0.0),
    ):
        own = replace(drill, boxes=(replace(plain, metering_m3_per_m2=metering),))
        (box,) = seed_budget("f", mix, own, 10_000, 1).boxes
        assert box.carrier_kg_per_m2 == pytest.approx(carrier_kg_per_m2)
        assert box.carrier_kg == pytest.approx(carrier_kg_per_m2 * 10_000)
    assert carried_m3_per_m2(hulls, plain) == 0.0


def test_a_box_that_no_seed_of_the_mix_is_in_is_left_out(drill: Drill) -> None:
    """The grain box is empty for a mix of the native box."""
    native = replace(drill.boxes[0], name="native")
    mix = Mix(name="m", components=(replace(LOT, box="native"),), overage_frac=0.0)
    assert [
        box.box for box in seed_budget("f", mix, replace(drill, boxes=(*drill.boxes, native)), 1.0, 1).boxes
    ] == ["native"]
