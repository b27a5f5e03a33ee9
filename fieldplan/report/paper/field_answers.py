"""The figures of a field and of its job, as a person asks for them on the day."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.text.plan.short import times_text
from fieldplan.report.text.plan.tractor import tractor_in_short
from fieldplan.report.words.hours import clock_in_parts, hours
from fieldplan.report.words.money_and_places import money_range, place_text
from fieldplan.report.words.numbers import counted, odds_text, percent, share
from fieldplan.report.words.places import compass, heading_named, headings_named
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import end_texts, parcel
from fieldplan.report.words.sentences import sentence

Where = Literal["map", "loads", "either", "screen"]
"""The page of the sheet on which an answer stands: with the map, with the loads, there or with the map if it must, or on
the screen alone."""


class Answer(NamedTuple):
    """A name, its text, and where it stands."""

    name: str
    text: str
    where: Where


def answers(plan: Plan, field: FieldPlan, q: Quantities) -> list[Answer]:
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
    every = [
        Answer("Gate", _gate(field), "map"),
        Answer("Ground", _ground(plan, field, q), "map"),
        Answer("Passes", _passes(plan, field, q), "map"),
        Answer("Turns", _turns(field, q), "map"),
        Answer("Seed stands", _stands(plan, field), "map"),
        Answer("Slope", _slope(plan, field), "map"),
        Answer("Call", _call(plan, field), "loads"),
        Answer("Hours here", _hours(field, q), "loads"),
        Answer("Speed", _speed(plan, q), "loads"),
        Answer("Depth", _depth(field, q), "loads"),
        Answer("Mix", f"{field.seed.mix}; {q.mass(field.live_kg)} {q.mass_unit} PLS here", "loads"),
        Answer("Meter", _meter(field, q), "either"),
        Answer("Seed here, with spares", _seed(field, q), "either"),
        Answer(f"If it sows {_heavy(plan)}", _runs_out(plan, field, q), "either"),
        Answer("Order", _order(plan, field) if len(plan.fields) > 1 else "", "loads"),
        Answer("Whole job", f"{hours(plan.job_time.job_s)}; {_booking(plan)}", "either"),
        Answer("Tractor", tractor_in_short(plan), "screen"),
        Answer("Cost of the job", _cost(plan, q), "screen"),
        Answer("Take along", "set-up card, seed tags, manual, scale to 0.1 g, this sheet", "either"),
    ]
    return [answer for answer in every if answer.text]


def _gate(field: FieldPlan) -> str:
    """On which side of the field the gate is, and where."""
    if not field.is_drilled:
        return ""
    assumed = any(note.code == "gate-assumed" for note in field.coverage.notes)
    middle, gate = field.coverage.ground.envelope.centroid, field.coverage.gate
    side = compass(_azimuth_deg(gate.x - middle.x, gate.y - middle.y))
    return f"in the {side}{', assumed' if assumed else ''}, at {place_text(field.gate_lonlat)}"


def _azimuth_deg(east_m: float, north_m: float) -> float:
    return math.degrees(math.atan2(east_m, north_m)) % 360.0


def _stands(plan: Plan, field: FieldPlan) -> str:
    if not field.is_drilled:
        return ""
    terms = plan.job.terms_for(field.field.field_id)
    stops = counted(field.totals.refills, "refill")
    if terms.seed_at is not None:
        return f"{stops}; the seed stands at {place_text(terms.seed_at)}"
    if plan.job.working.seed_follows:
        return f"{stops}; the seed follows the drill"
    more = [place_text(place) for place in field.further_stands_lonlat]
    return f"{stops}; the seed stands at the gate" + (f" and at {'; '.join(more)}" if more else "")


def _slope(plan: Plan, field: FieldPlan) -> str:
    """The slope that was typed, and what heights say of it."""
    slope_frac, said = plan.job.terms_for(field.field.field_id).slope_frac, list[str]()
    if slope_frac is not None:
        said.append(f"{percent(slope_frac)}, as given")
    if field.hills is not None:
        relief, grades = field.hills.relief, field.hills.grades
        said.append(
            f"half of the ground up to {percent(relief.median_frac)}, nine tenths up to {percent(relief.p90_frac)}, "
            f"falling to the {compass(relief.fall_deg)}"
        )
        if grades is not None:
            said.append(
                f"up to {percent(grades.steepest_frac)} along a pass, {percent(grades.steepest_across_frac)} across one"
            )
        if field.hills.straight is not None:
            said.append(
                f"straight passes at {heading_named(field.hills.straight.heading_deg)} keep to the limit of grade"
            )
    return f"{'; '.join(said)}; on slopes the manuals of tractor and drill decide" if said else ""


def _call(plan: Plan, field: FieldPlan) -> str:
    """Whom to call: who lends the drill, and the neighbor; blanks to fill in where nobody is named."""
    lender, neighbor = plan.job.drill.lender, plan.job.terms_for(field.field.field_id).neighbor
    blank = "__________"
    return f"lender of the drill: {lender or blank}; neighbor: {neighbor or blank}"


def _ground(plan: Plan, field: FieldPlan, q: Quantities) -> str:
    totals = field.totals
    plantable = f"{q.area(totals.plantable_m2)} plantable {q.area_word}{times_text(plan)}"
    slope = "" if _slope(plan, field) else "; slope not known"
    return f"{plantable}; {q.area(totals.mapped_m2)} mapped{slope}"


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


def _passes(plan: Plan, field: FieldPlan, q: Quantities) -> str:
    totals = field.totals
    rounds = counted(field.coverage.headland_rounds, "round")
    return "; ".join(
        (
            f"{rounds} around, sown {'first' if plan.job.working.headland_first else 'last'}",
            f"{counted(totals.passes, 'pass', 'passes')} {headings_named(field)}, {q.length(field.coverage.drill_width_m, 1)} wide",
            f"{q.distance(totals.sown_m)} sowing, {q.distance(totals.lifted_m)} lifted",
        )
    )


def _turns(field: FieldPlan, q: Quantities) -> str:
    """Where to turn and how, and whether anything leads outside."""
    if not field.is_drilled:
        return ""
    rounds, width_m = field.coverage.headland_rounds, field.coverage.drill_width_m
    where = f"on the headland, {q.length(rounds * width_m)} wide" if rounds else "at the ends of the passes"
    shapes = ", ".join(f"{n} {shape}" for shape, n in field.turn_shapes.items() if shape)
    outside = "all inside the edge"
    if any(leg.shape == "outside" for leg in field.supply.legs):
        outside = f"the drill must leave its room by up to {q.length(field.coverage.swings_out_m)}, lifted"
    elif not field.coverage.open_edge.is_empty:
        outside = "they may swing out over the open edge"
    drilled = q.area(field.totals.outside_m2)
    beyond = f"; {drilled} {q.area_unit} drilled outside the field" if drilled.strip("0.,") else ""
    backs = any(leg.reverse_m > 0.0 for leg in field.supply.legs)
    care = "; before backing: openers up, nobody behind" if backs else ""
    return f"drill lifted, {where}: {shapes or 'none'}{care}; {outside}{beyond}"


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
    parts = [part for part in field.totals.time_parts if part.spent_s]
    times, whole = clock_in_parts([part.spent_s for part in parts])
    spent = [f"{sentence(part.name, q)} {time}" for part, time in zip(parts, times, strict=True)]
    return f"{whole}: {', '.join(spent)}" if spent else whole


def _heavy(plan: Plan) -> str:
    """How heavy the drill is taken to sow for the acres at which seed runs out: "23 % heavy"."""
    first = next(iter(plan.run_outs), None)
    return "heavy" if first is None else f"{percent(plan.run_out(first.mix, first.box).heavy_frac)} heavy"


def _runs_out(plan: Plan, field: FieldPlan, q: Quantities) -> str:
    """Where the seed of each box ends, and whether that is here."""
    return "; ".join(f"{box.box} {_runs_out_at(plan, field, box.box, q)}" for box in field.seed.boxes)


def _runs_out_at(plan: Plan, field: FieldPlan, box: str, q: Quantities) -> str:
    parcel_id, lot, after = end_texts(plan.run_out(field.seed.mix, box), q)
    if parcel_id == "–":
        return "lasts"
    here = "here" if parcel_id == field.field.field_id else f"at {plain(parcel_id)}"
    return f"runs out {here} after {after} {q.area_unit}: {plain(lot)}"


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
