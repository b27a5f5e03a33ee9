"""What is said while a plan is being made."""

from __future__ import annotations

from fieldplan.report.words.first_start import FIRST
from fieldplan.web.desk import Desk

PLANNING = "Planning …"


def waiting_for(desk: Desk) -> str:
    """How far the plan of the desk is, or why it takes long; empty if it is there."""
    if desk.up_to_date:
        return ""
    if desk.compiles:
        return f"{PLANNING} {FIRST}"
    if desk.planned is not None:
        done, every = desk.planned
        return f"Planning: {done} of {every} fields …"
    return PLANNING
