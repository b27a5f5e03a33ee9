"""What is brought and bought: masses and bags by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from fieldplan.model.budget import BoxBudget, Delivery, OrderLine, SeedBudget, SownComponent
from fieldplan.model.seed import Component, Mix, Price, Rate
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.seed.order import deliveries, ground_by_lot, order_lines, overage_notes

LOT = Component(
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
    price=Price(per_kg=2.0, currency="$"),
)
MIX = Mix(name="m", components=(LOT,), overage_frac=0.1)


def _box(*, swept: bool) -> BoxBudget:
    sown = SownComponent(
        species="oats",
        lot="1",
        bulk_kg_per_m2=0.01,
        pls_kg_per_m2=0.009,
        sown_bulk_kg=100.0,
        sown_pls_kg=90.0,
    )
    return BoxBudget(
        box="grain",
        bulk_kg_per_m2=0.01,
        volume_m3_per_m2=25e-6,
        working_m3=0.4,
        min_m3=0.1,
        components=(sown,),
        swept=swept,
    )


def _delivered(loaded_kg: float, *, swept: bool) -> Delivery:
    box = _box(swept=swept)
    (one,) = deliveries("f", MIX, SeedBudget(mix="m", boxes=(box,)), [(box, loaded_kg)])
    return one


def test_overage_is_the_share_of_the_mix_or_what_stays_if_that_is_more() -> None:
    """100 kg sown: 10 kg by the mix, unless 30 kg stay in the box."""
    less, more = _delivered(104.0, swept=False), _delivered(130.0, swept=False)
    assert (less.residual_kg, less.overage_kg, less.need_kg) == pytest.approx((4, 10, 110))
    assert (more.residual_kg, more.overage_kg, more.need_kg) == pytest.approx((30, 30, 130))


def test_what_a_swept_box_holds_beyond_is_for_later_parcels() -> None:
    """Nothing stays; 30 kg are carried on, or were carried here."""
    later, before = _delivered(130.0, swept=True), _delivered(70.0, swept=True)
    assert (later.residual_kg, later.carried_kg, later.need_kg) == pytest.approx((0, 30, 140))
    assert (before.carried_kg, before.need_kg) == pytest.approx((-30, 80))


@pytest.mark.parametrize(("need_kg", "bags"), [(100.0, 4), (100.1, 5), (99.9, 4), (100.0 + 1e-8, 4)])
def test_seed_is_ordered_in_whole_bags(need_kg: float, bags: int) -> None:
    """Bags of 25 kg: a rounding error buys none."""
    one = Delivery(
        field_id="f",
        species="oats",
        lot="1",
        sown_kg=need_kg,
        overage_kg=0.0,
        residual_kg=0.0,
        sown_pls_kg=0.0,
    )
    (line,) = order_lines([one], [MIX])
    assert (line.bags, line.ordered_kg, line.cost) == (bags, 25 * bags, 50 * bags)


def _plan(mix: str, drilled_m2: float, *delivered: Delivery) -> Any:
    audit = SimpleNamespace(drilled_m2=drilled_m2)
    return SimpleNamespace(
        seed=SimpleNamespace(mix=mix), deliveries=delivered, coverage=SimpleNamespace(audit=audit)
    )


def test_ground_of_a_lot_is_that_of_all_fields_that_get_it() -> None:
    """Two fields of 3 and 4 ha with it, one without."""
    one = _delivered(104.0, swept=False)
    assert ground_by_lot([_plan("m", 3e4, one), _plan("m", 4e4, one), _plan("m", 5e4)]) == {
        ("oats", "1"): pytest.approx(7e4)
    }


@pytest.mark.parametrize("assumed", [True, False])
def test_a_min_level_beyond_the_overage_says_what_it_costs(job: Any, assumed: bool) -> None:
    """30 kg stay where 10 kg were asked for: 130 kg are 6 bags of 25 kg, 110 kg would be 5: a bag of 50
    dollars.
    """
    from dataclasses import replace

    drill = replace(job.drill, boxes=tuple(replace(box, min_assumed=assumed) for box in job.drill.boxes))
    one = _delivered(130.0, swept=False)
    order: tuple[OrderLine, ...] = order_lines([one], [MIX])
    (note,) = overage_notes([_plan("m", 1e4, one)], order, [MIX], drill)
    assert (note.code, note.warning) == ("overage-raised", assumed)
    assert (note.values["stays_kg"], note.values["more_kg"]) == pytest.approx((30, 20))
    text = sentence(note, Quantities("metric"))
    assert (
        "30.0 kg of residual seed is left in it, 20.0 kg beyond the overage asked for; 1 bag more to buy, $50.00."
        in text
    )
    assert ("assumed, as the job file gives none" in text) == assumed


def test_a_min_level_within_the_overage_is_no_note(job: Any) -> None:
    """4 kg of the 10 kg that are bought anyhow."""
    one = _delivered(104.0, swept=False)
    assert overage_notes([_plan("m", 1e4, one)], order_lines([one], [MIX]), [MIX], job.drill) == []
