"""The way of a job: fields and job in, plan out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shapely import Point

from fieldplan.coverage.astray import places_kept
from fieldplan.coverage.field import cover_field
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.budget import BoxChange, SeedBudget
from fieldplan.model.cost import TractorCheck
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.plan import FieldPlan, Plan, loads_kg
from fieldplan.model.seed import Mix
from fieldplan.model.work import FieldTime, SeedSupply
from fieldplan.noted import noted
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.plane.travel import TravelPaths
from fieldplan.seed.batches import batches
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.carry_over import CarryOver, in_boxes_m3, later_m3
from fieldplan.seed.choosing import mixes_by_field
from fieldplan.seed.depth import depths_of
from fieldplan.seed.order import carrier_lines, deliveries, order_lines
from fieldplan.seed.run_out import run_outs
from fieldplan.tables import read as tables
from fieldplan.work.booking import booking_for, with_latest_start
from fieldplan.work.clock import field_time
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.findings import Work
from fieldplan.work.job import job_time, no_time
from fieldplan.work.refills import supply
from fieldplan.work.tractor import tractor_checks

Progress = Callable[[Iterable[Field]], Iterable[Field]]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoveredField:
    """A field as it is driven, and the seed of what is drilled there."""

    field: Field
    mix: Mix
    frame: Frame
    coverage: Coverage
    seed: SeedBudget


def plan_field(field: Field, mix: Mix, job: Job, carry_over: CarryOver | None = None) -> FieldPlan:
    """The plan of one field: coverage, then seed for what is drilled, then refills along the route, then
    the clock.

    A field that cannot be planned for a reason of its own is planned as what it is: nothing is drilled
    there, all of its plantable ground is missed, and a note says why.

    Parameters
    ----------
    carry_over
        What earlier fields left in the boxes or was emptied from them. No field is taken to come after this
        one.
    """
    return _planned(_covered(field, mix, job), job, carry_over or CarryOver(), {})


def _covered(field: Field, mix: Mix, job: Job) -> CoveredField:
    """Coverage, and seed for what is drilled."""
    frame = frame_near(field.ground)
    coverage = cover_field(field, job, frame)
    seed = SeedBudget(mix=mix.name, boxes=())
    if coverage.legs:
        seed = seed_budget(field.field_id, mix, job.drill, coverage.audit.drilled_m2, job.working.sowings)
    return CoveredField(field=field, mix=mix, frame=frame, coverage=coverage, seed=seed)


def _planned(
    covered: CoveredField, job: Job, carry_over: CarryOver, later: Mapping[str, float]
) -> FieldPlan:
    """Refills along the route, the clock, and what the field is brought; ``later`` as in `_supplied`."""
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
    )


def _supplied(
    covered: CoveredField, job: Job, changes: Sequence[BoxChange], later: Mapping[str, float]
) -> SeedSupply:
    """The drive with the stops at which the boxes are filled again.

    Parameters
    ----------
    later
        Volume (m³) that each box will sow of the same contents on later fields.
    """
    working, coverage = job.working, covered.coverage
    stand = places_kept(covered.field, job.terms_for(covered.field.field_id))[0].seed_at
    seed_at = coverage.gate if stand is None else covered.frame.to_plane(Point(stand))
    return supply(
        covered.field.field_id,
        coverage.legs,
        covered.seed.boxes,
        job.drill.effective_width_m,
        seed_at=None if working.seed_follows and stand is None else seed_at,
        path=TravelPaths(coverage.ground).between,
        refill_s=working.refill_time_s,
        speed_m_per_s=working.turn_speed_m_per_s,
        in_boxes_m3=in_boxes_m3(covered.seed, changes),
        later_m3=later,
    )


def _timed(covered: CoveredField, supplied: SeedSupply, job: Job) -> FieldTime:
    """The drive on a clock."""
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
    """The plan of a whole job, its fields in the order of the file.

    Parameters
    ----------
    progress
        Wraps the fields as they are planned, to show how far the work is.
    today
        The day on which the plan is made: old seed tests are judged on the day the booking starts or, if it
        names none, on this day.

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
            sum(one.time.field_s for one in driven),
            [one.gate_lonlat for one in driven],
            job.working,
            [job.terms_for(one.field.field_id).move_s for one in driven],
        )
        if driven
        else no_time()
    )
    here = (driven or fields)[0].gate_lonlat
    booking = with_latest_start(booking_for(hours.job_s, job.booking, here), hours.job_s, job.booking, here)
    work = Work(
        fields_s=tuple(one.time.field_s for one in driven), time=hours, place_lonlat=here, today=today
    )
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
    """The plans of the fields one after the other, each going on with what earlier ones left in the boxes
    for it and for later ones.
    """
    carry_over = CarryOver()
    every = [_covered(field, mixes[field.field_id], job) for field in fields]
    for k, covered in enumerate(every, start=1):
        plan = _planned(covered, job, carry_over, later_m3(covered.seed, (one.seed for one in every[k:])))
        carry_over = carry_over.after(plan.seed, plan.supply.left_kg)
        yield plan


def _checked(job: Job, driven: Iterable[FieldPlan]) -> tuple[TractorCheck, ...]:
    """Whether the tractor fits the drill and, as far as it is said of them, the slopes and gates of the
    fields.
    """
    terms = {one.field.field_id: job.terms_for(one.field.field_id) for one in driven}
    slopes = [
        (field_id, term.slope_frac) for field_id, term in terms.items() if term.slope_frac is not None
    ]
    widths = [
        (field_id, term.gate_width_m) for field_id, term in terms.items() if term.gate_width_m is not None
    ]
    return tractor_checks(job.drill, job.tractor, job.working.towing_speed_m_per_s, slopes, widths)


def _share_range(key: str) -> tuple[float, float]:
    low, high, _ = tables.machinery_range(key, "%")
    return low / 100, high / 100
