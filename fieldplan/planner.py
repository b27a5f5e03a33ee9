"""The way of a job: fields and job in, plan out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from shapely import MultiPolygon, Point

from fieldplan.coverage.astray import places_kept
from fieldplan.coverage.cover import cover
from fieldplan.coverage.nothing import nothing_driven, parts_missed, why_nothing
from fieldplan.coverage.terms import Rig
from fieldplan.errors import FieldplanError
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.budget import SeedBudget
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan, Plan, loads_kg
from fieldplan.model.seed import Mix
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.plane.travel import Ways
from fieldplan.seed.batches import batches
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.choosing import mixes_by_field
from fieldplan.seed.depth import depths_of
from fieldplan.seed.held import Held, later_m3
from fieldplan.seed.order import carrier_lines, deliveries, order_lines, overage_notes
from fieldplan.seed.run_out import run_outs
from fieldplan.seed.tags import tag_notes
from fieldplan.tables import read as tables
from fieldplan.work.booking import booking_for, with_latest_start
from fieldplan.work.clock import field_time
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.doubts import day_doubts, order_doubts
from fieldplan.work.findings import Work, booking_findings, tractor_findings
from fieldplan.work.job import job_time, no_time
from fieldplan.work.refills import supply
from fieldplan.work.standing_notes import standing_notes
from fieldplan.work.tractor import tractor_checks

_CITED = re.compile(r"source: ([^;)]+)")
Progress = Callable[[Iterable[Field]], Iterable[Field]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A field as it is driven, and the seed of what is drilled there."""

    field: Field
    mix: Mix
    frame: Frame
    coverage: Coverage
    seed: SeedBudget


def plan_field(field: Field, mix: Mix, job: Job, held: Held | None = None) -> FieldPlan:
    """The plan of one field: coverage, then seed for what is drilled, then refills along the route, then the clock.

    A field that cannot be planned for a reason of its own is planned as what it is: nothing is drilled there, all of its plantable
    ground is missed, and a note says why.

    Parameters
    ----------
    held
        What earlier fields left in the boxes or was emptied from them. No field is taken to come after this one.
    """
    return _supplied(_laid(field, mix, job), job, held or Held(), {})


def _laid(field: Field, mix: Mix, job: Job) -> Laid:
    """Coverage, and seed for what is drilled; where the drill cannot work, no drive and no seed."""
    frame = frame_near(field.ground)
    ground = frame.to_plane(field.plantable)
    coverage, seed = _undriven(field, job, frame, ground, ()), SeedBudget(mix=mix.name, boxes=())
    try:
        if not ground.is_empty:  # where it was cut out, that was said
            coverage = _covered(field, job, frame, ground)
            seed = seed_budget(field.field_id, mix, job.drill, coverage.audit.drilled_m2, job.working.sowings)
    except FieldplanError as error:
        notes = tuple(why_nothing(field.field_id, problem, ground, job.drill.effective_width_m) for problem in error.problems)
        coverage = _undriven(field, job, frame, ground, notes)
    return Laid(field=field, mix=mix, frame=frame, coverage=coverage, seed=seed)


def _covered(field: Field, job: Job, frame: Frame, ground: MultiPolygon) -> Coverage:
    """The coverage of a field that the drill can work on."""
    terms, astray = places_kept(field, job.terms_for(field.field_id))
    gate = terms.gate or field.gate_lonlat
    centre = ground.centroid
    coverage = cover(
        field.field_id, ground, Rig.of(job.drill, job.working), job.working,
        gate=frame.to_plane(Point(gate)) if gate else None,
        convergence_deg=frame.convergence_deg(centre.x, centre.y),
        excluded=[frame.to_plane(one.ground) for one in field.excluded],
    )  # fmt: skip
    notes = [*astray, *parts_missed(field.field_id, coverage), *(_placed(note, coverage, frame) for note in coverage.notes)]
    return replace(coverage, notes=tuple(notes))


