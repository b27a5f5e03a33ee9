"""What the truck takes, by hand: bags in the order they are opened, trips under a limit, days, parts."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from fieldplan.model.budget import Batch, BoxBudget, OrderLine, Portion, SeedBudget, SownComponent
from fieldplan.model.job import LoadingTerms
from fieldplan.model.loads import LoadList
from fieldplan.seed.load_list import OnClock, load_list
from fieldplan.units import HOUR_S


def _box(kg: float, hulls_kg: float) -> BoxBudget:
    sown = SownComponent(
        species="oats",
        lot="7",
        bulk_kg_per_m2=0.01,
        pls_kg_per_m2=0.008,
        sown_bulk_kg=kg,
        sown_pls_kg=0.8 * kg,
        treated=True,
    )
    return BoxBudget(
        box="grain",
        bulk_kg_per_m2=0.01,
        volume_m3_per_m2=20e-6,
        working_m3=0.4,
        min_m3=0.1,
        components=(sown,),
        swept=True,
        carrier="hulls",
        carrier_kg_per_m2=0.01 * hulls_kg / kg,
        carrier_kg=hulls_kg,
    )


def _field(
    field_id: str, *loads_kg: tuple[float, float], spare_kg: float = 0.0, stop_h: float = 1.0
) -> Any:
    """A field with so much oats and hulls for each fill, one fill an hour, and a spare of oats."""

    def batch(number: int, kg: float, hulls_kg: float, *, spare: bool = False) -> Batch:
        hulls = Portion(species="hulls", lot="", bulk_kg=hulls_kg, pls_kg=0.0, carrier=True)
        oats = Portion(species="oats", lot="7", bulk_kg=kg, pls_kg=0.8 * kg, treated=True)
        return Batch(
            field_id=field_id,
            mix="m",
            box="grain",
            number=number,
            of=len(loads_kg),
            portions=(oats, hulls) if hulls_kg else (oats,),
            spare=spare,
        )

    box = _box(sum(kg for kg, _ in loads_kg), sum(hulls_kg for _, hulls_kg in loads_kg))
    spares = (batch(1, spare_kg, 0.0, spare=True),) if spare_kg else ()
    stops = [
        SimpleNamespace(leg=SimpleNamespace(kind="refill"), start_s=k * stop_h * HOUR_S)
        for k in range(1, len(loads_kg))
    ]
    return SimpleNamespace(
        field=SimpleNamespace(field_id=field_id),
        seed=SeedBudget(mix="m", boxes=(box,)),
        time=SimpleNamespace(legs=stops),
        batches=(*(batch(k, *load) for k, load in enumerate(loads_kg, start=1)), *spares),
        supply=SimpleNamespace(left_kg={"grain": 0.0}),
        box_changes=(),
    )


ORDER = [
    OrderLine(
        species="oats",
        lot="7",
        sown_kg=90.0,
        need_kg=95.0,
        residual_kg=0.0,
        bag_kg=20.0,
        bags=5,
        pls_frac=0.8,
    )
]


def _listed(
    *fields: Any, limit_kg: float | None = None, day_h: float = 8.0, empty_bag_kg: float = 0.0
) -> LoadList:
    terms = LoadingTerms(payload_kg=limit_kg, empty_bag_kg=empty_bag_kg, bale_kg=25.0, scale_kg=0.001)
    on_clock = [OnClock(plan=field, start_s=2.0 * HOUR_S * k) for k, field in enumerate(fields)]
    return load_list(on_clock, ORDER, {"hulls": 100.0}, terms, day_h * HOUR_S)


def test_the_open_bag_is_used_up_first() -> None:
    """Bags of 20 kg: 50 are 2 bags and 10 of the third; then 35 are the other 10 of it, 1 bag, 5 of the fifth."""
    first, second = _listed(_field("a", (50.0, 0.0)), _field("b", (35.0, 0.0)), limit_kg=60.0).trips
    (a,), (b,) = first.taken, second.taken
    assert (a.first_bag, a.from_open_kg, a.n_whole, a.opened_kg) == (1, 0.0, 2, pytest.approx(10.0))
    assert (b.first_bag, b.from_open_kg, b.n_whole) == (3, pytest.approx(10.0), 1)
    assert b.opened_kg == pytest.approx(5.0)
    assert a.treated
    assert all(drop.treated for trip in (first, second) for drop in trip.drops)


def test_carriers_come_by_the_bale_and_by_volume() -> None:
    """30 kg of hulls in bales of 25 kg: one whole, 5 of the next; at 100 kg/m³ they are 300 l."""
    (trip,) = _listed(_field("a", (40.0, 30.0))).trips
    hulls = next(taken for taken in trip.taken if taken.carrier)
    assert (hulls.n_whole, hulls.opened_kg) == (1, pytest.approx(5.0))
    assert hulls.bags == pytest.approx(1.2)
    assert hulls.volume_m3 == pytest.approx(0.3)
    assert trip.gross_kg == pytest.approx(70.0)


def test_a_trip_takes_the_next_loads_up_to_the_limit() -> None:
    """Three loads of 30 kg on a truck for 70: two, then one; without a limit all go at once."""
    fields = [_field("a", (30.0, 0.0), (30.0, 0.0)), _field("b", (30.0, 0.0))]
    listed = _listed(*fields, limit_kg=70.0)
    assert [[(drop.field_id, drop.stop) for drop in trip.drops] for trip in listed.trips] == [
        [("a", 0), ("a", 1)],
        [("b", 0)],
    ]
    assert [trip.number for trip in listed.trips] == [1, 2]
    assert len(_listed(*fields).trips) == 1


def test_a_load_over_the_limit_comes_in_equal_parts() -> None:
    """90 kg on a truck for 40: three times 30."""
    trips = _listed(_field("a", (90.0, 0.0)), limit_kg=40.0).trips
    assert [(trip.drops[0].part, trip.drops[0].parts) for trip in trips] == [(1, 3), (2, 3), (3, 3)]
    assert [trip.gross_kg for trip in trips] == pytest.approx([30.0, 30.0, 30.0])


def test_bags_weigh_too() -> None:
    """50 kg are in three bags of 20, hulls of 30 in two bales' worth: 80 kg and 5 × 0.5."""
    (trip,) = _listed(_field("a", (50.0, 30.0)), empty_bag_kg=0.5).trips
    assert trip.gross_kg == pytest.approx(82.5)


