"""Places of a plan in a driver's words."""

from __future__ import annotations

from fieldplan.model.coverage import LegKind
from fieldplan.model.plan import FieldPlan


def place_of(one: FieldPlan, leg: int) -> str:
    """Where a refill falls in the drive, in a driver's words."""
    kind, number = last_sown(one, leg)
    return f"after headland side {number}" if kind == "headland" else f"after pass {number} as driven"


def last_sown(one: FieldPlan, leg: int) -> tuple[LegKind, int]:
    """The kind of what is sown last before a leg of the drive, and its number among its kind."""
    before = one.supply.legs[:leg]
    kind = next(leg.kind for leg in reversed(before) if leg.sown)
    return kind, sum(leg.kind == kind for leg in before)
