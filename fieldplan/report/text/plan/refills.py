"""Where the drill is filled in each field, and with how much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from fieldplan.model.plan import MIN_KG, FieldPlan, Plan
from fieldplan.plane.frame import frame_near
from fieldplan.report.text.table import NARROW, paragraph
from fieldplan.report.words.money_and_places import place_text
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.places import place_of
from fieldplan.report.words.quantities import Quantities

FEW_STOPS = 3
"""Refill stops of a field that are listed in short."""


def refill_lines(plan: Plan, q: Quantities) -> list[str]:
    """The first load and all refill stops of each field.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    return [line for field in plan.fields for line in _field_lines(plan, field, q)]


def short_refill_lines(plan: Plan, field: FieldPlan, q: Quantities) -> list[str]:
    """How far a fill goes, where the seed is, and the first stops of a field.

    Parameters
    ----------
    plan
        The plan of the whole job.
    field
        One of its fields.
    q
        The reader's units.
    """
    if not field.is_drilled:
        return []
    refills = field.supply.refills
    more = " First stops (-v lists all):" if len(refills) > FEW_STOPS else " Stops:" if refills else ""
    about = f"{_fill(field, q).capitalize()}. {_seed_place(plan, field)}{more}"
    lines = paragraph(about, maximum=NARROW)
    for refill in refills[:FEW_STOPS]:
        text = f"{refill.stop}. {place_of(field, refill.leg)}: {_load(refill.load_kg, q)}"
        lines += paragraph(text, indent=4, maximum=NARROW)
    return lines


def _field_lines(plan: Plan, field: FieldPlan, q: Quantities) -> Iterator[str]:
    field_id, refills = field.field.field_id, field.supply.refills
    if not field.is_drilled:
        yield from paragraph(f"{field_id}: nothing is drilled here.")
        return
    first = {box: kg for box, kg in field.supply.first_load_kg.items() if kg > MIN_KG}
    start = f"Start with {_load(first, q)}." if first else "The boxes hold enough to start."
    stops = counted(len(refills), "stop") if refills else "no stop"
    yield from paragraph(f"{field_id}: {stops}; {_fill(field, q)}. {_seed_place(plan, field)} {start}")
    frame = frame_near(field.field.ground)
    for refill in refills:
        at = place_text(frame.point_to_lonlat(refill.sowing_stops_at.x, refill.sowing_stops_at.y))
        text = f"{refill.stop}. {place_of(field, refill.leg)} ({at}): {_load(refill.load_kg, q)}"
        yield from paragraph(text, indent=4)


def _fill(field: FieldPlan, q: Quantities) -> str:
    fill_m2 = min((box.area_per_fill_m2 for box in field.seed.boxes), default=0.0)
    return f"a fill covers {q.area(fill_m2, 1)} {q.area_unit}"


def _load(load_kg: Mapping[str, float], q: Quantities) -> str:
    return ", ".join(f"{box} {q.mass(kg)} {q.mass_unit}" for box, kg in load_kg.items())


def _seed_place(plan: Plan, field: FieldPlan) -> str:
    """Where the seed is: at the place given for it, beside the drill, or at the gate."""
    given = plan.job.terms_for(field.field.field_id).seed_at
    out_of_reach = any(note.code == "seed-astray" for note in field.coverage.notes)
    if given is not None and not out_of_reach:
        return f"Seed is at {place_text(given)}."
    if plan.job.working.seed_follows:
        return "Seed follows the drill."
    further = [place_text(at) for at in field.further_stands_lonlat]
    also = f", and for other parts at {'; '.join(further)}" if further else ""
    return f"Seed is at the gate ({place_text(field.gate_lonlat)}){also}."
