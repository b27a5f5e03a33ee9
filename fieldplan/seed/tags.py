"""What a seed tag leaves to think about: old tests, treated seed, rates from two conventions, seed that bridges."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from fieldplan.model.machine import Drill
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.tables import read as tables
from fieldplan.units import MPH_M_PER_S, POUND_KG, SQUARE_FOOT_M2

_CONVENTIONS_APART = 1.75
"""Full stands whose live seeds by area differ by more than this come from two conventions."""


def tag_notes(mix: Mix, drill: Drill, field_speed_m_per_s: float, on: date | None) -> tuple[Note, ...]:
    """Notes on a mix; ``on`` is the day it is to be sown, or today."""
    return tuple(_found(mix, drill, field_speed_m_per_s, on))


def _found(mix: Mix, drill: Drill, field_speed_m_per_s: float, on: date | None) -> Iterator[Note]:
    yield from _on_tests(mix, on)
    treated = ", ".join(one.species for one in mix.components if one.treated)
    if treated:
        yield Note(code="seed-treated", told=(
            f'Mix "{mix.name}" holds treated seed ({treated}): read the label, wear what it asks for, keep dust down, never use it '
            "for food, feed or oil (source: fsa-treated); clean the boxes before untreated seed goes in."))  # fmt: skip
    yield from _on_conventions(mix)
    blind = [
        box.name for box in drill.boxes if box.metering_m3_per_m2 is None and any(one.box == box.name for one in mix.components)
    ]
    if blind:
        yield Note(code="metering-unknown", told=(
            f'The job file gives no metering range for the {" and ".join(blind)} box: whether it can meter as little or as much by '
            f'volume as mix "{mix.name}" asks for is not checked.'))  # fmt: skip
    if any(box.kind == "native" for one in mix.components if (box := drill.box(one.box))):
        yield Note(code="native-box", told=(
            "Native seed bridges over the meters: dust it with graphite as the drill's manual says, fill that box to about half so "
            "that the agitators stay free, and engage its own drive (common practice, no source)."))  # fmt: skip
        low, high, source = tables.machinery_range("speed for native seed", "mph")
        if field_speed_m_per_s > high * MPH_M_PER_S * (1 + 1e-9):
            yield Note(
                code="native-speed",
                told=f"Native seed is sown at {{low_m_per_s..high_m_per_s}} (source: {source}); this plan drives {{field_m_per_s}}.",
                values={
                    "low_m_per_s": low * MPH_M_PER_S,
                    "high_m_per_s": high * MPH_M_PER_S,
                    "field_m_per_s": field_speed_m_per_s,
                },
            )


def _on_tests(mix: Mix, on: date | None) -> Iterator[Note]:
    """Tests that are old on the day of sowing, and dates that lie after it."""
    low, _, source = tables.machinery_range("months a test holds", "months")
    dated = [(one, one.tested) for one in mix.components if one.tested is not None]
    if on is None or not dated:
        return
    old = [(one, months) for one, tested in dated if (months := (on.year - tested.year) * 12 + on.month - tested.month) > low]
    if old:
        shown = ", ".join(f"{_lot(one)} {months} months" for one, months in old)
        yield Note(code="test-old", told=(
            f'Mix "{mix.name}": tested over {low:.0f} months before {on:%d %b %Y}: {shown}. Seed that crosses state lines must be tested '
            f"within {low:.0f} months (source: {source}), state rules differ; live seed falls with age: ask for a newer test."))  # fmt: skip
    ahead = ", ".join(_lot(one) for one, tested in dated if tested > on)
    if ahead:
        yield Note(
            code="test-ahead", told=f'Mix "{mix.name}": the date of test lies after {on:%d %b %Y}: {ahead}. Check the date.'
        )


def _lot(one: Component) -> str:
    return f"{one.species} ({one.lot})" if one.lot else one.species


def full_stand_seeds_per_m2(one: Component) -> float | None:
    """Live seeds of a full stand, where the rate is a share of one; ``None`` where that is not known."""
    seeds_per_kg = one.seeds_per_kg
    if seeds_per_kg is None:
        figure = tables.species_figure(one.species, "seeds per pound")
        seeds_per_kg = None if figure is None or figure.unfit else figure.value / POUND_KG
    if one.full_stand_kg_per_m2 is None or seeds_per_kg is None:
        return None
    return one.full_stand_kg_per_m2 * seeds_per_kg


def _on_conventions(mix: Mix) -> Iterator[Note]:
    stands = {one.species: full for one in mix.components if (full := full_stand_seeds_per_m2(one)) is not None}
    if not stands or max(stands.values()) <= _CONVENTIONS_APART * min(stands.values()):
        return
    ordered = sorted(stands.items(), key=lambda one: one[1])
    shown = ", ".join(f"{species} {{stand{n}_seeds_per_m2}}" for n, (species, _) in enumerate(ordered, start=1))
    low, high, _ = tables.machinery_range("live seeds of a full stand by two conventions", "seeds/ft2")
    yield Note(
        code="two-conventions",
        told=f'The full stands in mix "{mix.name}" come from two conventions, of about {{low_seeds_per_m2}} and about {{high_seeds_per_m2}}, '
        f"all live ({shown}): shares of them do not add to one stand. Give these rates in live seeds by area instead.",
        values={
            "low_seeds_per_m2": low / SQUARE_FOOT_M2,
            "high_seeds_per_m2": high / SQUARE_FOOT_M2,
            **{f"stand{n}_seeds_per_m2": full for n, (_, full) in enumerate(ordered, start=1)},
        },
    )
