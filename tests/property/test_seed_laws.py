"""Laws of seed: masses close from batch to bag, whatever the mix."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import pytest
from conftest import SAMPLES, TODAY
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import lots

from fieldplan.boundary.load import load_fields
from fieldplan.jobfile.load import load_job
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.seed import Carrier, Mix
from fieldplan.planner import plan_job
from fieldplan.units import ACRE_M2, BUSHEL_M3, POUND_KG

FIELDS = load_fields(SAMPLES / "restoration.zip")
JOB = load_job(SAMPLES / "restoration.toml")
LB_PER_AC = POUND_KG / ACRE_M2


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """The sample parcels with mixes drawn at random, sown once or twice over, from boxes that are swept in
    the end or keep their least level.
    """
    n = draw(st.integers(1, 3))
    hulls = Carrier(
        name="rice hulls",
        bulk_kg_per_m3=116,
        volume_m3_per_m2=draw(st.floats(0.5, 3)) * BUSHEL_M3 / ACRE_M2,
    )
    drawn = {mix.name: [draw(lots(10 * m + i, hulls)) for i in range(n)] for m, mix in enumerate(JOB.mixes)}
    overage = draw(st.sampled_from([0.0, 0.05, 0.3]))
    mixes = tuple(
        Mix(name=name, components=tuple(own), overage_frac=overage) for name, own in drawn.items()
    )
    working = replace(JOB.working, sowings=draw(st.sampled_from([1, 1, 2])), max_blocks=1)
    boxes = tuple(replace(box, swept=draw(st.booleans())) for box in JOB.drill.boxes)
    drill = replace(JOB.drill, boxes=boxes)
    return plan_job(FIELDS, replace(JOB, drill=drill, mixes=mixes, working=working), today=TODAY)


@settings(max_examples=8, deadline=None, derandomize=True)
@given(plan=plans())
def test_labels_add_to_parcels_and_parcels_to_need(plan: Plan) -> None:
    """Batches of a parcel add to its delivery, carriers too, deliveries to need, need rounds up to bags; what is carried
    from parcel to parcel is ordered once.
    """
    need: dict[tuple[str, str], float] = defaultdict(float)
    for field in plan.fields:
        labelled: dict[tuple[str, str], float] = defaultdict(float)
        for portion in (portion for batch in field.batches for portion in batch.portions):
            labelled[portion.species, portion.lot] += portion.bulk_kg
        for part in field.deliveries:
            lot = (part.species, part.lot)
            assert labelled[lot] == pytest.approx(part.need_kg, rel=1e-9, abs=3e-6)
            assert part.need_kg == pytest.approx(
                part.sown_kg + part.overage_kg + part.carried_kg, rel=1e-9, abs=1e-9
            )
            assert part.overage_kg >= part.residual_kg - 3e-6
            assert part.residual_kg >= 0
            need[lot] += part.need_kg
    for line in plan.order:
        assert line.need_kg == pytest.approx(need[line.species, line.lot], rel=1e-9)
        assert (
            line.bags * line.bag_kg
            >= line.need_kg * (1 - 1e-9)
            > (line.bags - 1) * line.bag_kg * (1 - 1e-8)
        )
        assert line.left_over_kg >= -1e-9
        assert line.overage_kg >= line.residual_kg * (1 - 1e-9) - 1e-9
        assert sum(
            part.carried_kg for field in plan.fields for part in field.deliveries if part.lot == line.lot
        ) == pytest.approx(0, abs=1e-9)


@settings(max_examples=8, deadline=None, derandomize=True)
@given(plan=plans())
def test_loaded_is_sown_and_what_stays_in_the_boxes(plan: Plan) -> None:
    """Fill by fill through all parcels: no box below zero or over its fill line; none under its least level
    while more is to be sown than it holds.

    In the end a swept box is empty and any other holds its least level; carrier included. What stays is
    what the order says.
    """
    volume: dict[tuple[str, tuple[tuple[str, str, float], ...]], float] = defaultdict(float)
    for field in plan.fields:
        for box in field.seed.boxes:
            volume[box.box, box.contents] += (box.sown_bulk_kg + box.carrier_kg) / box.load_kg_per_m3
            assert sum(part.bulk_kg for part in box.portions(1.0)) == pytest.approx(1.0)
    level: dict[tuple[str, tuple[tuple[str, str, float], ...]], float] = defaultdict(float)
    stays: dict[tuple[str, str], float] = defaultdict(float)
    for field in plan.fields:
        stretches_m2 = _stretches_m2(field)
        for box in field.seed.boxes:
            key, slack = (box.box, box.contents), 1e-6 * box.min_m3 + 1e-9
            loads = [
                field.supply.first_load_kg[box.box],
                *(refill.load_kg[box.box] for refill in field.supply.refills),
            ]
            for kg, sown_m2 in zip(loads, stretches_m2, strict=True):
                assert kg >= -1e-9
                level[key] += kg / box.load_kg_per_m3
                assert level[key] <= box.working_m3 + box.min_m3 + slack
                level[key] -= sown_m2 * box.volume_m3_per_m2
                volume[key] -= sown_m2 * box.volume_m3_per_m2
                assert level[key] >= (min(box.min_m3, volume[key]) if box.swept else box.min_m3) - slack
            assert field.supply.left_kg[box.box] == pytest.approx(
                level[key] * box.load_kg_per_m3, rel=1e-6, abs=1e-6
            )
    for field in plan.fields:
        for box in field.seed.boxes:
            kept_m3 = level.pop((box.box, box.contents), None)
            if kept_m3 is not None:
                assert kept_m3 == pytest.approx(
                    0.0 if box.swept else box.min_m3, abs=1e-6 * box.min_m3 + 1e-9
                )
                for part in box.portions(kept_m3 * box.load_kg_per_m3):
                    stays[part.species, part.lot] += part.bulk_kg
    for line in plan.order:
        assert line.residual_kg == pytest.approx(stays[line.species, line.lot], rel=1e-6, abs=1e-6)


def _stretches_m2(one: FieldPlan) -> list[float]:
    """Ground sown between fills."""
    stretches = [0.0]
    for leg in one.supply.legs:
        if leg.kind == "refill":
            stretches.append(0.0)
        elif leg.sown:
            stretches[-1] += leg.length_m * one.coverage.drill_width_m
    return stretches


@settings(max_examples=4, deadline=None, derandomize=True)
@given(plan=plans())
def test_seed_runs_out_sooner_the_heavier_it_is_sown(plan: Plan) -> None:
    """Sowing heavier never makes a fill or the seed last longer; sown as planned the order would last."""
    for run_out, following in zip(plan.run_outs, plan.run_outs[1:], strict=False):
        assert run_out.seed_m2 * (1 + run_out.heavy_frac) >= run_out.planned_m2 * (1 - 1e-9)
        if (run_out.mix, run_out.box) == (following.mix, following.box):
            assert following.heavy_frac > run_out.heavy_frac
            assert following.seed_m2 < run_out.seed_m2
            assert following.fill_m2 < run_out.fill_m2
