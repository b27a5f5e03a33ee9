"""What holds for every plan: how ground is measured, what the odds and the clock leave out."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.job import Job, WorkingTerms
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan
from fieldplan.tables import read as tables


def standing_notes(job: Job, fields: Sequence[FieldPlan]) -> list[Note]:
    """The notes of a job, whose clock holds what was counted on its fields."""
    low, high, source = tables.machinery_range("seeding field efficiency", "%")
    return [
        Note(code="acres-flat", told="Ground is measured on the ellipsoid, flat: slope and height add nothing (5 % slope is 0.125 % more ground)."),
        *([] if job.booking.persistence_frac else [Note(code="fit-days-independent", told="The odds take each day as fit or not by itself; wet days come in spells, so real odds are somewhat lower (persistence in [booking] takes them into account).")]),
        Note(code="handbook-efficiency", told=f"Handbook hours use a field efficiency of {{low_frac..high_frac}} for seeding (source: {source}).", values={"low_frac": low / 100, "high_frac": high / 100}),
        _on_clock(job.working, fields),
    ]  # fmt: skip


def _on_clock(working: WorkingTerms, fields: Sequence[FieldPlan]) -> Note:
    """What the hours of these fields hold, and what comes on top: as it was counted, and not only as it was asked for."""
    values = {}
    held, on_top = ["driving", "turns", "refills"], ["plugged tubes"]
    if checks := sum(one.time.checking_s for one in fields):
        held.append("{checks_s} of tube checks")
        values["checks_s"] = checks
    else:
        on_top.append("tube checks")
    if breaks := sum(one.time.breaks_s for one in fields):
        held.append("{breaks_s} of breaks")
        values["breaks_s"] = breaks
    elif not working.break_s:
        on_top.append("breaks")
    text = f"The clock holds {_listed(held)}; {_listed([*on_top, 'breakdowns'])} come on top."
    if working.break_s and not breaks:
        text += " No field takes long enough for a break ({every_s} of work), so none is counted."
        values["every_s"] = working.break_every_s
    return Note(code="clock-leaves-out", told=text, values=values)


def _listed(parts: Sequence[str]) -> str:
    return f"{', '.join(parts[:-1])} and {parts[-1]}"
