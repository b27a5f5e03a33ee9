"""The plan as JSON beside the plan: every sum again, every source, every leg."""

from __future__ import annotations

import json
from typing import Any

import pytest

from fieldplan.model.plan import Plan
from fieldplan.report.data.plan_json import plan_json, plan_object


def test_every_source_of_the_plan_is_listed(restoration: Plan) -> None:
    """In order, the first and the last too."""
    assert plan_object(restoration)["sources"] == [
        {"key": source.key, "title": source.title} for source in restoration.sources
    ]
    assert len(restoration.sources) > 5


def test_totals_are_the_sums_of_the_fields(restoration: Plan) -> None:
    """Ground, counts and metres; hours by their parts."""
    made = plan_object(restoration)
    for key in ("mapped_m2", "plantable_m2", "drilled_m2", "double_sown_m2", "missed_m2", "outside_m2"):
        assert made["totals"][key] == pytest.approx(sum(one["area"][key] for one in made["fields"]))
    for total, key in (("passes", "passes"), ("turns", "turns"), ("for_seed_m", "for_seed_length_m")):
        assert made["totals"][total] == pytest.approx(sum(one["coverage"][key] for one in made["fields"]))
    sown_m = sum(
        one["coverage"]["pass_length_m"] + one["coverage"]["headland_length_m"] for one in made["fields"]
    )
    lifted_m = sum(
        one["coverage"]["turn_length_m"] + one["coverage"]["travel_length_m"] for one in made["fields"]
    )
    assert (made["totals"]["sown_m"], made["totals"]["lifted_m"]) == (
        pytest.approx(sown_m),
        pytest.approx(lifted_m),
    )
    assert made["totals"]["refills"] == sum(len(one["refills"]) for one in made["fields"])
    parts = [key for key in made["job_time"] if key != "job_s"]
    assert made["job_time"]["job_s"] == pytest.approx(sum(made["job_time"][key] for key in parts))
    assert (
        made["totals"]["field_s"]
        == made["job_time"]["field_s"]
        == pytest.approx(sum(one["time"]["field_s"] for one in made["fields"]))
    )


def test_seed_of_the_fields_is_that_of_the_order(restoration: Plan) -> None:
    """Lot by lot; a box is loaded with what it sows and what is left in it."""
    made = plan_object(restoration)
    for line in made["order"]:
        lot = (line["species"], line["lot"])
        boxes = [box for one in made["fields"] for box in one["seed"]["boxes"]]
        sown = [
            c["sown_bulk_kg"] for box in boxes for c in box["components"] if (c["species"], c["lot"]) == lot
        ]
        assert sum(sown) == pytest.approx(line["sown_kg"])
        assert line["ordered_kg"] == pytest.approx(line["bags"] * line["bag_kg"])
        assert line["need_kg"] == pytest.approx(line["sown_kg"] + line["overage_kg"])
    for one in made["fields"]:
        assert all(box["fills"] == 1 + len(one["refills"]) for box in one["seed"]["boxes"])
        for box in one["seed"]["boxes"]:
            assert box["sown_bulk_kg"] == pytest.approx(sum(c["sown_bulk_kg"] for c in box["components"]))
            assert box["sown_pls_kg"] == pytest.approx(sum(c["sown_pls_kg"] for c in box["components"]))
            assert (box["carrier"] is None) == (box["carrier_kg"] == 0)


def test_legs_are_given_where_they_are_asked_for(ponds: Plan) -> None:
    """Each begins where the one before ends; refills name theirs."""
    made: dict[str, Any] = json.loads(plan_json(ponds, legs=True))
    assert all("legs" not in one for one in plan_object(ponds)["fields"])
    for one, plan in zip(made["fields"], ponds.fields, strict=True):
        assert [leg["leg"] for leg in one["legs"]] == list(range(1, len(plan.time.legs) + 1))
        for leg, after in zip(one["legs"], one["legs"][1:], strict=False):
            assert after["start_s"] == pytest.approx(leg["start_s"] + leg["duration_s"])
        assert [refill["leg"] for refill in one["refills"]] == [
            leg["leg"] for leg in one["legs"] if leg["kind"] == "refill"
        ]
        west, south, east, north = plan.field.ground.bounds
        stops = [*one["legs"], *one["refills"]]
        assert all(
            west - 0.01 < stop["lon"] < east + 0.01 and south - 0.01 < stop["lat"] < north + 0.01
            for stop in stops
        )


def test_the_booking_and_its_odds_are_those_of_the_plan(ponds: Plan) -> None:
    """With what was asked for."""
    made, terms = plan_object(ponds)["booking"], ponds.job.booking
    assert made["suggested_days"] == ponds.booking.suggested_days
    assert made["odds"] == [{"days": odd.days, "prob": odd.prob} for odd in ponds.booking.odds]
    reached = [one["days"] for one in made["odds"] if one["prob"] >= made["confidence_frac"]]
    assert min(reached) == made["suggested_days"]
    assert (made["confidence_frac"], made["persistence_frac"], made["spread_frac"]) == (
        terms.confidence_prob,
        terms.persistence_frac,
        terms.uncertainty_frac,
    )
