"""Places and headings of a plan in a driver's words."""

from __future__ import annotations

from typing import NamedTuple

from fieldplan.model.coverage import LegKind
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.words.money_and_places import heading_text


class Sown(NamedTuple):
    """What is sown last before a leg: a pass or a side of the headland, its number as driven, and whether
    it goes on afterwards.
    """

    kind: LegKind
    number: int
    goes_on: bool


def start_of(plan: Plan, one: FieldPlan) -> str:
    """Where the first load is tipped in."""
    elsewhere = plan.job.terms_for(one.field.field_id).seed_at is not None or plan.job.working.seed_follows
    return "start" if elsewhere else "start, at the gate"


def place_of(one: FieldPlan, leg: int) -> str:
    """Where a refill falls in the drive, in a driver's words."""
    last = last_sown(one, leg)
    where = "in" if last.goes_on else "after"
    return (
        f"{where} headland side {last.number}"
        if last.kind == "headland"
        else f"{where} pass {last.number} as driven"
    )


def last_sown(one: FieldPlan, leg: int) -> Sown:
    """What is sown last before a leg of the drive."""
    legs = one.supply.legs
    last = next(leg for leg in reversed(legs[:leg]) if leg.sown)
    following = next((leg for leg in legs[leg:] if leg.sown), None)
    goes_on = following is not None and (following.kind, following.number) == (last.kind, last.number)
    return Sown(last.kind, last.number, goes_on)


def headings(one: FieldPlan) -> str:
    """The headings of a field as every output shows them, a dash if it has none."""
    return ", ".join(f"{heading_text(heading)}°" for heading in one.headings_deg) or "–"
