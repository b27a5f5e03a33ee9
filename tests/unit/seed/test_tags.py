"""What a seed tag leaves to think about."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from fieldplan.model.job import Job
from fieldplan.model.machine import Drill
from fieldplan.model.seed import Component, Mix, Rate
from fieldplan.seed.tags import tag_notes
from fieldplan.units import MPH_M_PER_S

LOT = Component(
    species="side oats",
    lot="7",
    box="grain",
    rate=Rate(value=0.01, basis="bulk"),
    purity_frac=1.0,
    germination_frac=0.9,
    hard_frac=0.0,
    dormant_frac=0.0,
    bulk_kg_per_m3=400,
    bag_kg=25,
    inert_frac=0.0,
    other_crop_frac=0.0,
    weed_frac=0.0,
    tested=date(2027, 5, 1),
    origin="Iowa",
    noxious=("none",),
)
ON = date(2027, 5, 10)


@pytest.fixture
def drill(job: Job) -> Drill:
    """The sample drill, every box with a metering range."""
    boxes = tuple(replace(box, metering_m3_per_m2=(1e-6, 1e-3)) for box in job.drill.boxes)
    return replace(job.drill, boxes=boxes)


def _texts(drill: Drill, *lots: Component, speed_mph: float = 3.0) -> dict[str, str]:
    mix = Mix(name="m", components=lots, overage_frac=0.0)
    return {note.code: note.text for note in tag_notes(mix, drill, speed_mph * MPH_M_PER_S, ON)}


def test_a_plain_lot_leaves_nothing_to_think_about(drill: Drill) -> None:
    """No note at all, where the job file gives all that the tag says; nor one tested on the day it is sown."""
    assert _texts(drill, LOT) == {}
    assert _texts(drill, replace(LOT, tested=ON)) == {}


@pytest.mark.parametrize(
    ("tested", "old"), [(date(2026, 12, 1), False), (date(2026, 11, 30), True), (date(2027, 5, 10), False)]
)
def test_tests_of_over_five_months_before_sowing_are_old(drill: Drill, tested: date, old: bool) -> None:
    """Counted from month to month."""
    assert ("test-old" in _texts(drill, replace(LOT, tested=tested))) == old


def test_old_tests_are_listed_lot_by_lot(drill: Drill) -> None:
    """With the months that each is old."""
    lots = (replace(LOT, tested=date(2026, 10, 1)), replace(LOT, lot="8", tested=date(2026, 9, 1)))
    assert _texts(drill, *lots)["test-old"].startswith(
        'Mix "m": tested more than 5 months before 10 May 2027: side oats (7) 7 months, to be sold through 31 Mar 2027, '
    )


def test_a_test_after_the_day_of_sowing_is_a_slip(drill: Drill) -> None:
    """The lot and the day are named."""
    assert _texts(drill, replace(LOT, tested=date(2027, 5, 11))) == {
        "test-ahead": 'Mix "m": the test date is after 10 May 2027: side oats (7). Check the date.'
    }


def test_what_the_job_file_leaves_out_of_a_tag_is_named(drill: Drill) -> None:
    """No test date, and the lines that are missing, with the lots where others have them."""
    bare = replace(LOT, lot="8", tested=None, origin="", noxious=(), weed_frac=None)
    texts = _texts(drill, LOT, bare)
    assert texts["test-unsaid"].startswith('Mix "m": no test date is given for side oats (8), so nobody')
    assert (
        "noxious weeds, of side oats (8); weed seed, of side oats (8); origin, of side oats (8)."
        in texts["tag-unsaid"]
    )
    assert "other crop" not in texts["tag-unsaid"]
    assert "noxious weeds; origin." in _texts(drill, replace(LOT, origin="", noxious=()))["tag-unsaid"]


def test_treated_seed_and_blind_boxes_are_named(drill: Drill) -> None:
    """The species that is treated, and the box whose range nobody gave."""
    blind = replace(drill, boxes=tuple(replace(box, metering_m3_per_m2=None) for box in drill.boxes))
    texts = _texts(blind, replace(LOT, treated=True))
    assert 'Mix "m" has treated seed (side oats): ' in texts["seed-treated"]
    assert "(source: fsa-treated)" in texts["seed-treated"]
    assert "no metering range for the grain box, so nobody checked" in texts["metering-unknown"]


def test_native_seed_is_not_sown_fast(drill: Drill) -> None:
    """In the native box, and faster than published."""
    native = replace(LOT, box="native")
    assert set(_texts(drill, native, speed_mph=3.0)) == {"native-box"}
    assert set(_texts(drill, native, speed_mph=6.0)) == {"native-box", "native-speed"}
    assert "(common practice, no source)" in _texts(drill, native)["native-box"]


def test_full_stands_of_two_conventions_are_told_apart(drill: Drill) -> None:
    """10 and 20 live seeds a square foot are twice apart; 10 and 15 are not."""

    def lot(name: str, seeds_per_m2: float) -> Component:
        rate = Rate(value=0.5, basis="stand")
        return replace(
            LOT,
            lot=name,
            species=name,
            rate=rate,
            seeds_per_kg=1000.0,
            full_rate_kg_per_m2=seeds_per_m2 / 1000,
        )

    assert "two-conventions" not in _texts(drill, lot("a", 100), lot("b", 150))
    assert (
        "all of pure live seed (a 9 seeds/ft2 (100 seeds/m2), b 19 seeds/ft2 (200 seeds/m2))"
        in _texts(drill, lot("b", 200), lot("a", 100))["two-conventions"]
    )
