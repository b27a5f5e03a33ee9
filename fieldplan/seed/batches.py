"""Seed mixed ahead for each parcel, one batch a fill and box, so that it can be labelled and staged."""

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
    """The batches of one parcel, box by box in the order of its fills, and a spare of what is delivered
    beyond them.

    The portions of all batches of a parcel add to what it is delivered, lot by lot; a spare has its carrier
    with it.
    """
    treated = {(component.species, component.lot) for component in mix.components if component.treated}
    made: list[Batch] = []
    spare = {(one.species, one.lot): one.need_kg for one in delivered}
    for box in boxes:
        has_treated = any((component.species, component.lot) in treated for component in box.components)
        fills = [kg for of, kg in loads_kg if of.box == box.box]
        for number, kg in enumerate(fills, start=1):
            if kg < _MIN_KG:
                continue
            portions = box.portions(kg)
            made.append(
                Batch(
                    field_id=field_id,
                    mix=mix.name,
                    box=box.box,
                    number=number,
                    of=len(fills),
                    portions=portions,
                    treated=has_treated,
                )
            )
            for portion in portions:
                if not portion.carrier:
                    spare[portion.species, portion.lot] -= portion.bulk_kg
        beyond = _spare(box, spare)
        if beyond:
            made.append(
                Batch(
                    field_id=field_id,
                    mix=mix.name,
                    box=box.box,
                    number=1,
                    of=1,
                    portions=beyond,
                    spare=True,
                    treated=has_treated,
                )
            )
    return tuple(made)


def _spare(box: BoxBudget, spare_kg: dict[tuple[str, str], float]) -> tuple[Portion, ...]:
    """What is left for a box beyond its fills, lot by lot, with the carrier that it takes to sow it."""
    seed = tuple(
        Portion(
            species=component.species,
            lot=component.lot,
            bulk_kg=kg,
            pls_kg=kg * component.pls_kg_per_m2 / component.bulk_kg_per_m2,
        )
        for component in box.components
        if (kg := spare_kg[component.species, component.lot]) > _MIN_KG
    )
    if not seed or box.carrier_kg_per_m2 == 0:
        return seed
    carrier_kg = sum(one.bulk_kg for one in seed) * box.carrier_kg_per_m2 / box.bulk_kg_per_m2
    return (*seed, Portion(species=box.carrier, lot="", bulk_kg=carrier_kg, pls_kg=0.0, carrier=True))
