"""What a seed tag leaves to think about: old tests, treated seed, rates from two conventions, seed that
bridges.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from fieldplan.facts import Value, fact
from fieldplan.model.machine import Drill
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.tables import read as tables
from fieldplan.units import POUND_KG


def tag_notes(mix: Mix, drill: Drill, field_speed_m_per_s: float, on: date | None) -> tuple[Note, ...]:
    """Notes on a mix; ``on`` is the day it is to be sown, or today."""
    return tuple(_found(mix, drill, field_speed_m_per_s, on))


def _found(mix: Mix, drill: Drill, field_speed_m_per_s: float, on: date | None) -> Iterator[Note]:
    yield from _on_tests(mix, on)
    treated = tuple(component.species for component in mix.components if component.treated)
    if treated:
        yield Note(
            code="seed-treated", values={"mix": mix.name, "species": treated}, sources=("fsa-treated",)
        )
    yield from _on_conventions(mix)
    used = {component.box for component in mix.components}
    blind = tuple(box.name for box in drill.boxes if box.metering_m3_per_m2 is None and box.name in used)
    if blind:
        yield Note(code="metering-unknown", values={"mix": mix.name, "boxes": blind})
    if any(box.kind == "native" for component in mix.components if (box := drill.box(component.box))):
        yield Note(code="native-box", sources=("practice",))
        low, high, source = tables.machinery_range("speed for native seed", "m/s")
        if field_speed_m_per_s > high * (1 + 1e-9):
            values = {"low_m_per_s": low, "high_m_per_s": high, "field_m_per_s": field_speed_m_per_s}
            yield Note(code="native-speed", values=values, sources=tuple(source.split(", ")))


def _on_tests(mix: Mix, on: date | None) -> Iterator[Note]:
    """Tests that are old on the day of sowing, and dates that lie after it."""
    max_months, source = tables.machinery_figure("months a test holds", "months")
    dated = [(component, component.tested) for component in mix.components if component.tested is not None]
    if on is None or not dated:
        return
    old = [
        (one, months)
        for one, tested in dated
        if (months := (on.year - tested.year) * 12 + on.month - tested.month) > max_months
    ]
    if old:
        lots = tuple(fact("months-since-test", lot=_lot(one), n_months=months) for one, months in old)
        values: dict[str, Value] = {
            "mix": mix.name,
            "n_most_months": int(max_months),
            "on": on,
            "lots": lots,
        }
        yield Note(code="test-old", values=values, sources=tuple(source.split(", ")))
    ahead = tuple(_lot(one) for one, tested in dated if tested > on)
    if ahead:
        yield Note(code="test-ahead", values={"mix": mix.name, "on": on, "lots": ahead})


def _lot(one: Component) -> str:
    return f"{one.species} ({one.lot})" if one.lot else one.species


def full_rate_seeds_per_m2(one: Component) -> float | None:
    """Live seeds of a full stand, where the rate is a share of one; ``None`` where that is not known."""
    seeds_per_kg = one.seeds_per_kg
    if seeds_per_kg is None:
        figure = tables.species_figure(one.species, "seeds per pound")
        seeds_per_kg = None if figure is None or figure.unfit else figure.value / POUND_KG
    if one.full_rate_kg_per_m2 is None or seeds_per_kg is None:
        return None
    return one.full_rate_kg_per_m2 * seeds_per_kg


def _on_conventions(mix: Mix) -> Iterator[Note]:
    stands = {
        component.species: full
        for component in mix.components
        if (full := full_rate_seeds_per_m2(component)) is not None
    }
    maximum, by = tables.machinery_figure("full seeding rates of one convention differ by", "times")
    if not stands or max(stands.values()) <= maximum * min(stands.values()):
        return
    ordered = sorted(stands.items(), key=lambda item: item[1])
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
                fact("full-stand", species=species, full_seeds_per_m2=full) for species, full in ordered
            ),
        },
        sources=tuple(dict.fromkeys((source, by))),
    )
