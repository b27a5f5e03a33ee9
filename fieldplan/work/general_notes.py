"""Notes on every plan: how ground is measured, and what the odds and the clock leave out."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.facts import Value, case_of, fact
from fieldplan.model.job import Job, WorkingTerms
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan
from fieldplan.model.work import TimePart, added_up, spent_s
from fieldplan.tables import read as tables
from fieldplan.work.clock import KINDS


def notes_of_every_plan(job: Job, fields: Sequence[FieldPlan]) -> list[Note]:
    """The notes that go with every plan of this job and these fields."""
    low, high, source = tables.machinery_range("seeding field efficiency", "%")
    return [
        Note(code="acres-flat"),
        *(
            []
            if job.booking.persistence_frac or job.booking.weather
            else [Note(code="fit-days-independent")]
        ),
        Note(
            code="handbook-efficiency",
            values={"low_frac": low / 100, "high_frac": high / 100},
            sources=(source,),
        ),
        _on_clock(job.working, fields),
    ]


def _on_clock(working: WorkingTerms, fields: Sequence[FieldPlan]) -> Note:
    """What the hours of these fields include and what comes on top, by what was in fact counted."""
    parts = {part.key: part for part in added_up(field.time.parts for field in fields)}
    included = [fact("driving"), case_of("time-part", "turning"), case_of("time-part", "refilling")]
    on_top = [fact("plugged-tubes")]
    for kind in (kind for kind in KINDS if kind.asked is not None):
        part = parts.get(kind.key) or TimePart(key=kind.key, spent_s=0.0, counted=kind.counted(working))
        if part.spent_s > 0:
            included.append(fact("time-spent", spent_s=part.spent_s, part=part.name))
        elif not part.counted:
            on_top.append(part.name)
    *others, last = included
    values: dict[str, Value] = {"held": tuple(others), "held_last": last, "on_top": tuple(on_top)}
    if working.break_s and not spent_s(parts.values(), "breaks"):
        values["every_s"] = working.break_every_s
    return Note(code="clock-leaves-out", values=values)
