"""The plan as JSON, schema ``fieldplan/plan/1``: SI, with the unit as the ending of a key. Keys may be added;
those that are here keep their meaning.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from fieldplan.model.cover import cover_of
from fieldplan.model.coverage import Block, Leg
from fieldplan.model.depth import BoxDepth
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.relief import SLOPE_CLASSES_FRAC, Hills
from fieldplan.model.work import TimePart
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.report.data.cover import cover_object
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.seed import (
    change_object,
    loads_object,
    lots_object,
    order_object,
    treated_object,
)
from fieldplan.report.data.sequence import sequence_object
from fieldplan.report.data.species import species_object
from fieldplan.report.data.weather import odds_object, published_object, weather_object
from fieldplan.report.output import Output, PlanAsked, of_text
from fieldplan.report.words.notes import notes_as_data, values_as_data
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence

SCHEMA = "fieldplan/plan/1"
_US = Quantities("us")
"""Sentences are in US units: scripts that read them expect these."""


def plan_json(plan: Plan, *, legs: bool = False) -> str:
    """The plan as one JSON object, the same text for the same plan.

    Parameters
    ----------
    plan
        The plan of the job.
    legs
        Give every leg of every field's route as well.
    """
    return json_text(plan_object(plan, legs=legs))


def plan_object(plan: Plan, *, legs: bool = False) -> dict[str, Any]:
    """The plan as nested dicts and lists, ready for JSON.

    Parameters
    ----------
    plan
        The plan of the job.
    legs
        Give every leg of every field's route as well.
    """
    return {
        "schema": SCHEMA,
        "today": plan.today.isoformat(),
        "cover": cover_object(cover_of(plan)),
        "fields": [_field(field, legs) for field in plan.fields],
        "totals": _totals(plan),
        "order": _order(plan),
        "field_order": order_object(plan.sow_orders),
        "loads": loads_object(plan.loads),
        "emptied_last": [change_object(change) for change in plan.emptied_last],
        "job_time": {**_parts(plan.job_time.parts), "job_s": plan.job_time.job_s},
        "booking": _booking(plan),
        "cost": _cost(plan),
        "tractor": _tractor(plan),
        "lots": lots_object(plan),
        "species": species_object(plan.species),
        "notes": notes_as_data(plan.notes),
        "sources": [{"key": source.key, "title": source.title} for source in plan.sources],
    }


def _depth(box: BoxDepth) -> dict[str, Any]:
    """How deep the seed of a box goes; ``depth_m`` is null where it has to be asked for."""
    return {
        "box": box.box,
        "finest": box.finest,
        "fine": box.fine,
        "depth_m": box.depth_m,
        "no_deeper_m": box.most_m,
        "asked_for": list(box.asked),
        "on_surface": box.on_surface,
        "sources": list(box.sources),
    }


def _totals(plan: Plan) -> dict[str, Any]:
    totals = plan.totals
    return {
        "mapped_m2": totals.mapped_m2,
        "plantable_m2": totals.plantable_m2,
        "drilled_m2": totals.drilled_m2,
        "double_sown_m2": totals.overlap_m2,
        "missed_m2": totals.missed_m2,
        "outside_m2": totals.outside_m2,
        "passes": totals.passes,
        "turns": totals.turns,
        "refills": totals.refills,
        "sown_m": totals.sown_m,
        "lifted_m": totals.lifted_m,
        "for_seed_m": totals.for_seed_m,
        "field_s": plan.job_time.field_s,
    }


def _order(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "species": line.species,
            "lot": line.lot,
            "sown_kg": line.sown_kg,
            "overage_kg": line.overage_kg,
            "stays_kg": line.residual_kg,
            "need_kg": line.need_kg,
            "need_range_kg": None if line.need_range_kg is None else list(line.need_range_kg),
            "bags_range": None if line.bags_range is None else list(line.bags_range),
            "bag_kg": line.bag_kg,
            "bags": line.bags,
            "ordered_kg": line.ordered_kg,
            "left_over_kg": line.left_over_kg,
        }
        for line in plan.order
    ]


def _booking(plan: Plan) -> dict[str, Any]:
    booking, terms = plan.booking, plan.job.booking
    return {
        "fit_days_needed": booking.fieldwork_days_needed,
        "suggested_days": booking.suggested_days,
        "confidence_frac": booking.confidence_prob,
        "persistence_frac": terms.persistence_frac,
        "spread_frac": terms.uncertainty_frac,
        "start": None if terms.start is None else terms.start.isoformat(),
        "latest_start": None if booking.latest_start is None else booking.latest_start.isoformat(),
        "finish": None if booking.finish is None else booking.finish.isoformat(),
        "odds": [odds_object(odds) for odds in booking.odds],
        "grounds": terms.grounds,
        "fit_day_prob": terms.fieldwork_day_prob,
        "published": published_object(terms.published),
        "weather": weather_object(booking, terms),
    }


def _cost(plan: Plan) -> dict[str, Any]:
    return {
        "currency": plan.cost.currency,
        "lines": [
            {
                "name": line.name,
                "low": line.low,
                "high": line.high,
                "how": sentence(line.how, _US),
                "values": values_as_data(line.how.values),
                "sources": list(line.sources),
            }
            for line in plan.cost.lines
        ],
        "unknown": [sentence(item, _US) for item in plan.cost.unknown],
        "fuel_m3": list(plan.cost.fuel_m3),
    }


def _tractor(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "about": check.about,
            "verdict": check.verdict,
            "text": sentence(check.text, _US),
            "source": check.source,
            "sources": list(check.sources),
            "values": values_as_data(check.text.values),
        }
        for check in plan.tractor
    ]


def _field(field: FieldPlan, legs: bool) -> dict[str, Any]:
    time = field.time
    content = {
        "field_id": field.field.field_id,
        "name": field.field.name,
        "mix": field.seed.mix,
        "area": _area(field),
        "edge": {"edge": field.coverage.edge, "open_m": field.coverage.open_edge.length},
        "hills": _hills(field.hills),
        "coverage": _coverage(field),
        "time": {
            **_parts(time.parts),
            "field_s": time.field_s,
            "field_efficiency_frac": time.field_efficiency_frac,
            "field_capacity_m2_per_s": time.field_capacity_m2_per_s,
            "handbook_s": list(time.handbook_s),
        },
        "seed": {"boxes": [_box(field, i) for i in range(len(field.seed.boxes))]},
        "depth": {"boxes": [_depth(box) for box in field.box_depths]},
        "box_changes": [change_object(change) for change in field.box_changes],
        "changing_s": field.changing_s,
        "treated": [treated_object(one) for one in field.treated],
        "refills": _refills(field),
        "sequence": sequence_object(field),
        "seed_stands": _stands(field),
        "second_stand": _second_stand(field),
    }
    if legs:
        content["legs"] = _legs(field)
    return content


def _legs(field: FieldPlan) -> list[dict[str, Any]]:
    frame = frame_near(field.field.ground)
    return [
        {
            "leg": number,
            "kind": timed.leg.kind,
            "number": timed.leg.number,
            "block": timed.leg.block,
            "length_m": timed.leg.length_m,
            "shape": timed.leg.shape,
            "reverse_m": timed.leg.reverse_m,
            "start_s": timed.start_s,
            "duration_s": timed.duration_s,
            **_place(frame, timed.leg),
        }
        for number, timed in enumerate(field.time.legs, start=1)
    ]


def _parts(parts: Iterable[TimePart]) -> dict[str, float]:
    return {f"{part.key}_s": part.spent_s for part in parts}


def _place(frame: Frame, leg: Leg) -> dict[str, float]:
    """Where a leg starts."""
    lon, lat = frame.point_to_lonlat(*leg.line.coords[0])
    return {"lon": lon, "lat": lat}


def _area(field: FieldPlan) -> dict[str, Any]:
    totals = field.totals
    return {
        "mapped_m2": totals.mapped_m2,
        "excluded_m2": field.field.excluded_m2,
        "excluded_by_reason_m2": field.field.excluded_by_reason_m2,
        "plantable_m2": totals.plantable_m2,
        "drilled_m2": totals.drilled_m2,
        "double_sown_m2": totals.overlap_m2,
        "double_sown_by_cause_m2": dict(field.coverage.audit.overlap_by_cause_m2),
        "missed_m2": totals.missed_m2,
        "outside_m2": totals.outside_m2,
    }


def _coverage(field: FieldPlan) -> dict[str, Any]:
    coverage, totals = field.coverage, field.totals
    blocks = [
        (block, number)
        for number, sowing in enumerate(coverage.sowings, start=1)
        for block in sowing.blocks
    ]
    return {
        "drill_width_m": coverage.drill_width_m,
        "pattern": coverage.pattern,
        "search": coverage.search,
        "headland_rounds": coverage.headland_rounds,
        "edge_tolerance_m": coverage.edge_tolerance_m,
        "sowings": len(coverage.sowings),
        "blocks": [
            {
                "block": block.block,
                "sowing": number,
                "heading_deg": block.heading_deg,
                "curve": _curve(block, coverage.drill_width_m),
                "passes": block.n_passes,
                "plantable_m2": float(block.ground.area),
            }
            for block, number in blocks
        ],
        "headings_deg": list(field.headings_deg),
        "passes": totals.passes,
        "pass_length_m": totals.pass_m,
        "headland_length_m": totals.headland_m,
        "turns": totals.turns,
        "turn_length_m": totals.turn_m,
        "travel_length_m": totals.transfer_m,
        "for_seed_length_m": totals.for_seed_m,
        "turns_swing_out_m": coverage.swings_out_m,
        "turn_shapes": field.turn_shapes,
        "reverse_length_m": totals.reverse_m,
    }


def _hills(hills: Hills | None) -> dict[str, Any] | None:
    """How steep a field is, and how its passes rise and fall; ``null`` without heights."""
    if hills is None:
        return None
    relief, grades = hills.relief, hills.grades
    return {
        "file": relief.file,
        "cell_m": relief.cell_m,
        "known_frac": relief.known_frac,
        "slope_median_frac": relief.median_frac,
        "slope_p90_frac": relief.p90_frac,
        "over_frac": [
            {"slope_frac": limit, "ground_frac": share}
            for limit, share in zip(SLOPE_CLASSES_FRAC, relief.over_frac, strict=True)
        ],
        "surface_frac": relief.surface_frac,
        "fall_deg": relief.fall_deg,
        "passes": None
        if grades is None
        else {
            "chord_m": grades.chord_m,
            "steepest_frac": grades.steepest_frac,
            "steepest_across_frac": grades.steepest_across_frac,
            "length_m": grades.length_m,
            "over_m": grades.over_m,
            "pools": grades.pools,
            "pool_passes": list(grades.pool_passes),
        },
        "straight": None
        if hills.straight is None
        else {
            "heading_deg": hills.straight.heading_deg,
            "field_s": hills.straight.field_s,
            "quickest_field_s": hills.straight.quickest_s,
            "contour_field_s": hills.straight.contour_s,
        },
    }


def _curve(block: Block, width_m: float) -> dict[str, float] | None:
    """How tight the passes of a block bend where they follow a curve, and how far off its rate the ends of the drill
    sow there, w/2R.
    """
    radius_m = block.least_radius_m
    return (
        None if math.isinf(radius_m) else {"radius_m": radius_m, "rate_error_frac": width_m / 2 / radius_m}
    )


def _box(field: FieldPlan, index: int) -> dict[str, Any]:
    box = field.seed.boxes[index]
    return {
        "box": box.box,
        "sown_bulk_kg": box.sown_bulk_kg,
        "sown_pls_kg": box.sown_pls_kg,
        "carrier": box.carrier or None,
        "carrier_kg": box.carrier_kg,
        "fills": field.fills,
        "first_load_kg": field.supply.first_load_kg[box.box],
        "left_in_box_kg": field.supply.left_kg[box.box],
        "components": [
            {
                "species": c.species,
                "lot": c.lot,
                "sown_bulk_kg": c.sown_bulk_kg,
                "sown_pls_kg": c.sown_pls_kg,
            }
            for c in box.components
        ],
    }


def _refills(field: FieldPlan) -> list[dict[str, Any]]:
    frame = frame_near(field.field.ground)
    content = []
    refill_legs = [n for n, t in enumerate(field.time.legs, start=1) if t.leg.kind == "refill"]
    for refill, leg, on_clock in zip(field.supply.refills, refill_legs, field.at_stops, strict=True):
        lon, lat = frame.point_to_lonlat(refill.sowing_stops_at.x, refill.sowing_stops_at.y)
        content.append(
            {
                "stop": refill.stop,
                "leg": leg,
                "lon": lon,
                "lat": lat,
                "load_kg": dict(refill.load_kg),
                "start_s": on_clock.start_s,
                "drilled_m2": on_clock.drilled_m2,
            }
        )
    return content


def _stands(field: FieldPlan) -> list[dict[str, float]]:
    """Where the seed stands; nowhere if it follows the drill."""
    frame = frame_near(field.field.ground)
    places = [frame.point_to_lonlat(stand.x, stand.y) for stand in field.supply.stands]
    return [{"lon": lon, "lat": lat} for lon, lat in places]


def _second_stand(field: FieldPlan) -> dict[str, Any] | None:
    """The place where one more stand of seed would save most, if that is worth a word."""
    second = field.supply.second
    if second is None:
        return None
    lon, lat = frame_near(field.field.ground).point_to_lonlat(second.at.x, second.at.y)
    return {"lon": lon, "lat": lat, "stops": second.n_stops, "saved_s": second.saved_s}


OUTPUT: Output[PlanAsked] = Output(
    name="json",
    words="the plan as JSON, SI",
    make=lambda asked: {"plan.json": of_text(lambda: plan_json(asked.plan, legs=asked.legs))},
)
