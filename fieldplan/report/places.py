"""Places of a plan in a driver's words."""

from __future__ import annotations

from fieldplan.model.plan import FieldPlan


def place_of(one: FieldPlan, leg: int) -> str:
    """Where a refill falls in the drive, in a driver's words."""
    before = one.supply.legs[:leg]
    sown = next(leg for leg in reversed(before) if leg.sown)
    if sown.kind == "headland":
        return f"after headland side {sum(leg.kind == 'headland' for leg in before)}"
    return f"after pass {sum(leg.kind == 'pass' for leg in before)} as driven"
