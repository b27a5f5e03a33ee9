"""Refill stops against exhaustive search, and the clock with breaks."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from conftest import SAMPLES, TODAY
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point
from stands import stand_reached_straight

from fieldplan.boundary.load import load_fields
from fieldplan.jobfile.load import load_job
from fieldplan.model.budget import BoxBudget, SownComponent
from fieldplan.model.coverage import Leg
from fieldplan.model.work import spent_s
from fieldplan.plane.frame import frame_near
from fieldplan.planner import plan_job
from fieldplan.work.refills import supply
from fieldplan.work.stops import Pace

SEED = Point(0, 0)


STAND = stand_reached_straight(SEED)
BOX = BoxBudget(
    box="b",
    bulk_kg_per_m2=1.0,
    volume_m3_per_m2=1.0,
    working_m3=1000.0,
    min_m3=0.0,
    components=(
        SownComponent(
            species="s", lot="", bulk_kg_per_m2=1, pls_kg_per_m2=1, sown_bulk_kg=1, sown_pls_kg=1
        ),
    ),
)


@settings(derandomize=True, max_examples=40, deadline=None)
@given(
    lengths=st.lists(st.floats(20, 400), min_size=2, max_size=9),
    far=st.lists(st.floats(-300, 300), min_size=9, max_size=9),
    fill=st.floats(420, 1500),
    refill_s=st.floats(0, 900),
)
def test_stops_cost_no_more_than_the_best_of_all_choices(
    lengths: list[float], far: list[float], fill: float, refill_s: float
) -> None:
    """Every set of pass ends to stop at is tried: the chosen one never runs dry and loses the least
    time.
    """
    legs = tuple(
        Leg(kind="pass", line=LineString([(0, far[i]), (length, far[i])]), length_m=length, block=1)
        for i, length in enumerate(lengths)
    )
    box = replace(BOX, working_m3=fill)
    got = supply(
        "f",
        legs,
        [box],
        1.0,
        [STAND],
        pace=Pace(speed_m_per_s=2.0, turn_extra_s=0.0, refill_s=refill_s),
        in_boxes_m3={},
    )
    cost = [
        refill_s + (np.hypot(length, far[i]) + abs(far[i + 1])) / 2.0
        for i, length in enumerate(lengths[:-1])
    ]
    best = np.inf
    inner = range(len(lengths) - 1)
    for n in range(len(lengths)):
        for stops in combinations(inner, n):
            bounds = [0, *(stop + 1 for stop in stops), len(lengths)]
            if all(sum(lengths[a:b]) <= fill * (1 + 1e-9) for a, b in pairwise(bounds)):
                best = min(best, sum(cost[stop] for stop in stops))
    chosen = []
    for refill in got.refills:
        at = refill.sowing_stops_at
        chosen.append(
            next(i for i, leg in enumerate(legs) if Point(leg.line.coords[-1]).distance(at) < 1e-9)
        )
    assert sum(cost[i] for i in chosen) == pytest.approx(best, abs=1e-6)
    loads = [got.first_load_kg["b"], *(refill.load_kg["b"] for refill in got.refills)]
    assert sum(loads) == pytest.approx(sum(lengths))
    assert all(load <= fill * (1 + 1e-6) for load in loads)


def test_seed_that_follows_costs_no_driving_and_a_point_is_driven_to() -> None:
    """With a vehicle that follows there is no way to the seed; with a point of its own the drill drives
    there.
    """
    fields, job = load_fields(SAMPLES / "ponds.gpkg"), load_job(SAMPLES / "farm.toml")
    gate = plan_job(fields, job, today=TODAY).fields[0]
    follows = plan_job(
        fields, replace(job, working=replace(job.working, seed_follows=True)), today=TODAY
    ).fields[0]
    assert spent_s(follows.time.parts, "travelling") < spent_s(gate.time.parts, "travelling")
    assert sum(leg.kind == "turn" for leg in follows.supply.legs) == sum(
        leg.kind == "turn" for leg in follows.coverage.legs
    )
    lon, lat = gate.field.ground.representative_point().coords[0]
    terms = replace(job.terms_for("pond"), seed_at=(lon, lat))
    there = plan_job(fields, replace(job, fields={"pond": terms}), today=TODAY).fields[0]
    frame = frame_near(gate.field.ground)
    stops = [
        frame.point_to_lonlat(*leg.line.coords[0]) for leg in there.supply.legs if leg.kind == "refill"
    ]
    assert stops
    assert all(stop == pytest.approx((lon, lat), abs=1e-7) for stop in stops)


def test_breaks_fall_at_pass_ends_and_add_to_the_whole() -> None:
    """Half an hour after every two hours of work: each break follows a sown leg, and the parts add to the
    field time.
    """
    fields, job = load_fields(SAMPLES / "ponds.gpkg"), load_job(SAMPLES / "farm.toml")
    plain = plan_job(fields, job, today=TODAY).fields[0].time
    time = (
        plan_job(
            fields,
            replace(job, working=replace(job.working, break_s=1800, break_every_s=7200)),
            today=TODAY,
        )
        .fields[0]
        .time
    )
    breaks = [i for i, timed in enumerate(time.legs) if timed.leg.kind == "break"]
    assert len(breaks) == pytest.approx(plain.field_s / 7200, abs=1.5)
    assert all(time.legs[i - 1].leg.sown for i in breaks)
    assert time.field_s == pytest.approx(plain.field_s + 1800 * len(breaks))
    assert sum(timed.duration_s for timed in time.legs) == pytest.approx(time.field_s)
