"""Laws of seed: masses close from batch to bag, whatever the mix."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import pytest
from conftest import SAMPLES, TODAY
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldplan.boundary.load import load_fields
from fieldplan.jobfile.load import load_job
from fieldplan.model.plan import Plan
from fieldplan.model.seed import Carrier, Component, Mix, Rate
from fieldplan.planner import plan_job
from fieldplan.units import ACRE_M2, BUSHEL_M3, POUND_KG

FIELDS = load_fields(SAMPLES / "restoration.zip")
JOB = load_job(SAMPLES / "restoration.toml")
LB_PER_AC = POUND_KG / ACRE_M2


@st.composite
def components(draw: st.DrawFn, number: int, hulls: Carrier) -> Component:
    """A lot of any live share, weight and rate, in any box, with or without a carrier."""
    box = draw(st.sampled_from(["grain", "native", "small"]))
    live = draw(st.floats(0.05, 1))
    return Component(
        species=f"species {number}", box=box, lot=f"L{number}",
        rate=Rate(value=draw(st.floats(0.05, 40)) * LB_PER_AC, basis=draw(st.sampled_from(["pls", "bulk"]))),
        purity_frac=draw(st.floats(0.1, 1)), germination_frac=live * 0.7, hard_frac=0.0, dormant_frac=live * 0.3,
        bulk_kg_per_m3=draw(st.floats(60, 900)), bag_kg=draw(st.floats(0.5, 30)),
        carrier=hulls if box == "native" else None,
    )  # fmt: skip


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """The sample parcels with mixes drawn at random, sown once or twice over."""
    n = draw(st.integers(1, 3))
    hulls = Carrier(name="rice hulls", bulk_kg_per_m3=116, volume_m3_per_m2=draw(st.floats(0.5, 3)) * BUSHEL_M3 / ACRE_M2)
    lots = {mix.name: [draw(components(10 * m + i, hulls)) for i in range(n)] for m, mix in enumerate(JOB.mixes)}
    overage = draw(st.sampled_from([0.0, 0.05, 0.3]))
    mixes = tuple(Mix(name=name, components=tuple(own), overage_frac=overage) for name, own in lots.items())
    working = replace(JOB.working, sowings=draw(st.sampled_from([1, 1, 2])), most_blocks=1)
    return plan_job(FIELDS, replace(JOB, mixes=mixes, working=working), today=TODAY)


@settings(max_examples=8, deadline=None, derandomize=True)
@given(plan=plans())
def test_labels_add_to_parcels_and_parcels_to_need(plan: Plan) -> None:
    """Batches of a parcel add to its delivery, deliveries to need, need rounds up to bags; loaded = sown + left in boxes."""
    need: dict[tuple[str, str], float] = defaultdict(float)
    for one in plan.fields:
        labelled: dict[tuple[str, str], float] = defaultdict(float)
        for portion in (portion for batch in one.batches for portion in batch.portions if not portion.carrier):
            labelled[portion.species, portion.lot] += portion.bulk_kg
        for part in one.deliveries:
            lot = (part.species, part.lot)
            assert labelled[lot] == pytest.approx(part.need_kg, rel=1e-9)
            assert part.need_kg == pytest.approx(part.sown_kg + part.overage_kg, rel=1e-12)
            need[lot] += part.need_kg
    for line in plan.order:
        assert line.need_kg == pytest.approx(need[line.species, line.lot], rel=1e-9)
        assert line.bags * line.bag_kg >= line.need_kg * (1 - 1e-9) > (line.bags - 1) * line.bag_kg * (1 - 1e-8)
        assert line.left_over_kg >= -1e-9


@settings(max_examples=8, deadline=None, derandomize=True)
@given(plan=plans())
def test_loaded_is_sown_and_what_stays_in_the_boxes(plan: Plan) -> None:
    """Over the job each box of each mix is loaded with what it sows and with its least level, once; carrier included."""
    loaded: dict[tuple[str, tuple[tuple[str, str, float], ...]], float] = defaultdict(float)
    sown, stays = dict(loaded), dict(loaded)
    for one in plan.fields:
        for box, kg in one.loads_kg():
            loaded[box.box, box.contents] += kg
            assert kg >= -1e-9
        for box in one.seed.boxes:
            key = (box.box, box.contents)
            sown[key] = sown.get(key, 0.0) + box.sown_bulk_kg + box.carrier_kg
            stays[key] = box.least_m3 * box.load_kg_per_m3
            assert sum(part.bulk_kg for part in box.portions(1.0)) == pytest.approx(1.0)
    for key, kg in loaded.items():
        assert kg == pytest.approx(sown[key] + stays[key], rel=1e-9)


@settings(max_examples=4, deadline=None, derandomize=True)
@given(plan=plans())
def test_seed_runs_out_sooner_the_heavier_it_is_sown(plan: Plan) -> None:
    """Sowing heavier never makes a fill or the seed last longer; sown as planned the order would last."""
    for one, following in zip(plan.run_outs, plan.run_outs[1:], strict=False):
        assert one.seed_m2 * (1 + one.heavy_frac) >= one.planned_m2 * (1 - 1e-9)
        if (one.mix, one.box) == (following.mix, following.box):
            assert following.heavy_frac > one.heavy_frac
            assert following.seed_m2 < one.seed_m2
            assert following.fill_m2 < one.fill_m2
