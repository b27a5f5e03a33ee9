"""The seed of a plan as JSON."""

from __future__ import annotations

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.words.notes import notes_as_data


def seed_object(plan: Plan) -> dict[str, object]:
    """The seed of a job as nested dicts in SI: order, carriers, parcels, where seed runs out, notes."""
    return {
        "schema": "fieldplan/seed/1",
        "order": [
            {
                "species": line.species,
                "lot": line.lot,
                "sown_kg": line.sown_kg,
                "overage_kg": line.overage_kg,
                "stays_kg": line.residual_kg,
                "need_kg": line.need_kg,
                "bag_kg": line.bag_kg,
                "bags": line.bags,
                "ordered_kg": line.ordered_kg,
                "left_over_kg": line.left_over_kg,
                "cost": line.cost,
                "currency": None if line.price is None else line.price.currency,
                "price_per_live_kg": line.price_per_live_kg,
            }
            for line in plan.order
        ],
        "carriers": [
            {"name": carrier.name, "kg": carrier.kg, "m3": carrier.m3} for carrier in plan.carriers
        ],
        "parcels": [_parcel_object(field) for field in plan.fields],
        "run_outs": [
            {
                "mix": run_out.mix,
                "box": run_out.box,
                "heavy_frac": run_out.heavy_frac,
                "planned_m2": run_out.planned_m2,
                "fill_m2": run_out.fill_m2,
                "seed_m2": run_out.seed_m2,
            }
            for run_out in plan.run_outs
        ],
        "notes": notes_as_data(plan.notes),
    }


def _parcel_object(field: FieldPlan) -> dict[str, object]:
    return {
        "field_id": field.field.field_id,
        "mix": field.seed.mix,
        "box_changes": [
            {"box": c.box, "kind": c.kind, "mix": c.mix, "kg": c.kg} for c in field.box_changes
        ],
        "deliveries": [
            {
                "species": part.species,
                "lot": part.lot,
                "sown_kg": part.sown_kg,
                "overage_kg": part.overage_kg,
                "stays_kg": part.residual_kg,
                "carried_kg": part.carried_kg,
                "need_kg": part.need_kg,
                "sown_pls_kg": part.sown_pls_kg,
            }
            for part in field.deliveries
        ],
        "batches": [
            {
                "box": batch.box,
                "number": batch.number,
                "of": batch.of,
                "spare": batch.spare,
                "load_kg": batch.load_kg,
                "portions": [
                    {
                        "species": p.species,
                        "lot": p.lot,
                        "carrier": p.carrier,
                        "bulk_kg": p.bulk_kg,
                        "pls_kg": p.pls_kg,
                    }
                    for p in batch.portions
                ],
            }
            for batch in field.batches
        ],
    }
