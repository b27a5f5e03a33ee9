"""Batches of a parcel: one a fill, and a spare of what is delivered beyond; kilograms by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldplan.model.budget import Batch, BoxBudget, Delivery, Portion, SownComponent
from fieldplan.model.seed import Carrier, Component, Mix, Rate
from fieldplan.seed.batches import batches
from fieldplan.seed.order import carrier_lines

OATS = Component(
    species="oats",
    lot="1",
    box="grain",
    rate=Rate(value=0.01, basis="bulk"),
    purity_frac=1.0,
    germination_frac=0.9,
    hard_frac=0.0,
    dormant_frac=0.0,
    bulk_kg_per_m3=400,
    bag_kg=25,
)
VETCH = replace(OATS, species="vetch", box="small")


def _box(name: str, species: str, carrier_kg_per_m2: float = 0.0) -> BoxBudget:
    sown = SownComponent(
        species=species,
        lot="1",
        bulk_kg_per_m2=0.01,
        pls_kg_per_m2=0.009,
        sown_bulk_kg=100.0,
        sown_pls_kg=90.0,
    )
    return BoxBudget(
        box=name,
        bulk_kg_per_m2=0.01,
        volume_m3_per_m2=25e-6,
        working_m3=0.4,
        min_m3=0.1,
        components=(sown,),
        carrier="hulls" if carrier_kg_per_m2 else "",
        carrier_kg_per_m2=carrier_kg_per_m2,
    )


def _delivery(species: str, need_kg: float) -> Delivery:
    return Delivery(
        field_id="f",
        species=species,
        lot="1",
        sown_kg=need_kg,
        overage_kg=0.0,
        residual_kg=0.0,
        sown_pls_kg=0.9 * need_kg,
    )


def _made(
    *lots: Component, boxes: list[BoxBudget], loads: list[tuple[BoxBudget, float]], needs: dict[str, float]
) -> tuple[Batch, ...]:
    mix = Mix(name="m", components=lots, overage_frac=0.0)
    return batches("f", mix, boxes, loads, [_delivery(*item) for item in needs.items()])


def test_a_batch_a_fill_and_a_spare_of_the_rest() -> None:
    """60 and 40 kg are tipped in, 110 are brought: 10 kg to spare, nine tenths of each alive."""
    box = _box("grain", "oats")
    made = _made(OATS, boxes=[box], loads=[(box, 60.0), (box, 40.0)], needs={"oats": 110.0})
    assert [(one.number, one.of, one.spare) for one in made] == [(1, 2, False), (2, 2, False), (1, 1, True)]
    assert [one.load_kg for one in made] == pytest.approx([60, 40, 10])
    assert [one.pls_kg for one in made] == pytest.approx([54, 36, 9])
    assert {(one.field_id, one.mix, one.box, one.treated) for one in made} == {("f", "m", "grain", False)}


def test_where_nothing_is_beyond_there_is_no_spare() -> None:
    """Nor a batch for a stop at which nothing goes into this box, which keeps its number."""
    box = _box("grain", "oats")
    made = _made(OATS, boxes=[box], loads=[(box, 60.0), (box, 0.0), (box, 40.0)], needs={"oats": 100.0})
    assert [(one.number, one.of, one.spare) for one in made] == [(1, 3, False), (3, 3, False)]


def test_a_carrier_goes_with_its_seed_and_with_the_spare() -> None:
    """A fifth as much as of the seed: 12 kg loads are 10 of seed and 2 of hulls, and 5 kg to spare have one
    with them.
    """
    box = _box("grain", "oats", 0.002)
    first, spare = _made(OATS, boxes=[box], loads=[(box, 12.0)], needs={"oats": 15.0})
    assert [(one.bulk_kg, one.load_kg) for one in (first, spare)] == [
        pytest.approx((10, 12)),
        pytest.approx((5, 6)),
    ]
    assert [(portion.species, portion.carrier, portion.pls_kg) for portion in spare.portions] == [
        ("oats", False, pytest.approx(4.5)),
        ("hulls", True, 0.0),
    ]


def test_boxes_stand_one_by_one_and_only_treated_seed_is_marked() -> None:
    """Treated vetch in a box of its own, its spare too; the oats beside it are clean."""
    grain, small = _box("grain", "oats"), _box("small", "vetch")
    made = _made(
        OATS,
        replace(VETCH, treated=True),
        boxes=[grain, small],
        loads=[(grain, 60.0), (small, 20.0), (grain, 40.0)],
        needs={"oats": 110.0, "vetch": 25.0},
    )
    assert [(one.box, one.load_kg, one.spare, one.treated) for one in made] == [
        ("grain", 60.0, False, False),
        ("grain", 40.0, False, False),
        ("grain", 10.0, True, False),
        ("small", 20.0, False, True),
        ("small", 5.0, True, True),
    ]


def test_carriers_of_a_job_stand_by_name_with_their_room() -> None:
    """Sand of 1,600 kg/m³ before shells of 100: 3.2 kg are 2 l, 1 + 2 kg are 30 l; fills and spares
    together.
    """

    def batch(name: str, kg: float) -> Batch:
        seed = Portion(species="oats", lot="1", bulk_kg=50.0, pls_kg=45.0)
        carrier = Portion(species=name, lot="", bulk_kg=kg, pls_kg=0.0, carrier=True)
        return Batch(field_id="f", mix="m", box="grain", number=1, of=1, portions=(seed, carrier))

    shells = replace(OATS, carrier=Carrier(name="shells", bulk_kg_per_m3=100.0))
    sand = replace(VETCH, carrier=Carrier(name="sand", bulk_kg_per_m3=1600.0))
    mix = Mix(name="m", components=(shells, sand), overage_frac=0.0)
    lines = carrier_lines([batch("shells", 1.0), batch("sand", 3.2), batch("shells", 2.0)], [mix])
    assert [line.name for line in lines] == ["sand", "shells"]
    assert [(line.kg, line.m3) for line in lines] == [
        pytest.approx((3.2, 0.002)),
        pytest.approx((3.0, 0.030)),
    ]
