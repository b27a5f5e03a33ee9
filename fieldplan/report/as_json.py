"""The plan as JSON, schema ``fieldplan/plan/1``: SI, suffixes say the unit. Keys may be added, these keep their meaning."""

from __future__ import annotations

from typing import Any

from fieldplan.model.coverage import Leg
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.report.json_text import json_text
from fieldplan.report.notes import notes_as_data, said
from fieldplan.report.quantities import Quantities

SCHEMA = "fieldplan/plan/1"


def plan_json(plan: Plan, *, legs: bool = False) -> str:
    """The plan as one JSON object, the same text for the same plan.

    Parameters
    ----------
    legs
        Give every leg of every field's drive as well.
    """
    return json_text(plan_object(plan, legs=legs))


def plan_object(plan: Plan, *, legs: bool = False) -> dict[str, Any]:
    """The plan as nested dicts and lists, ready for JSON."""
    fields = [_field(one, legs) for one in plan.fields]
    areas = ("mapped_m2", "plantable_m2", "drilled_m2", "double_sown_m2", "missed_m2")
    job, booking = plan.job_time, plan.booking
    return {
        "schema": SCHEMA,
        "today": plan.today.isoformat(),
        "fields": fields,
        "totals": {key: sum(one["area"][key] for one in fields) for key in areas} | {"field_s": job.field_s},
        "order": [
            {"species": line.species, "lot": line.lot, "sown_kg": line.sown_kg, "need_kg": line.need_kg,
             "bag_kg": line.bag_kg, "bags": line.bags, "ordered_kg": line.ordered_kg, "left_over_kg": line.left_over_kg}
            for line in plan.order
        ],
        "job_time": {
            "pick_up_s": job.pick_up_s, "set_up_s": job.set_up_s, "calibration_s": job.calibration_s,
            "moving_s": job.moving_s, "field_s": job.field_s, "clean_out_s": job.clean_out_s, "job_s": job.job_s,
        },
        "booking": {
            "fit_days_needed": booking.fit_days_needed,
            "suggested_days": booking.suggested_days,
            "confidence_frac": booking.confidence_prob,
            "persistence_frac": plan.job.booking.persistence_frac,
            "spread_frac": plan.job.booking.spread_frac,
            "start": None if plan.job.booking.start is None else plan.job.booking.start.isoformat(),
            "latest_start": None if booking.latest_start is None else booking.latest_start.isoformat(),
            "finish": None if booking.finish is None else booking.finish.isoformat(),
            "odds": [{"days": odds.days, "prob": odds.prob} for odds in booking.odds],
        },
        "cost": {
            "currency": plan.cost.currency,
            "lines": [{"name": line.name, "low": line.low, "high": line.high, "how": line.how} for line in plan.cost.lines],
            "unknown": list(plan.cost.unknown),
            "fuel_m3": list(plan.cost.fuel_m3),
        },
        "tractor": [
            {"about": one.about, "verdict": one.verdict, "text": said(one, Quantities()), "source": one.source, "values": dict(one.values)}
            for one in plan.tractor
        ],
        "notes": notes_as_data(plan.notes),
        "sources": [{"key": one.key, "title": one.title} for one in plan.sources],
    }  # fmt: skip


def _field(one: FieldPlan, legs: bool) -> dict[str, Any]:
    time = one.time
    shown = {
        "field_id": one.field.field_id,
        "name": one.field.name,
        "mix": one.seed.mix,
        "area": _area(one),
        "coverage": _coverage(one),
        "time": {
            "drilling_s": time.drilling_s, "turning_s": time.turning_s, "travelling_s": time.travelling_s,
            "refilling_s": time.refilling_s, "checking_s": time.checking_s, "breaks_s": time.breaks_s, "field_s": time.field_s,
            "field_efficiency_frac": time.field_efficiency_frac, "field_capacity_m2_per_s": time.field_capacity_m2_per_s,
            "handbook_s": list(time.handbook_s),
        },
        "seed": {"boxes": [_box(one, i) for i in range(len(one.seed.boxes))]},
        "refills": _refills(one),
    }  # fmt: skip
    if legs:
        frame = frame_near(one.field.ground)
        shown["legs"] = [
            {"leg": n, "kind": t.leg.kind, "block": t.leg.block, "length_m": t.leg.length_m, "start_s": t.start_s,
             "duration_s": t.duration_s, **_place(frame, t.leg)}
            for n, t in enumerate(time.legs, start=1)
        ]  # fmt: skip
    return shown