def _undriven(field: Field, job: Job, frame: Frame, ground: MultiPolygon, notes: tuple[Note, ...]) -> Coverage:
    """The coverage of a field on which nothing is drilled; for a gate, a corner."""
    gate = frame.to_plane(Point(field.ground.geoms[0].exterior.coords[0][:2]))
    return nothing_driven(ground, job.drill.effective_width_m, job.working.sowings, gate, notes)


def _supplied(laid: Laid, job: Job, held: Held, later: Mapping[str, float]) -> FieldPlan:
    """Refills along the route, the clock, and what the field is brought.

    Parameters
    ----------
    later
        Volume (m³) that each box will sow of the same contents on later fields.
    """
    drill, working = job.drill, job.working
    field, mix, frame, coverage, seed = laid.field, laid.mix, laid.frame, laid.coverage, laid.seed
    terms, _ = places_kept(field, job.terms_for(field.field_id))
    seed_at = coverage.gate if terms.seed_at is None else frame.to_plane(Point(terms.seed_at))
    box_changes = held.changes(seed)
    at_hand = {change.box: change.kg for change in box_changes if change.kind != "empty first"}
    supplied = supply(
        field.field_id, coverage.legs, seed.boxes, drill.effective_width_m,
        seed_at=None if working.seed_follows and terms.seed_at is None else seed_at,
        way=Ways(coverage.ground).between,
        refill_s=working.refill_time_s, speed_m_per_s=working.turn_speed_m_per_s,
        in_boxes_m3={box.box: at_hand[box.box] / box.load_kg_per_m3 for box in seed.boxes if box.box in at_hand}, later_m3=later,
    )  # fmt: skip
    time = field_time(
        field.field_id, supplied.legs, field.plantable_m2, drill.effective_width_m, working,
        handbook_efficiency_frac=_share_range("seeding field efficiency"),
        expected_efficiency_frac=_share_range("expected field efficiency"),
    )  # fmt: skip
    loads = loads_kg(seed, supplied)
    delivered = deliveries(field.field_id, mix, seed, loads)
    return FieldPlan(
        field=field, gate_lonlat=frame.point_to_lonlat(coverage.gate.x, coverage.gate.y), coverage=coverage, seed=seed,
        supply=supplied, time=time, deliveries=delivered,
        batches=batches(field.field_id, mix, seed.boxes, loads, delivered), box_changes=box_changes,
        depths=depths_of(mix)[0],
    )  # fmt: skip


def _placed(note: Note, coverage: Coverage, frame: Frame) -> Note:
    """The note about missed ground, with where the largest piece of it lies; any other as it is."""
    pieces = coverage.audit.missed_ground.geoms
    if note.code != "ground-missed" or not pieces:
        return note
    at = max(pieces, key=lambda piece: piece.area).representative_point()
    return replace(
        note, told=f"{note.told} The largest piece lies at {{piece}}.", places={"piece": frame.point_to_lonlat(at.x, at.y)}
    )


