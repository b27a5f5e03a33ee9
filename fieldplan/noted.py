"""The notes of a plan in reading order, and the published sources that it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fieldplan.coverage.terms import front_reach_m, sowing_radius_m
from fieldplan.facts import Measure, Value
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.job import Job
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.seed.order import ground_by_lot, overage_notes
from fieldplan.seed.tags import tag_notes
from fieldplan.work.findings import Work, booking_findings, tractor_findings
from fieldplan.work.general_notes import notes_of_every_plan
from fieldplan.work.sources import sources_of
from fieldplan.work.warnings import day_warnings, order_warnings


def noted(plan: Plan, boundary: BoundaryFile, work: Work) -> Plan:
    """The plan with its notes and sources.

    Parameters
    ----------
    plan
        A plan without notes of its own.
    boundary, work
        Where further notes and findings come from.
    """
    notes = tuple(_notes(plan, boundary, work))
    return replace(plan, notes=notes, sources=sources_of(notes, plan.cost, plan.tractor))


def _notes(plan: Plan, boundary: BoundaryFile, work: Work) -> Iterator[Note]:
    """All notes in reading order: booking and tractor, files, seed, fields, and those of every plan."""
    job, driven = plan.job, plan.driven
    yield from booking_findings(plan.booking, job.booking, work)
    yield from tractor_findings(plan.tractor)
    yield from boundary.notes
    yield from job.notes
    if driven:
        yield from _by_turning_radius(job)
    yield from overage_notes(plan.fields, plan.order, job.mixes, job.drill)
    sown = [
        mix
        for name in dict.fromkeys(field.seed.mix for field in driven)
        for mix in job.mixes
        if mix.name == name
    ]
    for mix in sown:
        yield from tag_notes(
            mix, job.drill, job.working.field_speed_m_per_s, job.booking.start or plan.today
        )
    yield from day_warnings(job.booking, sown, plan.today)
    yield from order_warnings(plan.order, sown, ground_by_lot(plan.fields))
    for field in plan.fields:
        yield from (*_as_driven(field), *field.seed.notes, *field.supply.notes, *field.time.notes)
    yield from notes_of_every_plan(job, driven)


def _by_turning_radius(job: Job) -> Iterator[Note]:
    """The defaults that are no single figure: they follow from the turning radius and assumed lengths."""
    drill, front_m = job.drill, job.tractor.front_reach_m
    assumed = {
        "drill.sowing_radius": sowing_radius_m(drill) if drill.sowing_radius_m is None else None,
        "tractor.front_reach": front_reach_m(drill.turning_radius_m) if front_m is None else None,
    }
    for key, length_m in assumed.items():
        if length_m is not None:
            yield Note(
                code="default-used",
                case="from-radius",
                values={"key": key, "value": Measure(length_m, "_m")},
                sources=("assumed",),
            )


def _as_driven(field: FieldPlan) -> Iterator[Note]:
    """The notes on how a field is covered; turns count as they are driven, with trips to the seed for some."""
    totals = field.totals
    counts: dict[tuple[str, str], dict[str, Value]] = {
        ("turns-tight", kind): {
            "n_tight": sum(leg.shape == "tight" for leg in legs),
            f"n_{kind}s": len(legs),
        }
        for kind in ("turn", "transfer")
        if (legs := [leg for leg in field.supply.legs if leg.kind == kind])
    }
    for case in ("", "more-rounds"):
        counts["turns-backing", case] = {
            "n_backing": totals.backing,
            "n_turns": totals.turns,
            "reverse_m": totals.reverse_m,
        }
    for note in field.coverage.notes:
        own = counts.get((note.code, note.case))
        if own is None:
            yield note
        elif next(iter(own.values())):  # else trips to the seed stand for all of them
            yield replace(note, values={**note.values, **own})
