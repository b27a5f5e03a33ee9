"""The notes of a plan in reading order, and the published sources that it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from fieldplan.coverage.terms import front_reach_m, pass_radius_m, sowing_radius_m
from fieldplan.facts import Measure, Value
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.job import Job
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.seed import Mix
from fieldplan.seed.order import ground_by_lot, overage_notes
from fieldplan.seed.stand import stand_notes
from fieldplan.seed.tags import tag_notes
from fieldplan.work.findings import Work, booking_findings, tractor_findings
from fieldplan.work.general_notes import notes_of_every_plan
from fieldplan.work.hills_notes import hills_notes
from fieldplan.work.sources import sources_of
from fieldplan.work.sowing_window import sowing_window_notes
from fieldplan.work.warnings import day_warnings, order_warnings
from fieldplan.work.weather_notes import weather_notes


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
    yield from weather_notes(plan.booking, job.booking)
    yield from boundary.notes
    yield from job.notes
    if driven:
        yield from _by_turning_radius(job)
        yield from _by_width(plan)
    yield from _on_order(plan)
    yield from _on_treated(plan)
    yield from _on_scale(plan)
    yield from overage_notes(plan.fields, plan.order, job.mixes, job.drill)
    sown = [
        mix
        for name in dict.fromkeys(field.seed.mix for field in driven)
        for mix in job.mixes
        if mix.name == name
    ]
    yield from seed_notes(job, sown, plan.today)
    yield from day_warnings(job.booking, sown, plan.today)
    yield from order_warnings(plan.order, sown, ground_by_lot(plan.fields))
    for field in plan.fields:
        yield from notes_of_field(field, job)
    yield from notes_of_every_plan(job, driven)


def notes_of_field(field: FieldPlan, job: Job) -> Iterator[Note]:
    """The notes on one field as it is planned: its ground and driving, slope, seed, refills and time."""
    yield from (
        *_as_driven(field),
        *hills_notes(field, job),
        *field.seed.notes,
        *field.supply.notes,
        *field.time.notes,
    )


def seed_notes(job: Job, mixes: Iterable[Mix], today: date) -> Iterator[Note]:
    """Notes on mixes that need no fields: what their tags say and leave out, and when they are sown.

    Parameters
    ----------
    today
        The day that tests are old on, where the job has no start.
    """
    sown = tuple(mixes)
    for mix in sown:
        on = job.booking.start or today
        yield from stand_notes(mix)
        yield from tag_notes(mix, job.drill, job.working.field_speed_m_per_s, on, job.seed_law)
    yield from sowing_window_notes(job.booking, sown)


def _on_order(plan: Plan) -> Iterator[Note]:
    """In which order the fields are sown and what the boxes cost that the order of the file changes."""
    orders = plan.sow_orders
    if orders is None or orders.of_given == orders.of_best:
        return
    yield Note(
        code="sow-order",
        case="kept" if orders.kept else "",
        warning=orders.kept,
        values={
            "order": orders.best,
            "n_given": orders.of_given.n_emptied,
            "n_given_reset": orders.of_given.n_reset,
            "n_best": orders.of_best.n_emptied,
            "n_best_reset": orders.of_best.n_reset,
            "saved_s": orders.saved_s,
        },
    )


def _on_treated(plan: Plan) -> Iterator[Note]:
    """Fields that begin with treated seed of earlier ones in boxes or bags, and boxes that end with it."""
    for field in plan.driven:
        held = tuple(one for one in field.treated if one.where != "sown")
        if held:
            yield Note(
                code="treated-held",
                field_id=field.field.field_id,
                warning=True,
                values={"held": tuple(one.says for one in held)},
                sources=("fsa-treated",),
            )
    boxes = tuple(change.box for change in plan.emptied_last if change.treated)
    if boxes:
        yield Note(code="treated-last", values={"boxes": boxes}, sources=("fsa-treated",))


_SCALE_ERROR_FRAC = 0.05
"""Half a step of the scale may be this much of a portion before it is said."""


def _on_scale(plan: Plan) -> Iterator[Note]:
    """Lots of which a portion for a fill is too small for the steps of the scale."""
    scale_kg = plan.job.loading.scale_kg
    small = {
        portion.species: None
        for field in plan.driven
        for batch in field.batches
        for portion in batch.portions
        if not batch.spare and portion.bulk_kg * _SCALE_ERROR_FRAC < scale_kg / 2
    }
    if small:
        yield Note(code="scale-coarse", values={"scale_kg": scale_kg, "species": tuple(small)})


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


def _by_width(plan: Plan) -> Iterator[Note]:
    """The tightest curve that passes were laid out on, where any follow one and the job file does not say."""
    curved = any(field.coverage.pattern in ("along edge", "guide", "contour") for field in plan.driven)
    if curved and plan.job.drill.pass_radius_m is None:
        values: dict[str, Value] = {
            "key": "drill.pass_radius",
            "value": Measure(pass_radius_m(plan.job.drill), "_m"),
        }
        yield Note(code="default-used", case="from-width", values=values, sources=("assumed",))


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
    noted = {(note.code, note.case) for note in field.coverage.notes}
    for (code, case), own in counts.items():
        if (
            code == "turns-tight" and (code, case) not in noted and own["n_tight"]
        ):  # on trips to the seed alone
            yield Note(code=code, case=case, field_id=field.field.field_id, values=own)
