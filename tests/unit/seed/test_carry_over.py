"""What boxes hold from field to field."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldplan.model.budget import BoxBudget, SeedBudget, SownComponent
from fieldplan.model.machine import Drill, SeedBox
from fieldplan.seed.carry_over import CarryOver, in_boxes_m3, later_m3


def _seed(mix: str, species: str, sown_kg: float) -> SeedBudget:
    sown = SownComponent(
        species=species,
        lot="",
        bulk_kg_per_m2=0.01,
        pls_kg_per_m2=0.009,
        sown_bulk_kg=sown_kg,
        sown_pls_kg=0.9 * sown_kg,
    )
    box = BoxBudget(
        box="grain",
        bulk_kg_per_m2=0.01,
        volume_m3_per_m2=20e-6,
        working_m3=0.4,
        min_m3=0.1,
        components=(sown,),
    )
    return SeedBudget(mix=mix, boxes=(box,))


DRILL = Drill(
    name="three rows",
    rows=3,
    row_spacing_m=0.5,
    turning_radius_m=6.0,
    follows_bend_deg=30.0,
    notch_depth_m=0.006,
    boxes=(
        SeedBox(
            name="grain",
            kind="grain",
            volume_m3=0.6,
            usable_frac=0.9,
            min_frac=0.1,
            cleaning_s=600.0,
            resetting_s=300.0,
        ),
    ),
)
OATS, MORE_OATS, RYE = _seed("oats", "oats", 100.0), _seed("oats", "oats", 50.0), _seed("rye", "rye", 80.0)


def test_the_same_seed_goes_on_from_what_is_in_the_box() -> None:
    """20 kg of 500 kg/m³ are 40 l."""
    carry_over = CarryOver().after(OATS, {"grain": 20.0})
    (change,) = carry_over.changes(MORE_OATS, DRILL)
    assert (change.kind, change.mix, change.kg) == ("in the box", "oats", 20.0)
    assert in_boxes_m3(MORE_OATS, (change,)) == {"grain": pytest.approx(0.040)}


def test_other_seed_is_emptied_first_and_tipped_back_when_it_is_wanted_again() -> None:
    """Oats, rye, oats: the rye is not in the box for the oats, and the oats are not for the rye."""
    carry_over = CarryOver().after(OATS, {"grain": 20.0})
    first, _ = carry_over.changes(RYE, DRILL)
    assert (first.kind, first.mix, first.kg) == ("empty first", "oats", 20.0)
    assert in_boxes_m3(RYE, (first,)) == {}
    out, back, anew = carry_over.after(RYE, {"grain": 5.0}).changes(MORE_OATS, DRILL)
    assert [(one.kind, one.mix, one.kg, one.takes_s) for one in (out, back, anew)] == [
        ("empty first", "rye", 5.0, 600.0),
        ("tip back", "oats", 20.0, 0.0),
        ("set again", "oats", 0.0, 300.0),
    ]
    assert [(part.species, part.bulk_kg) for part in out.portions] == [("rye", 5.0)]
    assert in_boxes_m3(MORE_OATS, (out, back)) == {"grain": pytest.approx(0.040)}


def test_nothing_is_held_before_the_first_field() -> None:
    """And nothing has to be done."""
    assert CarryOver().changes(OATS, DRILL) == ()


def test_only_the_same_seed_is_still_to_be_sown_from_a_box() -> None:
    """50 kg of oats on one later field are 100 l; the rye between is none of it."""
    assert later_m3(OATS, (RYE, MORE_OATS)) == {"grain": pytest.approx(0.100)}


def _treated(seed: SeedBudget) -> SeedBudget:
    return replace(
        seed,
        boxes=tuple(
            replace(box, components=tuple(replace(part, treated=True) for part in box.components))
            for box in seed.boxes
        ),
    )


def test_the_same_seed_at_another_rate_is_set_again_but_not_emptied() -> None:
    """Oats at 0.01 kg/m², then at 0.02: the box keeps them and is set again, in 300 s."""
    (box,) = MORE_OATS.boxes
    part = replace(box.components[0], bulk_kg_per_m2=0.02)
    heavier = replace(MORE_OATS, boxes=(replace(box, bulk_kg_per_m2=0.02, components=(part,)),))
    stays, anew = CarryOver().after(OATS, {"grain": 20.0}).changes(heavier, DRILL)
    assert (stays.kind, stays.kg) == ("in the box", 20.0)
    assert (anew.kind, anew.takes_s) == ("set again", 300.0)


def test_treated_seed_is_followed_until_the_box_is_cleaned_out() -> None:
    """Treated oats are sown; a field that leaves the box alone still has them in it; rye has the box cleaned
    out; after that only the bag is left, until it is poured back.
    """
    oats = _treated(OATS)
    after_oats = CarryOver().after(oats, {"grain": 20.0})
    idle = SeedBudget(mix="none", boxes=())
    after_rye = after_oats.after(idle, {}).after(RYE, {"grain": 5.0})
    after_more = after_rye.after(_treated(MORE_OATS), {"grain": 0.0})

    def where(carry_over: CarryOver, seed: SeedBudget) -> list[str]:
        return [one.where for one in carry_over.treated(seed)]

    assert where(CarryOver(), oats) == ["sown"]
    assert where(after_oats, idle) == ["still-in"]
    assert where(after_oats, RYE) == ["cleaned-out"]
    assert where(after_rye, RYE) == ["bagged"]
    assert where(after_more, RYE) == ["cleaned-out"]
    out, _ = after_oats.changes(RYE, DRILL)
    assert out.treated
    assert out.portions[0].treated
    assert [one.species for one in after_rye.treated(RYE)] == [("oats",)]


def test_seed_of_untreated_lots_carries_no_warning() -> None:
    """Oats, then rye."""
    assert CarryOver().after(OATS, {"grain": 20.0}).treated(RYE) == ()
