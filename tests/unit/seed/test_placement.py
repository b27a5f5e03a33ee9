"""Boxes that drop seed on the surface or in the furrow, and seed that belongs elsewhere."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldplan.model.job import Job
from fieldplan.model.seed import Component, Mix, Rate
from fieldplan.seed.depth import box_depths, setting_of
from fieldplan.seed.placement import lands_on, placement_notes

INCH_M = 0.0254
LOT = Component(
    species="wheat",
    box="grain",
    rate=Rate(value=0.01, basis="bulk"),
    purity_frac=1.0,
    germination_frac=0.9,
    hard_frac=0.0,
    dormant_frac=0.0,
    bulk_kg_per_m3=400,
    bag_kg=25,
)


def _mix(**boxes: str) -> Mix:
    lots = [
        replace(LOT, species=name, box=box, lot=f"{box} {n}")
        for box, names in boxes.items()
        for n, name in enumerate(names.split(", "))
    ]
    return Mix(name="m", components=tuple(lots), overage_frac=0.0)


def _found(job: Job, mix: Mix, **lands: str) -> dict[str, str]:
    boxes = tuple(replace(box, lands=lands.get(box.name, "in the furrow")) for box in job.drill.boxes)
    notes = placement_notes(mix, replace(job.drill, boxes=boxes))
    return {f"{note.code}/{note.case}": note.text for note in notes}


@pytest.mark.parametrize(
    ("words", "where"),
    [
        ("in the furrow", "cover"),
        ("into the disc slot", "cover"),
        ("between the disks", "cover"),
        ("on the surface", "surface"),
        ("on top of the ground", "surface"),
        ("broadcast ahead of the packer", "surface"),
        ("on the surface behind the openers", "unknown"),
        ("where it likes", "unknown"),
        ("", "unknown"),
    ],
)
def test_words_for_where_seed_falls(job: Job, words: str, where: str) -> None:
    """What could mean both is unknown."""
    assert lands_on(replace(job.drill.boxes[0], lands=words)) == where


def test_seed_to_be_covered_on_the_surface_and_the_reverse_are_warned_of(job: Job) -> None:
    """Wheat has a published depth; common milkweed is pressed in and not covered, by the trade."""
    assert _found(job, _mix(grain="wheat")) == {}
    assert (
        "wheat is to be covered"
        in _found(job, _mix(grain="wheat"), grain="on the surface")["seed-placement/cover"]
    )
    milkweed = _mix(small="common milkweed")
    assert "belongs on the surface" in _found(job, milkweed)["seed-placement/surface"]
    assert _found(job, milkweed, small="on the surface") == {}
    assert "seed-placement/surface-unknown" in _found(job, milkweed, small="")
    assert _found(job, _mix(grain="wheat"), grain="") == {}
    assert "needs light" in _found(job, _mix(small="black-eyed susan"))["seed-placement/light"]


def test_seed_that_bridges_wants_the_box_with_an_agitator(job: Job) -> None:
    """Bluestems and indiangrass, by the University of Georgia."""
    assert "seed-bridges/" in _found(job, _mix(grain="big bluestem"))
    assert "seed-bridges/" not in _found(job, _mix(native="big bluestem"))


def test_a_box_is_as_deep_as_its_finest_seed_wants(job: Job) -> None:
    """Blue grama, 825,000 a pound, at 1/4 in; wheat, coarse, no deeper than 1 1/2 in; the drill by the former."""
    deep = box_depths(_mix(grain="wheat", native="sideoats grama, blue grama"), job.drill)
    by_box = {box.box: box for box in deep}
    assert (by_box["native"].finest, by_box["native"].fine) == ("blue grama", True)
    assert by_box["native"].depth_m == pytest.approx(0.25 * INCH_M)
    assert (by_box["grain"].finest, by_box["grain"].fine) == ("wheat", False)
    assert by_box["grain"].depth_m == pytest.approx(1.5 * INCH_M)
    setting = setting_of(deep)
    assert setting is not None
    assert setting.box == "native"


def test_fine_seed_lies_at_the_shallow_end(job: Job) -> None:
    """Switchgrass is published from 1/4 to 3/4 in."""
    (box,) = box_depths(_mix(small="switchgrass"), job.drill)
    assert box.depth_m == pytest.approx(0.25 * INCH_M)


def test_an_unknown_depth_is_asked_for_and_never_passed_over(job: Job) -> None:
    """If the finest species has none the box has none; another one is named beside the depth."""
    (box,) = box_depths(_mix(small="red clover, purple prairie clover"), job.drill)
    assert (box.finest, box.depth_m, box.asked) == (
        "purple prairie clover",
        None,
        ("purple prairie clover",),
    )
    (box,) = box_depths(_mix(grain="wheat, oats"), job.drill)
    assert (box.finest, box.depth_m, box.asked) == ("oats", None, ("oats",))
    (box,) = box_depths(_mix(grain="wheat, soybean"), job.drill)
    assert (box.finest, box.asked) == ("wheat", ("soybean",))
    assert box.depth_m == pytest.approx(1.5 * INCH_M)


def test_a_box_that_drops_on_the_surface_sets_no_depth(job: Job) -> None:
    """The openers go by the other boxes."""
    boxes = tuple(
        replace(box, lands="on the surface" if box.name == "small" else "in the furrow")
        for box in job.drill.boxes
    )
    deep = box_depths(_mix(grain="wheat", small="alsike clover"), replace(job.drill, boxes=boxes))
    setting = setting_of(deep)
    assert setting is not None
    assert setting.box == "grain"


def test_a_box_of_unknown_depth_still_limits_the_openers_by_what_is_known(job: Job) -> None:
    """Prairie cordgrass has no published depth and big bluestem may lie at 1/2 in: wheat at 1 1/2 in in another
    box does not bury it.
    """
    deep = box_depths(_mix(grain="wheat", native="big bluestem, prairie cordgrass"), job.drill)
    (native,) = [box for box in deep if box.box == "native"]
    assert (native.depth_m, native.asked) == (None, ("prairie cordgrass",))
    setting = setting_of(deep)
    assert setting is native
    assert setting.most_m == pytest.approx(0.5 * INCH_M)
    assert setting.sets_it == "big bluestem"