def plan_job(boundary: BoundaryFile, job: Job, progress: Progress = iter, *, today: date) -> Plan:
    """The plan of a whole job, its fields in the order of the file.

    Parameters
    ----------
    progress
        Wraps the fields as they are planned, to show how far the work is.
    today
        The day on which the plan is made: old seed tests are judged on the day the booking starts or, if it names none, on this
        day.

    Raises
    ------
    InputError
        If a field names no mix of the job, or several mixes leave the choice open.
    """
    mixes = mixes_by_field(boundary, job)
    fields = tuple(_in_turn(progress(boundary.fields), mixes, job))
    order = order_lines((one for plan in fields for one in plan.deliveries), job.mixes)
    driven = [one for one in fields if one.is_drilled]
    hours = job_time(sum(one.time.field_s for one in driven), [one.gate_lonlat for one in driven], job.working,
                     [job.terms_for(one.field.field_id).move_s for one in driven]) if driven else no_time()  # fmt: skip
    here = (driven or fields)[0].gate_lonlat
    booking = with_latest_start(booking_for(hours.job_s, job.booking, here), hours.job_s, job.booking, here)
    work = Work(fields_s=tuple(one.time.field_s for one in driven), time=hours, place_lonlat=here, today=today)
    cost = job_cost(job.cost, order, ground_of(fields), hours.job_s, hours.field_s, booking.suggested_days)
    slopes = [
        (one.field.field_id, slope) for one in driven if (slope := job.terms_for(one.field.field_id).slope_frac) is not None
    ]
    widths = [
        (one.field.field_id, width) for one in driven if (width := job.terms_for(one.field.field_id).gate_width_m) is not None
    ]
    tractor = tractor_checks(job.drill, job.tractor, job.working.towing_speed_m_per_s, slopes, widths)
    notes = [
        *booking_findings(booking, job.booking, work),
        *tractor_findings(tractor),
        *boundary.notes,
        *job.notes,
        *overage_notes(
            (one for plan in fields for one in plan.deliveries),
            order,
            {mix.name: mix for mix in job.mixes},
            {one.field.field_id: one.seed.mix for one in fields},
            job.drill,
        ),
    ]
    sown = {mixes[one.field.field_id].name: mixes[one.field.field_id] for one in driven}
    notes += [
        note
        for mix in sown.values()
        for note in tag_notes(mix, job.drill, job.working.field_speed_m_per_s, job.booking.start or today)
    ]
    notes += [*day_doubts(job.booking, sown.values(), today), *order_doubts(order, sown.values(), _sown_m2(fields))]
    for one in fields:
        notes += [*one.coverage.notes, *one.seed.notes, *one.supply.notes, *one.time.notes]
    notes += standing_notes(job, driven)
    return Plan(
        job=job,
        today=today,
        fields=fields,
        order=order,
        carriers=carrier_lines((batch for one in fields for batch in one.batches), job.mixes),
        run_outs=run_outs(
            ((one.seed.mix, box, one.coverage.audit.drilled_m2) for one in fields for box in one.seed.boxes), order
        ),
        job_time=hours,
        booking=booking,
        cost=cost,
        tractor=tractor,
        notes=tuple(notes),
        sources=tuple(
            tables.source(key)
            for key in _sources(
                [
                    *(note.told for note in notes),
                    *(line.how for line in cost.lines),
                    *(f"{one.text} (source: {one.source})" for one in tractor),
                ]
            )
        ),
    )


def _sown_m2(fields: Iterable[FieldPlan]) -> dict[tuple[str, str], float]:
    """Ground drilled with each lot, by species and lot."""
    ground: dict[tuple[str, str], float] = {}
    for one in fields:
        for lot in {(line.species, line.lot) for line in one.deliveries}:
            ground[lot] = ground.get(lot, 0.0) + one.coverage.audit.drilled_m2
    return ground


def _share_range(key: str) -> tuple[float, float]:
    low, high, _ = tables.machinery_range(key, "%")
    return low / 100, high / 100


def _in_turn(fields: Iterable[Field], mixes: Mapping[str, Mix], job: Job) -> Iterator[FieldPlan]:
    """The plans of the fields one after the other, each going on with what earlier ones left in the boxes for it and for later ones."""
    held = Held()
    every = [_laid(field, mixes[field.field_id], job) for field in fields]
    for k, laid in enumerate(every, start=1):
        plan = _supplied(laid, job, held, later_m3(laid.seed, (one.seed for one in every[k:])))
        held = held.after(plan.seed, plan.supply.left_kg)
        yield plan


def _sources(texts: Iterable[str]) -> list[str]:
    """Keys of the sources that sentences name, and those that every plan rests on."""
    named = {key for text in texts for cited in _CITED.findall(text) for key in cited.split(", ")}
    known = {row["key"] for row in tables.rows("sources")}
    return sorted(named & known | {"karney2013", "fsa-201", "h1-manual", "p3112"})
