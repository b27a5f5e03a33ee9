"""Seed mixed ahead for each parcel: one labeled batch for each fill of each box."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.budget import Batch, BoxBudget, Delivery, Portion
from fieldplan.model.seed import Mix

_MIN_KG = 1e-6


def batches(
    field_id: str,
    mix: Mix,
    boxes: Sequence[BoxBudget],
    loads_kg: Sequence[tuple[BoxBudget, float]],
    delivered: Sequence[Delivery],
) -> tuple[Batch, ...]:
    """The batches of one parcel, box by box in the order of its fills, then a spare for each box.

    A spare holds the delivered seed that no fill needs, with the carrier to sow it. Lot by lot, the
    portions of all batches add up to the delivery.

    Parameters
    ----------
    loads_kg
        Every load of the field: the box, and the seed and carrier poured into it, in kg.
    delivered
        What the parcel is brought of each lot.
    """
    treated = {(component.species, component.lot) for component in mix.components if component.treated}
    made: list[Batch] = []
    spare_kg = {(delivery.species, delivery.lot): delivery.need_kg for delivery in delivered}
    for box in boxes:
        has_treated = any((component.species, component.lot) in treated for component in box.components)
        fills_kg = [load_kg for loaded, load_kg in loads_kg if loaded.box == box.box]
        for number, fill_kg in enumerate(fills_kg, start=1):
            if fill_kg < _MIN_KG:
                continue
            portions = box.portions(fill_kg)
            made.append(
                Batch(
                    field_id=field_id,
                    mix=mix.name,
                    box=box.box,
                    number=number,
                    of=len(fills_kg),
                    portions=portions,
                    treated=has_treated,
                )
            )
            for portion in portions:
                if not portion.carrier:
                    spare_kg[portion.species, portion.lot] -= portion.bulk_kg
        spare_portions = _spare(box, spare_kg)
        if spare_portions:
            made.append(
                Batch(
                    field_id=field_id,
                    mix=mix.name,
                    box=box.box,
                    number=1,
                    of=1,
                    portions=spare_portions,
                    spare=True,
                    treated=has_treated,
                )
            )
    return tuple(made)


def _spare(box: BoxBudget, spare_kg: dict[tuple[str, str], float]) -> tuple[Portion, ...]:
    """What is left for a box beyond its fills, lot by lot, with the carrier to sow it."""
    seed = tuple(
        Portion(
            species=component.species,
            lot=component.lot,
            bulk_kg=kg,
            pls_kg=kg * component.pls_kg_per_m2 / component.bulk_kg_per_m2,
            treated=component.treated,
        )
        for component in box.components
        if (kg := spare_kg[component.species, component.lot]) > _MIN_KG
    )
    if not seed or box.carrier_kg_per_m2 == 0:
        return seed
    carrier_kg = sum(portion.bulk_kg for portion in seed) * box.carrier_kg_per_m2 / box.bulk_kg_per_m2
    return (*seed, Portion(species=box.carrier, lot="", bulk_kg=carrier_kg, pls_kg=0.0, carrier=True))
