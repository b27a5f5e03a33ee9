"""Seed mixed ahead for each parcel, one batch a fill and box, so that it can be labelled and staged."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.budget import Batch, BoxBudget, Delivery, Portion

_LEAST_SPARE_KG = 1e-6


def batches(
    field_id: str,
    mix: str,
    boxes: Sequence[BoxBudget],
    loads_kg: Sequence[tuple[BoxBudget, float]],
    delivered: Sequence[Delivery],
) -> tuple[Batch, ...]:
    """The batches of one parcel, box by box in the order of its fills, and a spare of what is delivered beyond them.

    The portions of all batches of a parcel add to what it is delivered, lot by lot.
    """
    made: list[Batch] = []
    spare = {(one.species, one.lot): one.need_kg for one in delivered}
    for box in boxes:
        fills = [kg for of, kg in loads_kg if of.box == box.box and kg > 0]
        for number, kg in enumerate(fills, start=1):
            portions = box.portions(kg)
            made.append(Batch(field_id=field_id, mix=mix, box=box.box, number=number, of=len(fills), portions=portions))
            for one in portions:
                if not one.carrier:
                    spare[one.species, one.lot] -= one.bulk_kg
        beyond = tuple(
            Portion(species=one.species, lot=one.lot, bulk_kg=spare[one.species, one.lot],
                    pls_kg=spare[one.species, one.lot] * one.pls_kg_per_m2 / one.bulk_kg_per_m2)
            for one in box.components
            if spare[one.species, one.lot] > _LEAST_SPARE_KG
        )  # fmt: skip
        if beyond:
            made.append(Batch(field_id=field_id, mix=mix, box=box.box, number=1, of=1, portions=beyond, spare=True))
    return tuple(made)