def _place(frame: Frame, leg: Leg) -> dict[str, float]:
    """Where a leg starts."""
    lon, lat = frame.point_to_lonlat(*leg.line.coords[0])
    return {"lon": lon, "lat": lat}


def _area(one: FieldPlan) -> dict[str, Any]:
    audit = one.coverage.audit
    return {
        "mapped_m2": one.field.mapped_m2,
        "excluded_m2": one.field.excluded_m2,
        "excluded_by_reason_m2": one.field.excluded_by_reason_m2,
        "plantable_m2": one.field.plantable_m2,
        "drilled_m2": audit.drilled_m2,
        "double_sown_m2": audit.double_sown_m2,
        "double_sown_by_cause_m2": dict(audit.double_sown_by_cause_m2),
        "missed_m2": audit.missed_m2,
        "outside_m2": audit.outside_m2,
    }


def _coverage(one: FieldPlan) -> dict[str, Any]:
    coverage = one.coverage
    blocks = [(block, number) for number, sowing in enumerate(coverage.sowings, start=1) for block in sowing.blocks]
    return {
        "drill_width_m": coverage.drill_width_m,
        "headland_rounds": coverage.headland_rounds,
        "sowings": len(coverage.sowings),
        "blocks": [
            {"block": block.block, "sowing": number, "heading_deg": block.heading_deg, "passes": block.n_passes,
             "plantable_m2": float(block.ground.area)}
            for block, number in blocks
        ],
        "passes": coverage.n_passes,
        "pass_length_m": coverage.length_m("pass"),
        "headland_length_m": coverage.length_m("headland"),
        "turns": sum(leg.kind == "turn" for leg in one.supply.legs),
        "turn_length_m": sum(leg.length_m for leg in one.supply.legs if leg.kind == "turn"),
        "travel_length_m": sum(leg.length_m for leg in one.supply.legs if leg.kind == "transfer"),
    }  # fmt: skip


def _box(one: FieldPlan, index: int) -> dict[str, Any]:
    box = one.seed.boxes[index]
    return {
        "box": box.box,
        "sown_bulk_kg": box.sown_bulk_kg,
        "sown_pls_kg": box.sown_pls_kg,
        "carrier": box.carrier or None,
        "carrier_kg": box.carrier_kg,
        "fills": 1 + len(one.supply.refills),
        "first_load_kg": one.supply.first_load_kg[box.box],
        "left_in_box_kg": box.least_m3 * box.load_kg_per_m3,
        "components": [
            {"species": c.species, "lot": c.lot, "sown_bulk_kg": c.sown_bulk_kg, "sown_pls_kg": c.sown_pls_kg}
            for c in box.components
        ],
    }


def _refills(one: FieldPlan) -> list[dict[str, Any]]:
    frame = frame_near(one.field.ground)
    shown = []
    refill_legs = [n for n, t in enumerate(one.time.legs, start=1) if t.leg.kind == "refill"]
    for refill, leg in zip(one.supply.refills, refill_legs, strict=True):
        lon, lat = frame.point_to_lonlat(refill.sowing_stops_at.x, refill.sowing_stops_at.y)
        shown.append({"stop": refill.stop, "leg": leg, "lon": lon, "lat": lat, "load_kg": dict(refill.load_kg)})
    return shown
