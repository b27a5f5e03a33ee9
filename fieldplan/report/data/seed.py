"""The seed of a plan as JSON."""

from __future__ import annotations

from fieldplan.model.budget import BoxChange, Delivery, Portion, SeedEnd, SowOrders, TreatedSeed
from fieldplan.model.loads import LoadList, Taken
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.data.species import species_object
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
                "need_range_kg": None if line.need_range_kg is None else list(line.need_range_kg),
                "bags_range": None if line.bags_range is None else list(line.bags_range),
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
        "field_order": order_object(plan.sow_orders),
        "emptied_last": [change_object(change) for change in plan.emptied_last],
        "loads": loads_object(plan.loads),
        "parcels": [_parcel_object(plan, field) for field in plan.fields],
        "run_outs": [
            {
                "mix": run_out.mix,
                "box": run_out.box,
                "heavy_frac": run_out.heavy_frac,
                "planned_m2": run_out.planned_m2,
                "fill_m2": run_out.fill_m2,
                "seed_m2": run_out.seed_m2,
                "ends": _end_object(run_out.ends),
            }
            for run_out in plan.run_outs
        ],
        "lots": lots_object(plan),
        "species": species_object(plan.species),
        "notes": notes_as_data(plan.notes),
    }


def lots_object(plan: Plan) -> list[dict[str, object]]:
    """The lots of each mix as their tags describe them, the month of the test that counts included."""
    return [
        {
            "mix": mix.name,
            "species": lot.species,
            "lot": lot.lot,
            "variety": lot.variety,
            "form": lot.form,
            "origin": lot.origin,
            "noxious": list(lot.noxious),
            "pure_frac": lot.purity_frac,
            "germination_frac": lot.germination_frac,
            "hard_frac": lot.hard_frac,
            "dormant_frac": lot.dormant_frac,
            "tz_frac": lot.tz_frac,
            "viability": lot.viability,
            "other_crop_frac": lot.other_crop_frac,
            "weed_frac": lot.weed_frac,
            "seeds_per_kg": lot.seeds_per_kg,
            "seeds_per_kg_range": None if lot.seeds_per_kg_range is None else list(lot.seeds_per_kg_range),
            "tested": None if lot.last_test is None else f"{lot.last_test:%Y-%m}",
        }
        for mix in plan.job.mixes
        for lot in mix.components
    ]


def _end_object(end: SeedEnd | None) -> dict[str, object] | None:
    if end is None:
        return None
    return {
        "field_id": end.field_id,
        "species": end.species,
        "lot": end.lot,
        "sown_m2": end.sown_m2,
        "of_m2": end.of_m2,
    }


def change_object(change: BoxChange) -> dict[str, object]:
    """What to do to a box before a field, and in the end."""
    return {
        "box": change.box,
        "kind": change.kind,
        "mix": change.mix,
        "kg": change.kg,
        "takes_s": change.takes_s,
        "treated": change.treated,
        "portions": [portion_object(portion) for portion in change.portions],
    }


def treated_object(one: TreatedSeed) -> dict[str, object]:
    """Treated seed that concerns a field, and where it is."""
    return {"box": one.box, "where": one.where, "mix": one.mix, "species": list(one.species)}


def portion_object(portion: Portion) -> dict[str, object]:
    """A weighed amount of a lot or a carrier."""
    return {
        "species": portion.species,
        "lot": portion.lot,
        "carrier": portion.carrier,
        "bulk_kg": portion.bulk_kg,
        "pls_kg": portion.pls_kg,
        "treated": portion.treated,
    }


def order_object(orders: SowOrders | None) -> dict[str, object] | None:
    """The order of the fields beside that of the file, and what the box changes of both come to."""
    if orders is None:
        return None
    return {
        "given": list(orders.given),
        "best": list(orders.best),
        "kept": orders.kept,
        "given_emptied": orders.of_given.n_emptied,
        "given_set_again": orders.of_given.n_reset,
        "given_s": orders.given_s,
        "best_emptied": orders.of_best.n_emptied,
        "best_set_again": orders.of_best.n_reset,
        "best_s": orders.best_s,
    }


def _delivery_object(plan: Plan, part: Delivery) -> dict[str, object]:
    """What a parcel is brought of a lot or carrier, and how it comes: trip by trip, in bags or bales."""
    return {
        "species": part.species,
        "lot": part.lot,
        "carrier": part.carrier,
        "treated": part.treated,
        "sown_kg": part.sown_kg,
        "overage_kg": part.overage_kg,
        "stays_kg": part.residual_kg,
        "carried_kg": part.carried_kg,
        "need_kg": part.need_kg,
        "sown_pls_kg": part.sown_pls_kg,
        "brought": [
            {"trip": trip.number, "day": trip.day, **_taken_object(taken)}
            for trip, taken in plan.loads.taken_for(part.field_id)
            if (taken.species, taken.lot) == (part.species, part.lot)
        ],
    }


def _taken_object(taken: Taken) -> dict[str, object]:
    return {
        "kg": taken.kg,
        "bag_kg": taken.bag_kg,
        "bags": taken.bags,
        "first_bag": taken.first_bag,
        "from_open_bag_kg": taken.from_open_kg,
        "whole_bags": taken.n_whole,
        "out_of_one_more_kg": taken.opened_kg,
        "volume_m3": taken.volume_m3,
    }


def loads_object(loads: LoadList) -> dict[str, object]:
    """All trips with what they put down where, and where all of each lot goes."""
    return {
        "limit_kg": loads.limit_kg,
        "trips": [
            {
                "trip": trip.number,
                "day": trip.day,
                "gross_kg": trip.gross_kg,
                "field_ids": list(trip.field_ids),
                "taken": [
                    {
                        "field_id": taken.field_id,
                        "species": taken.species,
                        "lot": taken.lot,
                        "carrier": taken.carrier,
                        "treated": taken.treated,
                        **_taken_object(taken),
                    }
                    for taken in trip.taken
                ],
                "drops": [
                    {
                        "field_id": drop.field_id,
                        "stop": drop.stop,
                        "spare": drop.spare,
                        "box": drop.box,
                        "part": drop.part,
                        "parts": drop.parts,
                        "start_s": drop.start_s,
                        "net_kg": drop.net_kg,
                        "gross_kg": drop.gross_kg,
                        "portions": [portion_object(portion) for portion in drop.portions],
                    }
                    for drop in trip.drops
                ],
            }
            for trip in loads.trips
        ],
        "accounts": [
            {
                "species": one.species,
                "lot": one.lot,
                "carrier": one.carrier,
                "ordered_kg": one.ordered_kg,
                "seed_house_kg": one.stays_kg,
                "brought_kg": one.brought_kg,
                "spare_kg": one.spare_kg,
                "loaded_kg": one.loaded_kg,
                "sown_kg": one.sown_kg,
                "left_kg": one.left_kg,
                "swept_kg": one.swept_kg,
            }
            for one in loads.accounts
        ],
    }


def _parcel_object(plan: Plan, field: FieldPlan) -> dict[str, object]:
    return {
        "field_id": field.field.field_id,
        "mix": field.seed.mix,
        "box_changes": [change_object(change) for change in field.box_changes],
        "changing_s": field.changing_s,
        "treated": [treated_object(one) for one in field.treated],
        "deliveries": [_delivery_object(plan, part) for part in field.deliveries],
        "batches": [
            {
                "box": batch.box,
                "number": batch.number,
                "of": batch.of,
                "spare": batch.spare,
                "load_kg": batch.load_kg,
                "treated": batch.treated,
                "portions": [portion_object(portion) for portion in batch.portions],
            }
            for batch in field.batches
        ],
    }
