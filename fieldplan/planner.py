"""The planner: fields and a job in, a plan out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as field_of
from datetime import date

from shapely import MultiPolygon, Point

from fieldplan.coverage import remembered
from fieldplan.coverage.astray import places_kept
from fieldplan.coverage.hills import heights_of, hills_of, slow_ground
from fieldplan.coverage.remembered import (
    LastGiven,
    Remembered,
    driven_key,
    driven_on,
    is_known,
    key_of,
)
from fieldplan.coverage.stands import Stands
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.budget import BoxChange, OrderLine, SeedBudget, SowOrders
from fieldplan.model.card import Card
from fieldplan.model.cost import TractorCheck
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import FieldTerms, Job
from fieldplan.model.loads import LoadList
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan, Plan, loads_kg
from fieldplan.model.relief import Hills
from fieldplan.model.seed import Mix
from fieldplan.model.work import FieldTime, JobTime, SeedSupply, spent_s
from fieldplan.noted import noted
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.seed.batches import batches
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.carry_over import CarryOver, in_boxes_m3, later_m3
from fieldplan.seed.choosing import mixes_by_field
from fieldplan.seed.depth import box_depths, depths_of
from fieldplan.seed.known import facts_of
from fieldplan.seed.levels import highest_levels_kg
from fieldplan.seed.load_list import OnClock, load_list
from fieldplan.seed.order import carrier_deliveries, carrier_lines, deliveries, order_lines
from fieldplan.seed.run_out import run_outs
from fieldplan.seed.setup_card import setup_card
from fieldplan.seed.sow_order import change_count, sow_order
from fieldplan.tables import read as tables
from fieldplan.work.booking import booking_for, with_latest_start
from fieldplan.work.clock import field_time, slowed
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.findings import Work
from fieldplan.work.job import apart_m, job_time, moves_between_s, no_time
from fieldplan.work.refills import supply
from fieldplan.work.sequence import sequence_of
from fieldplan.work.starts import with_starts
from fieldplan.work.stops import Pace
from fieldplan.work.tractor import tractor_checks

Progress = Callable[[Iterable[Field]], Iterable[Field]]
_plans = LastGiven[FieldPlan](0)


def remember(n_fields: int) -> None:
    """Remember the coverage and the plans of so many fields in this process, for plans that change something else.

    Without it the coverage of the last fields is remembered, and no plan.
    """
    remembered.keep(n_fields)
    _plans.most = n_fields


@dataclass(frozen=True, slots=True, kw_only=True)
class CoveredField:
    """The coverage of a field, and the seed for what is drilled there."""

    field: Field
    mix: Mix
    frame: Frame
    coverage: Coverage
    stands: Stands
    seed: SeedBudget
    hills: Hills | None = None
    slow: MultiPolygon = field_of(default_factory=MultiPolygon)


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
    heights = heights_of(field, job, frame)
    driven = driven_on(field, job, _fill_m2(field, mix, job), heights)
    coverage = driven.coverage
    seed = SeedBudget(mix=mix.name, boxes=())
    if coverage.legs:
        seed = seed_budget(field.field_id, mix, job.drill, coverage.audit.drilled_m2, job.working.sowings)
    return CoveredField(
        field=field,
        mix=mix,
        frame=frame,
        coverage=coverage,
        stands=driven.stands,
        seed=seed,
        hills=hills_of(field, job, frame, coverage, heights),
        slow=slow_ground(field, job, frame, heights),
    )


def _fill_m2(field: Field, mix: Mix, job: Job) -> float:
    """Ground that one fill of the boxes sows."""
    return seed_budget(field.field_id, mix, job.drill, 1.0, job.working.sowings).area_per_fill_m2


def lacking(boundary: BoundaryFile, job: Job) -> tuple[int, ...]:
    """Numbers, from 0, of the fields whose coverage is not remembered; none where heights count, which are read first.

    Raises
    ------
    InputError
        As `plan_job`.
    """
    if job.working.elevation is not None:
        return ()
    mixes = mixes_by_field(boundary, job)
    return tuple(
        n
        for n, field in enumerate(boundary.fields)
        if not is_known(driven_key(field, job, _fill_m2(field, mixes[field.field_id], job)))
    )


def covered_ahead(
    boundary: BoundaryFile, job: Job, numbers: Iterable[int]
) -> Iterator[tuple[bytes, Remembered]]:
    """The coverage of fields by their numbers, for another process to remember."""
    mixes = mixes_by_field(boundary, job)
    for field in (boundary.fields[n] for n in numbers):
        fill_m2 = _fill_m2(field, mixes[field.field_id], job)
        yield driven_key(field, job, fill_m2), driven_on(field, job, fill_m2)


def _planned(
    covered: CoveredField, job: Job, carry_over: CarryOver, later: Mapping[str, float]
) -> FieldPlan:
    """The plan of a covered field, the same as before if all is that it is made of; ``later`` as in `_supplied`."""
    if not _plans.most or covered.hills is not None:
        return _planned_anew(covered, job, carry_over, later)
    terms = job.terms_for(covered.field.field_id), job.drill, job.working
    key = key_of(id(covered.coverage), covered.field, covered.mix, terms, carry_over, dict(later))
    return _plans.get(
        key,
        lambda: _planned_anew(covered, job, carry_over, later),
        lambda plan: plan.coverage is covered.coverage,
    )


def _planned_anew(
    covered: CoveredField, job: Job, carry_over: CarryOver, later: Mapping[str, float]
) -> FieldPlan:
    """Refills along the route, time, and deliveries to the field."""
    field, coverage, seed = covered.field, covered.coverage, covered.seed
    changes = carry_over.changes(seed, job.drill)
    supplied = _supplied(covered, job, changes, later)
    loads = loads_kg(seed, supplied)
    delivered = deliveries(field.field_id, covered.mix, seed, loads)
    labeled = batches(field.field_id, covered.mix, seed.boxes, loads, delivered)
    return FieldPlan(
        field=field,
        gate_lonlat=covered.frame.point_to_lonlat(coverage.gate.x, coverage.gate.y),
        coverage=coverage,
        seed=seed,
        supply=supplied,
        time=_timed(covered, supplied, job),
        deliveries=(*delivered, *carrier_deliveries(seed, loads, labeled)),
        batches=labeled,
        box_changes=changes,
        treated=carry_over.treated(seed),
        depths=depths_of(covered.mix)[0],
        hills=covered.hills,
        box_depths=box_depths(covered.mix, job.drill),
        further_stands_lonlat=tuple(
            covered.frame.point_to_lonlat(stand.x, stand.y) for stand in supplied.stands[1:]
        ),
        sequence=sequence_of(field, coverage, supplied.legs, covered.frame),
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
    beside_field = covered.stands
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
        slowed(supplied.legs, covered.slow, job.working),
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
    mixes = mixes_by_field(boundary, job)
    covered = [_covered(field, mixes[field.field_id], job) for field in progress(boundary.fields)]
    orders, in_turn = sow_orders(covered, job)
    fields = tuple(_in_turn(in_turn, job))
    driven = [field for field in fields if field.is_drilled]
    order = order_lines((delivery for plan in fields for delivery in plan.deliveries), job.mixes)
    gates = [field.gate_lonlat for field in driven]
    moves_s = [job.terms_for(field.field.field_id).move_s for field in driven]
    hours = (
        job_time(
            sum(field.time.field_s for field in driven),
            gates,
            job.working,
            moves_s,
            sum(field.changing_s for field in driven),
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
        run_outs=run_outs(sown, order, driven),
        job_time=hours,
        booking=booking,
        cost=job_cost(
            job.cost, order, ground_of(fields), hours.job_s, hours.field_s, booking.suggested_days
        ),
        tractor=_checked(job, driven),
        sow_orders=orders,
        loads=_loads(driven, order, hours, job, booking.day_s[0] or job.booking.day_s),
        species=facts_of(component for mix in job.mixes for component in mix.components),
    )
    return noted(plan, boundary, work)


def sow_orders(
    covered: Sequence[CoveredField], job: Job
) -> tuple[SowOrders | None, Sequence[CoveredField]]:
    """The orders of the fields that are compared, if changes of boxes differ, and the fields as they are sown."""
    driven = [one for one in covered if one.seed.boxes]
    gates = [one.frame.point_to_lonlat(one.coverage.gate.x, one.coverage.gate.y) for one in driven]
    best = sow_order(
        [one.seed for one in driven],
        [one.field.priority for one in driven],
        lambda here, there: apart_m(gates[here], gates[there]),
    )
    given_s, best_s = (_changing_s(order, job) for order in (driven, [driven[i] for i in best]))
    orders = SowOrders(
        given=tuple(one.field.field_id for one in driven),
        best=tuple(driven[i].field.field_id for i in best),
        of_given=change_count([one.seed for one in driven]),
        of_best=change_count([driven[i].seed for i in best]),
        given_s=given_s,
        best_s=best_s,
        kept=job.working.keeps_order,
    )
    if orders.of_given == orders.of_best:
        return orders if orders.of_given.n_reset else None, covered
    if orders.kept:
        return orders, covered
    return orders, [*(driven[i] for i in best), *(one for one in covered if not one.seed.boxes)]


def _changing_s(order: Iterable[CoveredField], job: Job) -> float:
    """Time of the box changes when fields are sown in an order."""
    carry_over, spent_s = CarryOver(), 0.0
    for one in order:
        spent_s += sum(change.takes_s for change in carry_over.changes(one.seed, job.drill))
        carry_over = carry_over.after(one.seed, {box.box: 0.0 for box in one.seed.boxes})
    return spent_s


def _in_turn(every: Sequence[CoveredField], job: Job) -> Iterator[FieldPlan]:
    """The plans of the fields in order; each starts with the seed that earlier fields left in the boxes."""
    carry_over = CarryOver()
    for k, covered in enumerate(every, start=1):
        later = later_m3(covered.seed, (later_field.seed for later_field in every[k:]))
        plan = _planned(covered, job, carry_over, later)
        carry_over = carry_over.after(plan.seed, plan.supply.left_kg)
        yield plan


def _loads(
    driven: Sequence[FieldPlan], order: Sequence[OrderLine], hours: JobTime, job: Job, day_s: float
) -> LoadList:
    """The load list, with each field begun when the clock of the job comes to it."""
    moves_s = moves_between_s(
        [field.gate_lonlat for field in driven],
        job.working,
        [job.terms_for(field.field.field_id).move_s for field in driven],
    )
    now_s = spent_s(hours.parts, "pick_up", "set_up", "calibration")
    on_clock = []
    for field, move_s in zip(driven, (0.0, *moves_s), strict=False):
        now_s += move_s + field.changing_s
        on_clock.append(OnClock(plan=field, start_s=now_s))
        now_s += field.time.field_s
    weights = {
        component.carrier.name: component.carrier.bulk_kg_per_m3
        for mix in job.mixes
        for component in mix.components
        if component.carrier
    }
    return load_list(on_clock, order, weights, job.loading, day_s)


def changes_in_order(plan: Plan, field_ids: Sequence[str]) -> dict[str, tuple[BoxChange, ...]]:
    """The box changes before each field if fields are sown in another order than planned.

    What is left in a box is taken to be what the plan leaves in it after the same field.
    """
    by_id = {field.field.field_id: field for field in plan.driven}
    carry_over, changes = CarryOver(), {}
    for field_id in field_ids:
        changes[field_id] = carry_over.changes(by_id[field_id].seed, plan.job.drill)
        carry_over = carry_over.after(by_id[field_id].seed, by_id[field_id].supply.left_kg)
    return changes


def setup_cards(plan: Plan) -> list[Card]:
    """The set-up card of each mix that the plan sows, in the order of the job file."""
    job = plan.job
    cards = []
    for mix in job.mixes:
        fields = [field for field in plan.driven if field.seed.mix == mix.name]
        if not fields:
            continue
        highest_kg: dict[str, float] = {}
        for box, kg in (item for field in fields for item in highest_levels_kg(field).items()):
            highest_kg[box] = max(kg, highest_kg.get(box, 0.0))
        held = dict.fromkeys(one for field in fields for one in field.treated if one.where != "sown")
        cards.append(
            setup_card(
                job.drill,
                job.tractor,
                mix,
                job.working.sowings,
                highest_kg=highest_kg,
                treated=tuple(held),
            )
        )
    return cards


def _checked(job: Job, driven: Iterable[FieldPlan]) -> tuple[TractorCheck, ...]:
    """Whether the tractor fits the drill and, where they are given, the slopes and gates of the fields."""
    plans = list(driven)
    terms = {plan.field.field_id: job.terms_for(plan.field.field_id) for plan in plans}
    slopes = [
        (plan.field.field_id, slope_frac)
        for plan in plans
        if (slope_frac := _slope_frac(plan, terms[plan.field.field_id])) is not None
    ]
    widths = [
        (field_id, term.gate_width_m) for field_id, term in terms.items() if term.gate_width_m is not None
    ]
    return tractor_checks(job.drill, job.tractor, job.working.towing_speed_m_per_s, slopes, widths)


def _slope_frac(plan: FieldPlan, terms: FieldTerms) -> float | None:
    """The slope that the job gives for a field, or that nine tenths of its ground do not exceed."""
    if terms.slope_frac is not None or plan.hills is None:
        return terms.slope_frac
    return plan.hills.relief.p90_frac


def _share_range(key: str) -> tuple[float, float]:
    """Low and high of a percentage in the machinery table, as fractions."""
    low, high, _ = tables.machinery_range(key, "%")
    return low / 100, high / 100
