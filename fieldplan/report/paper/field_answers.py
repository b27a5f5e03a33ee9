"""The figures of a field and of its job, as a person asks for them on the day."""

from __future__ import annotations

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.text.plan.short import times_text
from fieldplan.report.text.plan.tractor import tractor_in_short
from fieldplan.report.words.money_and_places import money_range, place_text
from fieldplan.report.words.places import headings
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, counted, hours, hours_in_parts, odds_text, share
from fieldplan.report.words.seed import parcel
from fieldplan.report.words.sentences import sentence


def answers(plan: Plan, field: FieldPlan, q: Quantities) -> list[tuple[str, str]]:
    """Names and texts of the figures, in the order in which they stand on the sheet.

    Parameters
    ----------
    plan
        The plan of the whole job.
    field
        One of its fields.
    q
        The reader's units.
    """
    return [
        ("Ground", _ground(plan, field, q)),
        ("Meter", _meter(field, q)),
        ("Order", _order(plan, field)),
        ("Route", _route(plan, field, q)),
        ("Outside", _outside(field, q)),
        ("Mix", f"{field.seed.mix}; {q.mass(field.live_kg)} {q.mass_unit} PLS here"),
        ("Depth", _depth(field, q)),
        ("Speed", _speed(plan, q)),
        ("Hours here", _hours(field, q)),
        ("Refills", f"{field.totals.refills}{_gate(field)}"),
        ("Whole job", f"{hours(plan.job_time.job_s)}; {_booking(plan)}"),
        ("Tractor", tractor_in_short(plan)),
        ("Cost of the job", _cost(plan, q)),
        ("Seed here, with spares", _seed(field, q)),
        ("Take along", "set-up card, seed tags, manual, scale to 0.1 g, this sheet"),
    ]


def _ground(plan: Plan, field: FieldPlan, q: Quantities) -> str:
    totals = field.totals
    plantable = f"{q.area(totals.plantable_m2)} plantable {q.area_word}{times_text(plan)}"
    return f"{plantable}; {q.area(totals.mapped_m2)} mapped"


def _meter(field: FieldPlan, q: Quantities) -> str:
    totals = field.totals
    overlap = share(totals.overlap_m2, totals.to_sow_m2, 1)
    missed = share(totals.missed_m2, totals.to_sow_m2, 1)
    return f"about {q.area(totals.drilled_m2)} {q.area_unit}; overlap {overlap}, missed {missed}"


def _order(plan: Plan, field: FieldPlan) -> str:
    number = plan.fields.index(field) + 1
    after = plan.fields[number:]
    following = f"then {plain(parcel(after[0]))}" if after else "the last"
    return f"field {number} of {len(plan.fields)}; {following}"


def _route(plan: Plan, field: FieldPlan, q: Quantities) -> str:
    totals = field.totals
    rounds = counted(field.coverage.headland_rounds, "headland round")
    return "; ".join(
        (
            f"{rounds}, sown {'first' if plan.job.working.headland_first else 'last'}",
            f"{totals.passes} passes at {headings(field)}, {q.length(field.coverage.drill_width_m, 1)} wide",
            f"{totals.turns} turns, {totals.backing} of them backing",
            f"{q.distance(totals.sown_m)} sowing, {q.distance(totals.lifted_m)} lifted",
        )
    )


def _outside(field: FieldPlan, q: Quantities) -> str:
    drilled = f"{q.area(field.totals.outside_m2)} {q.area_unit} drilled outside the field"
    if not any(leg.shape == "outside" for leg in field.supply.legs):
        return f"{drilled}; turns stay inside"
    return (
        f"{drilled}; the drill must leave its room by up to {q.length(field.coverage.swings_out_m)}, lifted"
    )


def _depth(field: FieldPlan, q: Quantities) -> str:
    """The depth of the openers, by the finest seed of the box that is sown shallowest, and what is asked for."""
    if not field.is_drilled:
        return "nothing is drilled here"
    asked = dict.fromkeys(name for box in field.box_depths if not box.on_surface for name in box.asked)
    known = [(box.most_m, box) for box in field.box_depths if not box.on_surface and box.most_m is not None]
    if not known:
        return "ask the seed supplier" + (f": {', '.join(asked)}" if asked else "")
    most_m, shallowest = min(known, key=lambda one: one[0])
    text = f"no deeper than {q.spacing(most_m)}, for {shallowest.sets_it} in the {shallowest.box} box"
    return text + (f"; asked for: {', '.join(asked)}" if asked else "")


def _speed(plan: Plan, q: Quantities) -> str:
    working = plan.job.working
    return f"{q.speed(working.field_speed_m_per_s)} sowing, {q.speed(working.turn_speed_m_per_s)} lifted"


def _hours(field: FieldPlan, q: Quantities) -> str:
    parts = field.totals.time_parts
    times = hours_in_parts([part.spent_s for part in parts])
    spent = [
        f"{sentence(part.name, q)} {time}" for part, time in zip(parts, times, strict=True) if part.spent_s
    ]
    return hours(field.totals.field_s) + (f": {', '.join(spent)}" if spent else "")


def _gate(field: FieldPlan) -> str:
    if not field.is_drilled:
        return ""
    assumed = any(note.code == "gate-assumed" for note in field.coverage.notes)
    return f"; gate {'(assumed) ' if assumed else ''}at {place_text(field.gate_lonlat)}"


def _booking(plan: Plan) -> str:
    booking = plan.booking
    if not booking.odds:
        return "no days to book"
    if booking.suggested_days is None:
        return f"no booking within a year reaches {odds_text(booking.confidence_prob)} odds"
    text = f"book {counted(booking.suggested_days, 'day')}, {odds_text(booking.prob)} odds"
    if booking.finish is not None:
        text += f"; {plan.job.booking.start:%d %b} to {booking.finish:%d %b %Y}"
    if booking.latest_start is not None:
        text += f"; last safe start {booking.latest_start:%d %b}"
    return text


def _cost(plan: Plan, q: Quantities) -> str:
    cost = plan.cost
    if not cost.lines:
        return "not known"
    unknown = ", ".join(sentence(item, q) for item in cost.unknown)
    return money_range(*cost.total, cost.currency) + (f"; not included: {unknown}" if unknown else "")


def _seed(field: FieldPlan, q: Quantities) -> str:
    parts = [f"{plain(part.species)} {q.mass(part.need_kg)} {q.mass_unit}" for part in field.deliveries]
    return "; ".join(parts) or "none"
