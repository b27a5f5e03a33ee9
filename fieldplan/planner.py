"""The planner: fields and a job in, a plan out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from shapely import Point

from fieldplan.coverage.astray import places_kept
from fieldplan.coverage.field import cover_field
from fieldplan.coverage.stands import Stands
from fieldplan.coverage.terms import Rig
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.budget import BoxChange, SeedBudget
from fieldplan.model.card import Card
from fieldplan.model.cost import TractorCheck
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan, Plan, loads_kg
from fieldplan.model.seed import Mix
from fieldplan.model.work import FieldTime, SeedSupply
from fieldplan.noted import noted
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.seed.batches import batches
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.carry_over import CarryOver, in_boxes_m3, later_m3
from fieldplan.seed.choosing import mixes_by_field
from fieldplan.seed.depth import depths_of
from fieldplan.seed.order import carrier_lines, deliveries, order_lines
from fieldplan.seed.run_out import run_outs
from fieldplan.seed.setup_card import setup_card
from fieldplan.tables import read as tables
from fieldplan.work.booking import booking_for, with_latest_start
from fieldplan.work.clock import field_time
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.findings import Work
from fieldplan.work.job import job_time, no_time
from fieldplan.work.refills import supply
from fieldplan.work.starts import with_starts
from fieldplan.work.stops import Pace
from fieldplan.work.tractor import tractor_checks

Progress = Callable[[Iterable[Field]], Iterable[Field]]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoveredField:
    """The coverage of a field, and the seed for what is drilled there."""

    field: Field
    mix: Mix
    frame: Frame
    coverage: Coverage
    seed: SeedBudget


def plan_field(field: Field, mix: Mix, job: Job, carry_over: CarryOver | None = None) -> FieldPlan:
    """The plan of one field: coverage, seed for what is drilled, refills along the route, and time.

    A field that the drill cannot work on is not refused: nothing is drilled there, all of its plantable
    ground is missed, and a note says why.

    Parameters
    ----------
    carry_over
        Seed that earlier fields left in the boxes, or that was emptied from them; none by default. The
        field is planned as the last one of the job.
    """
    return _planned(_covered(field, mix, job), job, carry_over or CarryOver(), {})


def _covered(field: Field, mix: Mix, job: Job) -> CoveredField:
    """Coverage, and seed for what is drilled."""
    frame = frame_near(field.ground)
    rates = seed_budget(field.field_id, mix, job.drill, 1.0, job.working.sowings)
    coverage = cover_field(field, job, frame, rates.area_per_fill_m2)
    seed = SeedBudget(mix=mix.name, boxes=())
    if coverage.legs:
        seed = seed_budget(field.field_id, mix, job.drill, coverage.audit.drilled_m2, job.working.sowings)
    return CoveredField(field=field, mix=mix, frame=frame, coverage=coverage, seed=seed)


def _planned(
    covered: CoveredField, job: Job, carry_over: CarryOver, later: Mapping[str, float]
) -> FieldPlan:
    """Refills along the route, time, and deliveries to the field; ``later`` as in `_supplied`."""
    field, coverage, seed = covered.field, covered.coverage, covered.seed
    changes = carry_over.changes(seed)
    supplied = _supplied(covered, job, changes, later)
    loads = loads_kg(seed, supplied)
    delivered = deliveries(field.field_id, covered.mix, seed, loads)
    return FieldPlan(
        field=field,
        gate_lonlat=covered.frame.point_to_lonlat(coverage.gate.x, coverage.gate.y),
        coverage=coverage,
        seed=seed,
        supply=supplied,
        time=_timed(covered, supplied, job),
        deliveries=delivered,
        batches=batches(field.field_id, covered.mix, seed.boxes, loads, delivered),
        box_changes=changes,
        depths=depths_of(covered.mix)[0],
        further_stands_lonlat=tuple(
            covered.frame.point_to_lonlat(stand.x, stand.y) for stand in supplied.stands[1:]
        ),
    )


def _supplied(
    covered: CoveredField, job: Job, changes: Sequence[BoxChange], later: Mapping[str, float]
) -> SeedSupply:
    """The route with the stops at which the boxes are filled again.

    Parameters
    ----------
    later
        Volume (m³) that each box will sow of the same contents on later fields.
    """
    working, coverage = job.working, covered.coverage
    terms, _ = places_kept(covered.field, job.terms_for(covered.field.field_id))
    seed_at = coverage.gate if terms.seed_at is None else covered.frame.to_plane(Point(terms.seed_at))
    beside_field = Stands.of(coverage, Rig.of(job))
    follows = working.seed_follows and terms.seed_at is None
    supplied = supply(
        covered.field.field_id,
        coverage.legs,
        covered.seed.boxes,
        job.drill.effective_width_m,
        [] if follows else [beside_field.at(seed_at)],
        pace=Pace(
            speed_m_per_s=working.turn_speed_m_per_s,
            turn_extra_s=working.turn_extra_s,
            refill_s=working.refill_time_s,
        ),
        places=beside_field.along_edge,
        beside=beside_field.beside if terms.seed_at is None else None,
        in_boxes_m3=in_boxes_m3(covered.seed, changes),
        later_m3=later,
    )
    return replace(supplied, notes=(*supplied.notes, *_on_stands(covered, supplied)))


def _on_stands(covered: CoveredField, supplied: SeedSupply) -> Iterator[Note]:
    """Where seed stands beside further parts of the field, and what one more stand would save."""
    field_id, second = covered.field.field_id, supplied.second
    if len(supplied.stands) > 1:
        yield Note(
            code="seed-stand-each-part", field_id=field_id, values={"n_stands": len(supplied.stands)}
        )
    if second is not None:
        yield Note(
            code="seed-second-stand",
            field_id=field_id,
            values={"n_stops": second.n_stops, "saved_s": second.saved_s},
            places={"stand": covered.frame.point_to_lonlat(second.at.x, second.at.y)},
        )


def _timed(covered: CoveredField, supplied: SeedSupply, job: Job) -> FieldTime:
    """The time that the route of a field takes."""
    return field_time(
        covered.field.field_id,
        supplied.legs,
        covered.field.plantable_m2,
        job.drill.effective_width_m,
        job.working,
        handbook_efficiency_frac=_share_range("seeding field efficiency"),
        expected_efficiency_frac=_share_range("expected field efficiency"),
    )


def plan_job(boundary: BoundaryFile, job: Job, progress: Progress = iter, *, today: date) -> Plan:
    """The plan of a whole job, with its fields in the order of the boundary file.

    Parameters
    ----------
    progress
        Wraps the fields as they are planned, to show progress.
    today
        The day on which the plan is made. The age of seed tests counts to the first day of the booking or,
        if there is none yet, to this day.

    Raises
    ------
    InputError
        If a field names no mix of the job, or several mixes leave the choice open.
    """
    fields = tuple(_in_turn(progress(boundary.fields), mixes_by_field(boundary, job), job))
    driven = [field for field in fields if field.is_drilled]
    order = order_lines((delivery for plan in fields for delivery in plan.deliveries), job.mixes)
    hours = (
        job_time(
            sum(field.time.field_s for field in driven),
            [field.gate_lonlat for field in driven],
            job.working,
            [job.terms_for(field.field.field_id).move_s for field in driven],
        )
        if driven
        else no_time()
    )
    first_gate = (driven or fields)[0].gate_lonlat
    booking = booking_for(hours.job_s, job.booking, first_gate)
    booking = with_latest_start(booking, hours.job_s, job.booking, first_gate)
    booking = with_starts(booking, hours.job_s, job.booking, first_gate, today)
    fields_s = tuple(field.time.field_s for field in driven)
    work = Work(fields_s=fields_s, time=hours, place_lonlat=first_gate, today=today)
    sown = [
        (field.seed.mix, box, field.coverage.audit.drilled_m2)
        for field in fields
        for box in field.seed.boxes
    ]
    plan = Plan(
        job=job,
        today=today,
        fields=fields,
        order=order,
        carriers=carrier_lines((batch for field in fields for batch in field.batches), job.mixes),
        run_outs=run_outs(sown, order),
        job_time=hours,
        booking=booking,
        cost=job_cost(
            job.cost, order, ground_of(fields), hours.job_s, hours.field_s, booking.suggested_days
        ),
        tractor=_checked(job, driven),
    )
    return noted(plan, boundary, work)


def _in_turn(fields: Iterable[Field], mixes: Mapping[str, Mix], job: Job) -> Iterator[FieldPlan]:
    """The plans of the fields in order; each starts with the seed that earlier fields left in the boxes."""
    carry_over = CarryOver()
    every = [_covered(field, mixes[field.field_id], job) for field in fields]
    for k, covered in enumerate(every, start=1):
        later = later_m3(covered.seed, (later_field.seed for later_field in every[k:]))
        plan = _planned(covered, job, carry_over, later)
        carry_over = carry_over.after(plan.seed, plan.supply.left_kg)
        yield plan


def setup_cards(plan: Plan) -> list[Card]:
    """The set-up card of each mix that the plan sows, in the order of the job file."""
    job, sown = plan.job, {one.seed.mix for one in plan.fields}
    return [
        setup_card(job.drill, job.tractor, mix, job.working.sowings)
        for mix in job.mixes
        if mix.name in sown
    ]


def _checked(job: Job, driven: Iterable[FieldPlan]) -> tuple[TractorCheck, ...]:
    """Whether the tractor fits the drill and, where they are given, the slopes and gates of the fields."""
    terms = {plan.field.field_id: job.terms_for(plan.field.field_id) for plan in driven}
    slopes = [
        (field_id, term.slope_frac) for field_id, term in terms.items() if term.slope_frac is not None
    ]
    widths = [
        (field_id, term.gate_width_m) for field_id, term in terms.items() if term.gate_width_m is not None
    ]
    return tractor_checks(job.drill, job.tractor, job.working.towing_speed_m_per_s, slopes, widths)


def _share_range(key: str) -> tuple[float, float]:
    """Low and high of a percentage in the machinery table, as fractions."""
    low, high, _ = tables.machinery_range(key, "%")
    return low / 100, high / 100
