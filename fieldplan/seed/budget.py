"""How much seed a field takes: from the pure live seed on the tag to bulk seed in each box."""

from __future__ import annotations

from fieldplan.facts import Value
from fieldplan.model.budget import BoxBudget, SeedBudget, SownComponent
from fieldplan.model.live_seed import live_kg_per_m2
from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.notes import Note
from fieldplan.model.seed import Carrier, Component, Mix

_ROUNDING = 1e-9


def bulk_kg_per_m2(component: Component) -> float:
    """Bulk seed to sow on a square meter to reach the component's rate of pure live seed, in kg/m².

    bulk = PLS / (purity × (germination + hard + dormant)). A tag shows hard and dormant seed apart from
    germination (7 CFR 201.21, source key fsa-201), so they are added. A bulk rate is returned as it is.
    """
    return (
        component.rate.value
        if component.rate.basis == "bulk"
        else pls_kg_per_m2(component) / component.pls_frac
    )


def pls_kg_per_m2(component: Component) -> float:
    """Pure live seed that a square meter gets, in kg/m², whatever form the rate was given in."""
    rate_kg_per_m2 = live_kg_per_m2(
        component.rate, component.pls_frac, component.seeds_per_kg, component.full_rate_kg_per_m2
    )
    assert rate_kg_per_m2 is not None  # loading a job file makes sure that the figure is there
    return rate_kg_per_m2


def seed_budget(field_id: str, mix: Mix, drill: Drill, drilled_m2: float, sowings: int) -> SeedBudget:
    """Seed for one field, box by box, on all drilled ground, overlap included.

    Parameters
    ----------
    drilled_m2
        Ground drilled in all sowings together: sown length × effective width.
    sowings
        Times the field is sown. Each sowing puts down the mix's rate divided by this number.

    Returns
    -------
    SeedBudget
        One entry for each box that the mix uses. It has a note for each box asked to sow a volume outside
        its metering range.
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
    pls = [pls_kg_per_m2(component) / sowings for component in components]
    seed_m3_per_m2 = sum(
        bulk_rate / component.bulk_kg_per_m3 for bulk_rate, component in zip(bulk, components, strict=True)
    )
    carrier = next((component.carrier for component in components if component.carrier), None)
    carrier_m3_per_m2 = carrier_kg_per_m2 = 0.0
    if carrier is not None:
        carrier_m3_per_m2 = max(0.0, carried_m3_per_m2(carrier, box) - seed_m3_per_m2)
        carrier_kg_per_m2 = carrier_m3_per_m2 * carrier.bulk_kg_per_m3
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
                bulk_kg_per_m2=bulk_rate,
                pls_kg_per_m2=pls_rate,
                sown_bulk_kg=bulk_rate * drilled_m2,
                sown_pls_kg=pls_rate * drilled_m2,
                treated=bool(component.treated),
            )
            for component, bulk_rate, pls_rate in zip(components, bulk, pls, strict=True)
        ),
        carrier="" if carrier is None else carrier.name,
        carrier_kg_per_m2=carrier_kg_per_m2,
        carrier_kg=carrier_kg_per_m2 * drilled_m2,
    )


def carried_m3_per_m2(carrier: Carrier, box: SeedBox) -> float:
    """The volume of seed and carrier to reach on a square meter, in m³/m².

    It is the volume given with the carrier or, without one, the lower end of the box's metering range; 0
    where neither is known. Volumes are added; real mixes settle a little, so calibrate with the mix.
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
