"""Notes on a mix and its tags: tests, lines that are missing, placement, treated seed, rate conventions."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from fieldplan.facts import fact
from fieldplan.model.machine import Drill
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.model.seed_law import SeedLaw
from fieldplan.seed.labels import label_notes
from fieldplan.seed.placement import placement_notes
from fieldplan.seed.test_age import test_age_notes
from fieldplan.tables import read as tables
from fieldplan.tables.species import species_figure
from fieldplan.units import POUND_KG

_NO_STATE = SeedLaw()


def tag_notes(
    mix: Mix, drill: Drill, field_speed_m_per_s: float, on: date | None, law: SeedLaw = _NO_STATE
) -> tuple[Note, ...]:
    """Notes on what the seed tags of a mix say and leave out.

    Parameters
    ----------
    on
        The day it is to be sown, or today; ``None`` to leave out notes on the age of tests.
    law
        Where the seed is sold, on which limits depend.
    """
    return tuple(_notes(mix, drill, field_speed_m_per_s, on, law))


def _notes(
    mix: Mix, drill: Drill, field_speed_m_per_s: float, on: date | None, law: SeedLaw
) -> Iterator[Note]:
    yield from test_age_notes(mix, law, on)
    yield from label_notes(mix, law)
    yield from placement_notes(mix, drill)
    treated = tuple(component.species for component in mix.components if component.treated)
    if treated:
        yield Note(
            code="seed-treated", values={"mix": mix.name, "species": treated}, sources=("fsa-treated",)
        )
    yield from _on_conventions(mix)
    used = {component.box for component in mix.components}
    unmetered = tuple(
        box.name for box in drill.boxes if box.metering_m3_per_m2 is None and box.name in used
    )
    if unmetered:
        yield Note(code="metering-unknown", values={"mix": mix.name, "boxes": unmetered})
    if any(box.kind == "native" for component in mix.components if (box := drill.box(component.box))):
        yield Note(code="native-box", sources=("practice",))
        low, high, source = tables.machinery_range("speed for native seed", "m/s")
        if field_speed_m_per_s > high * (1 + 1e-9):
            values = {"low_m_per_s": low, "high_m_per_s": high, "field_m_per_s": field_speed_m_per_s}
            yield Note(code="native-speed", values=values, sources=tuple(source.split(", ")))


def full_rate_seeds_per_m2(component: Component) -> float | None:
    """Pure live seeds per square meter at the full seeding rate, where the rate is a share of it.

    full rate in kg/m² × seeds per kg, from the tag or the species table. ``None`` where either is not
    known.
    """
    seeds_per_kg = component.seeds_per_kg
    if seeds_per_kg is None:
        figure = species_figure(
            component.species, "seeds per pound", variety=component.variety, form=component.form
        )
        seeds_per_kg = None if figure is None or figure.unfit else figure.value / POUND_KG
    if component.full_rate_kg_per_m2 is None or seeds_per_kg is None:
        return None
    return component.full_rate_kg_per_m2 * seeds_per_kg


def _on_conventions(mix: Mix) -> Iterator[Note]:
    """Full seeding rates so far apart that they cannot come from one convention."""
    full_rates = {
        component.species: seeds_per_m2
        for component in mix.components
        if (seeds_per_m2 := full_rate_seeds_per_m2(component)) is not None
    }
    max_ratio, ratio_source = tables.machinery_figure(
        "full seeding rates of one convention differ by", "times"
    )
    if not full_rates or max(full_rates.values()) <= max_ratio * min(full_rates.values()):
        return
    ordered = sorted(full_rates.items(), key=lambda item: item[1])
    low, high, source = tables.machinery_range(
        "live seeds of a full seeding rate by two conventions", "seeds/m2"
    )
    yield Note(
        code="two-conventions",
        values={
            "mix": mix.name,
            "low_seeds_per_m2": low,
            "high_seeds_per_m2": high,
            "stands": tuple(
                fact("full-stand", species=species, full_seeds_per_m2=seeds_per_m2)
                for species, seeds_per_m2 in ordered
            ),
        },
        sources=tuple(dict.fromkeys((source, ratio_source))),
    )