def test_a_load_is_brought_on_the_day_it_is_needed() -> None:
    """Field b begins two hours in, its stops an hour apart: with days of three hours the second stop is on day 2."""
    fields = [_field("a", (10.0, 0.0)), _field("b", (10.0, 0.0), (10.0, 0.0), (10.0, 0.0), spare_kg=2.0)]
    trips = _listed(*fields, day_h=3.0).trips
    assert [(trip.day, [drop.stop for drop in trip.drops]) for trip in trips] == [
        (1, [0, 0]),
        (2, [1, 2, 2]),
    ]
    assert trips[1].drops[-1].spare


def test_the_account_says_where_all_of_a_lot_goes() -> None:
    """90 kg are sown and 5 spare of 100 ordered: 5 stay at the seed house; of hulls 10 of a bale."""
    listed = _listed(_field("a", (90.0, 15.0), spare_kg=5.0))
    oats, hulls = listed.accounts
    assert (oats.ordered_kg, oats.brought_kg, oats.loaded_kg) == (100.0, 95.0, 90.0)
    assert (oats.sown_kg, oats.spare_kg, oats.stays_kg) == (90.0, 5.0, 5.0)
    assert (hulls.carrier, hulls.ordered_kg, hulls.stays_kg) == (True, 25.0, pytest.approx(10.0))
