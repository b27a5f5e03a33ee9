"""How much seed a field takes: from the tag's pure live seed to bulk pounds in each box."""

from __future__ import annotations

from fieldplan.facts import Value
from fieldplan.model.budget import BoxBudget, SeedBudget, SownComponent
from fieldplan.model.live_seed import live_kg_per_m2
from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.notes import Note
from fieldplan.model.seed import Carrier, Component, Mix

_ROUNDING = 1e-9


def bulk_kg_per_m2(component: Component) -> float:
    """Bulk seed to sow on a square metre so that the component's rate of live seed is met.

    bulk = PLS / (purity × (germination + hard + dormant)). Hard and dormant seed stand apart from
    germination on a tag (7 CFR 201.21), so they are added.

    Examples
    --------
    A lot of 98.75 % purity, 88 % germination and 5 % dormant seed is 91.84 % pure live seed.
    """
    return (
        component.rate.value
        if component.rate.basis == "bulk"
        else pls_kg_per_m2(component) / component.pls_frac
    )


def pls_kg_per_m2(component: Component) -> float:
    """Pure live seed that a square metre gets."""
    live = live_kg_per_m2(
        component.rate, component.pls_frac, component.seeds_per_kg, component.full_rate_kg_per_m2
    )
    assert live is not None  # a job file gives the figure that its rate takes
    return live


def seed_budget(field_id: str, mix: Mix, drill: Drill, drilled_m2: float, sowings: int) -> SeedBudget:
    """Seed for one field, on the ground that is drilled, double-sown ground included.

    Parameters
    ----------
    drilled_m2
        Ground drilled over all sowings together.
    sowings
        Times the field is sown; each puts down the mix's rate divided by this.
    """
    boxes, notes = [], []
    for box in drill.boxes:
        components = [component for component in mix.components if component.box == box.name]
        if not components:
            continue
        budget = _box_budget(box, components, drilled_m2, sowings)
        boxes.append(budget)
        notes += _metering_note(field_id, mix, box, budget)
    return SeedBudget(mix=mix.name, boxes=tuple(boxes), notes=tuple(notes))


def _box_budget(box: SeedBox, components: list[Component], drilled_m2: float, sowings: int) -> BoxBudget:
    bulk = [bulk_kg_per_m2(component) / sowings for component in components]
    live = [pls_kg_per_m2(component) / sowings for component in components]
    seed_m3_per_m2 = sum(
        b / component.bulk_kg_per_m3 for b, component in zip(bulk, components, strict=True)
    )
    carrier = next((component.carrier for component in components if component.carrier), None)
    carrier_m3_per_m2 = (
        0.0 if carrier is None else max(0.0, carried_m3_per_m2(carrier, box) - seed_m3_per_m2)
    )
    carrier_kg_per_m2 = 0.0 if carrier is None else carrier_m3_per_m2 * carrier.bulk_kg_per_m3
    return BoxBudget(
        box=box.name,
        bulk_kg_per_m2=sum(bulk),
        volume_m3_per_m2=seed_m3_per_m2 + carrier_m3_per_m2,
        working_m3=box.working_m3,
        min_m3=box.min_m3,
        swept=box.swept,
        components=tuple(
            SownComponent(
                species=component.species,
                lot=component.lot,
                bulk_kg_per_m2=b,
                pls_kg_per_m2=p,
                sown_bulk_kg=b * drilled_m2,
                sown_pls_kg=p * drilled_m2,
            )
            for component, b, p in zip(components, bulk, live, strict=True)
        ),
        carrier="" if carrier is None else carrier.name,
        carrier_kg_per_m2=carrier_kg_per_m2,
        carrier_kg=carrier_kg_per_m2 * drilled_m2,
    )


def carried_m3_per_m2(carrier: Carrier, box: SeedBox) -> float:
    """The volume rate of seed and carrier to reach: what the carrier asks for, or the least that the box
    meters.

    Volumes add (real mixes settle a little: calibrate with the mix).
    """
    if carrier.volume_m3_per_m2 is not None:
        return carrier.volume_m3_per_m2
    return 0.0 if box.metering_m3_per_m2 is None else box.metering_m3_per_m2[0]


def _metering_note(field_id: str, mix: Mix, box: SeedBox, budget: BoxBudget) -> list[Note]:
    if box.metering_m3_per_m2 is None:
        return []
    low, high = box.metering_m3_per_m2
    if low * (1 - _ROUNDING) <= budget.volume_m3_per_m2 <= high * (1 + _ROUNDING):
        return []
    case = "under" if budget.volume_m3_per_m2 < low else "over"
    values: dict[str, Value] = {
        "mix": mix.name,
        "box": box.name,
        "asked_m3_per_m2": budget.volume_m3_per_m2,
        "asked_kg_per_m2": budget.load_kg_per_m2,
        "low_m3_per_m2": low,
        "high_m3_per_m2": high,
    }
    return [Note(code="metering-out-of-range", case=case, field_id=field_id, values=values)]
