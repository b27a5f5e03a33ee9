"""What a plan says beside its figures: every note, in the order in which it is read, and the sources that it rests on."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.cost import JobCost, TractorCheck
from fieldplan.model.notes import Note, Source
from fieldplan.model.plan import Plan
from fieldplan.seed.order import ground_by_lot, overage_notes
from fieldplan.seed.tags import tag_notes
from fieldplan.tables import read as tables
from fieldplan.work.doubts import day_doubts, order_doubts
from fieldplan.work.findings import Work, booking_findings, tractor_findings
from fieldplan.work.standing_notes import standing_notes

_CITED = re.compile(r"source: ([^;)]+)")
_ALWAYS = frozenset({"karney2013", "fsa-201", "h1-manual", "p3112"})
"""What every plan rests on."""


def noted(plan: Plan, boundary: BoundaryFile, work: Work) -> Plan:
    """The plan with its notes and sources."""
    notes = tuple(_notes(plan, boundary, work))
    return replace(plan, notes=notes, sources=sources_of(notes, plan.cost, plan.tractor))


def _notes(plan: Plan, boundary: BoundaryFile, work: Work) -> Iterator[Note]:
    job, driven = plan.job, plan.driven
    yield from booking_findings(plan.booking, job.booking, work)
    yield from tractor_findings(plan.tractor)
    yield from boundary.notes
    yield from job.notes
    yield from overage_notes(plan.fields, plan.order, job.mixes, job.drill)
    sown = [mix for name in dict.fromkeys(one.seed.mix for one in driven) for mix in job.mixes if mix.name == name]
    for mix in sown:
        yield from tag_notes(mix, job.drill, job.working.field_speed_m_per_s, job.booking.start or plan.today)
    yield from day_doubts(job.booking, sown, plan.today)
    yield from order_doubts(plan.order, sown, ground_by_lot(plan.fields))
    for one in plan.fields:
        yield from (*one.coverage.notes, *one.seed.notes, *one.supply.notes, *one.time.notes)
    yield from standing_notes(job, driven)


def sources_of(notes: Iterable[Note], cost: JobCost, tractor: Sequence[TractorCheck]) -> tuple[Source, ...]:
    """The published sources that notes, costs and checks name, and those that every plan rests on, in order of their keys."""
    said = [
        *(note.told for note in notes),
        *(line.how for line in cost.lines),
        *(f"{one.text} (source: {one.source})" for one in tractor),
    ]
    named = {key for text in said for cited in _CITED.findall(text) for key in cited.split(", ")}
    known = {row["key"] for row in tables.rows("sources")}
    named |= {key for note in notes for key in note.sources}
    return tuple(tables.source(key) for key in sorted(named & known | _ALWAYS))
