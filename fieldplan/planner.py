"""The planner of a job: its fields in, each planned in the order in which it is sown, and what all of them take."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date

from fieldplan.field_planner import CoveredField, covered_field, planned, with_offer
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.budget import BoxChange, OrderLine, SowOrders
from fieldplan.model.card import Card
from fieldplan.model.cost import TractorCheck
from fieldplan.model.field import Field
from fieldplan.model.job import FieldTerms, Job
from fieldplan.model.loads import LoadList
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.work import JobTime, spent_s
from fieldplan.noted import noted
from fieldplan.seed.carry_over import CarryOver, later_m3
from fieldplan.seed.choosing import mixes_by_field
from fieldplan.seed.known import facts_of
from fieldplan.seed.levels import highest_levels_kg
from fieldplan.seed.load_list import OnClock, load_list
from fieldplan.seed.order import carrier_lines, order_lines
from fieldplan.seed.run_out import run_outs
from fieldplan.seed.setup_card import setup_card
from fieldplan.seed.sow_order import change_count, sow_order
from fieldplan.work.booking import booking_for, with_latest_start
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.findings import Work
from fieldplan.work.job import apart_m, job_time, moves_between_s, no_time
from fieldplan.work.starts import with_starts
from fieldplan.work.tractor import tractor_checks

Progress = Callable[[Iterable[Field]], Iterable[Field]]


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
    covered = [
        with_offer(covered_field(field, mixes[field.field_id], job), job)
        for field in progress(boundary.fields)
    ]
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
        plan = planned(covered, job, carry_over, later)
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
