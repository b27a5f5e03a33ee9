"""Where seed ends if a drill sows heavy, by the formula: planned area × (ordered − stays) / sown / (1 +
heavy).
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from fieldplan.model.budget import Batch, BoxBudget, OrderLine, RunOut, SeedBudget, SownComponent
from fieldplan.seed.run_out import run_outs


def _box(name: str, *lots: str) -> BoxBudget:
    """0.4 m³ above the least level at 20 ml/m²: a fill sows 20,000 m²."""
    sown = tuple(
        SownComponent(
            species=lot,
            lot="",
            bulk_kg_per_m2=0.01,
            pls_kg_per_m2=0.009,
            sown_bulk_kg=100.0,
            sown_pls_kg=90.0,
        )
        for lot in lots
    )
    return BoxBudget(
        box=name, bulk_kg_per_m2=0.01, volume_m3_per_m2=20e-6, working_m3=0.4, min_m3=0.1, components=sown
    )


def _lot(species: str, sown_kg: float, residual_kg: float, bags: int) -> OrderLine:
    """Bags of 25 kg."""
    return OrderLine(
        species=species,
        lot="",
        sown_kg=sown_kg,
        need_kg=sown_kg,
        residual_kg=residual_kg,
        bag_kg=25.0,
        bags=bags,
        pls_frac=0.9,
    )


ORDER = (_lot("oats", 100.0, 5.0, 5), _lot("rye", 200.0, 0.0, 12), _lot("vetch", 0.0, 0.0, 0))


def _found(*sown: tuple[str, BoxBudget, float]) -> list[RunOut]:
    return list(run_outs(sown, ORDER))


def test_how_heavy_drills_sow_is_published() -> None:
    """23 % in the field against the shop, 50 % the worst between chart and drill; a tenth is assumed."""
    assert [(one.heavy_frac, one.source) for one in _found(("m", _box("grain", "oats"), 1.0))] == [
        (pytest.approx(0.10), "assumed"),
        (pytest.approx(0.23), "h1-manual"),
        (pytest.approx(0.50), "p3112"),
    ]


def test_seed_and_fills_go_less_far_the_heavier_it_is_sown() -> None:
    """125 kg less the 5 that stay, 1.2 times the 100 that are sown: 1.2 ha on a hectare as wanted, and as
    much less as it is heavy.
    """
    found = _found(("m", _box("grain", "oats"), 10_000.0))
    assert [one.seed_m2 for one in found] == pytest.approx([12_000 / 1.10, 12_000 / 1.23, 12_000 / 1.50])
    assert [one.fill_m2 for one in found] == pytest.approx([20_000 / 1.10, 20_000 / 1.23, 20_000 / 1.50])
    assert {one.planned_m2 for one in found} == {10_000.0}


def test_the_scarcest_lot_of_a_box_decides() -> None:
    """Of oats there is 1.2 times what is sown, of rye 300 / 200."""
    both, rye = (_found(("m", _box("grain", *lots), 10_000.0))[0] for lots in (("oats", "rye"), ("rye",)))
    assert (both.seed_m2, rye.seed_m2) == (pytest.approx(12_000 / 1.1), pytest.approx(15_000 / 1.1))


def test_ground_of_a_box_is_that_of_all_fields_of_its_mix() -> None:
    """Two fields of mix m in one box, one of mix n: each box of each mix by itself, in their order."""
    grain, small = _box("grain", "oats"), _box("small", "rye")
    found = _found(("m", grain, 3e4), ("m", small, 3e4), ("m", grain, 4e4), ("n", grain, 5e4))
    assert [(one.mix, one.box, one.planned_m2) for one in found[::3]] == [
        ("m", "grain", 7e4),
        ("m", "small", 3e4),
        ("n", "grain", 5e4),
    ]


def _parcel(field_id: str, box: BoxBudget, brought_kg: float, left_kg: float = 0.0) -> Any:
    """A hectare that sows 100 kg of each lot of the box, and is brought so much in all."""
    batch = Batch(
        field_id=field_id, mix="m", box=box.box, number=1, of=1, portions=box.portions(brought_kg)
    )
    return SimpleNamespace(
        field=SimpleNamespace(field_id=field_id),
        seed=SeedBudget(mix="m", boxes=(box,)),
        batches=(batch,),
        supply=SimpleNamespace(left_kg={box.box: left_kg}),
        coverage=SimpleNamespace(audit=SimpleNamespace(drilled_m2=10_000.0)),
    )


def test_seed_ends_at_the_parcel_where_what_is_brought_and_left_is_too_little() -> None:
    """115 kg, then 105, for 100 kg each. A tenth heavy: 110 of 115, then 110 of 5 + 105, and it lasts. By 23 %
    heavy 115 of 123 go: the first parcel ends after 115 / 123 of its hectare.
    """
    box = replace(_box("grain", "oats"), swept=True)
    parcels = [_parcel("a", box, 115.0), _parcel("b", box, 105.0)]
    tenth, field, _ = run_outs([("m", box, 10_000.0)], ORDER, parcels)
    assert tenth.ends is None
    assert field.ends is not None
    assert (field.ends.field_id, field.ends.species, field.ends.of_m2) == ("a", "oats", 10_000.0)
    assert field.ends.sown_m2 == pytest.approx(10_000 * 115 / 123)


def test_what_must_stay_in_a_box_is_not_sown() -> None:
    """Of 115 kg 10 stay: 105 for the 110 that a tenth heavier takes."""
    box = _box("grain", "oats")
    (tenth, *_) = run_outs([("m", box, 10_000.0)], ORDER, [_parcel("a", box, 115.0, left_kg=10.0)])
    assert tenth.ends is not None
    assert tenth.ends.sown_m2 == pytest.approx(10_000 * 105 / 110)


def test_of_lots_that_end_together_the_one_with_least_left_is_named() -> None:
    """Oats are ordered 1.2 times, rye 1.5 times: oats are named, in whatever order they stand."""
    for lots in (("oats", "rye"), ("rye", "oats")):
        box = replace(_box("grain", *lots), bulk_kg_per_m2=0.02, swept=True)
        (tenth, *_) = run_outs([("m", box, 10_000.0)], ORDER, [_parcel("a", box, 210.0)])
        assert tenth.ends is not None
        assert tenth.ends.species == "oats"
