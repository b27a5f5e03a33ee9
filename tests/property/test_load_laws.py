"""Laws of the load list: every kilogram of every lot is somewhere, on every trip and day, in every parcel."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest
from conftest import SAMPLES, TODAY
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import lots

from fieldplan import field_planner
from fieldplan.boundary.load import load_fields
from fieldplan.coverage.remembered import Remembered
from fieldplan.jobfile.load import load_job
from fieldplan.model.field import Field
from fieldplan.model.loads import Lot
from fieldplan.model.plan import Plan
from fieldplan.model.seed import Carrier, Mix
from fieldplan.planner import plan_job
from fieldplan.units import ACRE_M2, BUSHEL_M3, HOUR_S

FIELDS = load_fields(SAMPLES / "restoration.zip")
JOB = load_job(SAMPLES / "restoration.toml")
CLOSE = {"rel": 1e-9, "abs": 1e-5}


@pytest.fixture(scope="module", autouse=True)
def _covered_once() -> Iterator[None]:
    """The parcels are covered once: these laws are about what is poured in, wherever it is driven."""
    cover = field_planner.driven_on
    terms: dict[str, tuple[object, ...]] = {}

    @cache
    def covered(field_id: str) -> Remembered:
        return cover(*terms[field_id])  # type: ignore[arg-type]

    def once(field: Field, *rest: object) -> Remembered:
        terms.setdefault(field.field_id, (field, *rest))
        return covered(field.field_id)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(field_planner, "driven_on", once)
        yield


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """The sample parcels with mixes at random, some of lots that several mixes share, any truck and day."""
    hulls = Carrier(
        name="rice hulls",
        bulk_kg_per_m3=116,
        volume_m3_per_m2=draw(st.floats(0.5, 3)) * BUSHEL_M3 / ACRE_M2,
    )
    own = [[draw(lots(10 * m + i, hulls)) for i in range(draw(st.integers(1, 3)))] for m in range(3)]
    if draw(st.booleans()):  # the first lot is in every mix, as a nurse crop is
        own = [own[0], *([own[0][0], *components] for components in own[1:])]
    treated = draw(st.booleans())
    mixes = tuple(
        Mix(
            name=mix.name,
            components=tuple(replace(one, treated=treated and i == 0) for i, one in enumerate(components)),
            overage_frac=draw(st.sampled_from([0.0, 0.05, 0.3])),
        )
        for mix, components in zip(JOB.mixes, own, strict=True)
    )
    boxes = tuple(replace(box, swept=draw(st.booleans())) for box in JOB.drill.boxes)
    payload_kg = draw(st.sampled_from([None, 60.0, 250.0, 2000.0]))
    return plan_job(
        FIELDS,
        replace(
            JOB,
            drill=replace(JOB.drill, boxes=boxes),
            mixes=mixes,
            working=replace(
                JOB.working, keeps_order=draw(st.booleans()), sowings=draw(st.sampled_from([1, 2]))
            ),
            loading=replace(JOB.loading, payload_kg=payload_kg, people_kg=20.0, gear_kg=0.0),
            booking=replace(JOB.booking, day_s=draw(st.sampled_from([3.0, 8.0, 14.0])) * HOUR_S),
        ),
        today=TODAY,
    )


@settings(max_examples=12, deadline=None, derandomize=True)
@given(plan=plans())
def test_loaded_is_sown_and_left_and_swept(plan: Plan) -> None:
    """By lot, carrier included: what all trips of all days bring for the boxes is what all parcels sow, what
    the boxes hold in the end, and what was swept out of them into bags and not poured back.
    """
    loaded, gone = defaultdict(float), defaultdict(float)
    for drop in (drop for trip in plan.loads.trips for drop in trip.drops if not drop.spare):
        for part in drop.portions:
            loaded[part.species, part.lot] += part.bulk_kg
    for field in plan.fields:
        for box in field.seed.boxes:
            for part in box.portions(box.sown_bulk_kg + box.carrier_kg):
                gone[part.species, part.lot] += part.bulk_kg
        for change in field.box_changes:
            sign = {"empty first": 1, "tip back": -1}.get(change.kind, 0)
            for part in change.portions:
                gone[part.species, part.lot] += sign * part.bulk_kg
    for change in plan.emptied_last:
        for part in change.portions:
            gone[part.species, part.lot] += part.bulk_kg
    assert loaded.keys() == {lot for lot, kg in gone.items() if abs(kg) > 1e-9}
    for lot, kg in loaded.items():
        assert gone[lot] == pytest.approx(kg, **CLOSE)
    for one in plan.loads.accounts:
        assert one.loaded_kg == pytest.approx(loaded[one.species, one.lot], **CLOSE)
        assert one.loaded_kg == pytest.approx(one.sown_kg + one.left_kg + one.swept_kg, **CLOSE)
        assert one.brought_kg == pytest.approx(one.loaded_kg + one.spare_kg, **CLOSE)
        assert min(one.spare_kg, one.stays_kg, one.left_kg, one.swept_kg) >= -1e-5


@settings(max_examples=12, deadline=None, derandomize=True)
@given(plan=plans())
def test_every_parcel_sows_what_it_is_brought_and_what_the_boxes_hold(plan: Plan) -> None:
    """Parcel by parcel and box by box, through boxes and bags: what was in + poured in = sown + what is in after."""
    held: dict[str, tuple[object, float]] = {}
    bags: dict[tuple[str, object], float] = {}
    for field in plan.fields:
        poured = defaultdict(float)
        for drop in (drop for trip in plan.loads.trips for drop in trip.drops):
            if drop.field_id == field.field.field_id and not drop.spare:
                poured[drop.box] += drop.net_kg
        changes = {(change.box, change.kind): change for change in field.box_changes}
        for box in field.seed.boxes:
            contents, in_box_kg = held.get(box.box, (box.contents, 0.0))
            if contents != box.contents:
                out = changes[box.box, "empty first"]
                assert out.kg == pytest.approx(in_box_kg, **CLOSE)
                assert sum(part.bulk_kg for part in out.portions) == pytest.approx(in_box_kg, **CLOSE)
                bags[box.box, contents] = in_box_kg
                in_box_kg = bags.pop((box.box, box.contents), 0.0)
                back = changes.get((box.box, "tip back"))
                assert (0.0 if back is None else back.kg) == pytest.approx(in_box_kg, **CLOSE)
            sown_kg = box.sown_bulk_kg + box.carrier_kg
            left_kg = field.supply.left_kg[box.box]
            assert in_box_kg + poured[box.box] == pytest.approx(sown_kg + left_kg, **CLOSE)
            held[box.box] = (box.contents, left_kg)


@settings(max_examples=12, deadline=None, derandomize=True)
@given(plan=plans())
def test_trips_carry_the_deliveries_in_order_in_bags_that_add_up(plan: Plan) -> None:
    """By parcel and lot trips add up to the delivery; days and parcels never go back; no trip is over the
    limit; bags are opened one after the other, and none is touched beyond those ordered.
    """
    brought: dict[tuple[str, Lot], float] = defaultdict(float)
    touched: dict[Lot, float] = defaultdict(float)
    ids = [field.field.field_id for field in plan.fields]
    for trip in plan.loads.trips:
        dropped: dict[tuple[str, Lot], float] = defaultdict(float)
        for drop in trip.drops:
            for part in drop.portions:
                dropped[drop.field_id, (part.species, part.lot)] += part.bulk_kg
        for taken in trip.taken:
            lot = (taken.species, taken.lot)
            assert taken.kg == pytest.approx(dropped[taken.field_id, lot], **CLOSE)
            assert taken.kg == pytest.approx(
                taken.from_open_kg + taken.n_whole * taken.bag_kg + taken.opened_kg, **CLOSE
            )
            start = touched[lot] / taken.bag_kg
            assert taken.first_bag - 1 <= start + 1e-5
            if taken.from_open_kg:
                assert taken.first_bag - 1 < start < taken.first_bag
            else:
                assert start == pytest.approx(round(start), abs=1e-5)
            assert 0 <= taken.opened_kg < taken.bag_kg
            touched[lot] += taken.kg
            brought[taken.field_id, lot] += taken.kg
        if plan.loads.limit_kg is not None:
            assert trip.gross_kg <= plan.loads.limit_kg * (1 + 1e-6)
    days = [trip.day for trip in plan.loads.trips]
    assert days == sorted(days)
    order = [ids.index(drop.field_id) for trip in plan.loads.trips for drop in trip.drops]
    assert order == sorted(order)
    needed = {
        (field.field.field_id, (part.species, part.lot)): part.need_kg
        for field in plan.fields
        for part in field.deliveries
    }
    for key, kg in needed.items():
        assert brought.get(key, 0.0) == pytest.approx(kg, rel=1e-9, abs=3e-6)
    for one in plan.loads.accounts:
        assert touched[one.species, one.lot] <= one.ordered_kg * (1 + 1e-9) + 1e-5


@settings(max_examples=6, deadline=None, derandomize=True)
@given(plan=plans())
def test_treated_seed_is_never_lost_sight_of(plan: Plan) -> None:
    """Every portion of a treated lot says so, whatever it is in: batch, spare, drop, emptied bag, delivery."""
    treated = {
        (part.species, part.lot) for mix in plan.job.mixes for part in mix.components if part.treated
    }
    portions = [
        part
        for field in plan.fields
        for held in (*field.batches, *field.box_changes, *plan.emptied_last)
        for part in held.portions
    ]
    portions += [part for trip in plan.loads.trips for drop in trip.drops for part in drop.portions]
    for part in portions:
        assert part.treated == ((part.species, part.lot) in treated)
    marked = [one for trip in plan.loads.trips for one in trip.taken]
    marked += [one for field in plan.fields for one in field.deliveries]  # type: ignore[misc]
    for one in marked:
        assert one.treated == ((one.species, one.lot) in treated)
