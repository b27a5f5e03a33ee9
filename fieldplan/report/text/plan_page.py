"""The page: a whole plan in plain language for the terminal."""

from __future__ import annotations

from datetime import timedelta

from fieldplan.facts import fact
from fieldplan.model.cost import OWN_NEED
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.totals import Totals
from fieldplan.model.work import Booking, JobTime
from fieldplan.plane.frame import frame_near
from fieldplan.report.text.notes import note_lines
from fieldplan.report.text.seed_page import MIN_KG
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.money_and_places import money_range, money_text, place_text
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.places import headings, place_of
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import (
    Quantities,
    clock_in_parts,
    counted,
    hours,
    hours_in_parts,
    odds_text,
    percent,
    share,
)
from fieldplan.report.words.sentences import sentence, sources_text
from fieldplan.units import MINUTE_S

FEW_STOPS = 4
FEW_DAYS = 3
WEEKDAYS = ("Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays")


def page(plan: Plan, boundary_name: str, quantities: Quantities, *, every_stop: bool = False) -> str:
    """The plan as text, per field and in total, ending in its notes and sources.

    Parameters
    ----------
    every_stop
        List all refill stops of a field instead of the first few.
    """
    q = quantities
    sections = (
        _head(plan, boundary_name, q),
        ["", "IN SHORT", *_short(plan, q)],
        ["", "GROUND", *_ground(plan, q)],
        ["", "DRIVING", *_driving(plan, q)],
        ["", "SEED", *_seed(plan, q)],
        ["", "REFILLS", *_refills(plan, q, every_stop)],
        ["", "HOURS", *_hours(plan, q)],
        ["", "DAYS TO BOOK", *_booking(plan)],
        ["", "ON THE DAY", *_on_the_day(plan, q)],
        ["", "TRACTOR", *_tractor(plan, q)],
        ["", "COST", *_cost(plan, q)],
        ["", "NOTES", *note_lines(plan.notes, q)],
        ["", "SOURCES", *_sources(plan)],
    )
    return "\n".join(line for section in sections for line in section) + "\n"


def title_of(plan: Plan, boundary_name: str) -> str:
    """What is planned, with which job."""
    return plain(f"Plan for {boundary_name} with {plan.job.path.name}")


def short_answer(plan: Plan, quantities: Quantities) -> str:
    """The few lines that answer how much ground, how long to book and what to buy."""
    return "\n".join(_short(plan, quantities)) + "\n"


def _head(plan: Plan, boundary_name: str, q: Quantities) -> list[str]:
    drill, working = plan.job.drill, plan.job.working
    return [
        title_of(plan, boundary_name),
        f"{plain(drill.name)}: {q.length(drill.effective_width_m, 1)} of ground a pass ({drill.rows} rows, "
        f"{q.spacing(drill.row_spacing_m)} apart), {q.speed(working.field_speed_m_per_s)} while sowing",
    ]


def short_lines(plan: Plan, q: Quantities) -> list[str]:
    """The short answer as sentences, warnings first."""
    totals, booking = plan.totals, plan.booking
    bags = ", ".join(f"{_lot(line.species, line.lot)}: {line.bags}" for line in plan.order) or "none"
    return [
        *warning_lines(plan.notes, q),
        f"{q.area(totals.plantable_m2)} {q.area_word} to sow{times_over(plan)}; the drill's meter will read about {q.area(totals.drilled_m2, 1)}.",
        f"{hours(plan.job_time.job_s)} of work: {counted(booking.fieldwork_days_needed, 'fit day')} of {_day(booking)}.",
        _book(booking),
        *finish_by_line(plan),
        f"Bags to order: {bags}.",
        f"Tractor: {tractor_in_short(plan)}.",
    ]


def times_over(plan: Plan) -> str:
    """How often all ground is sown, if more than once."""
    sowings = plan.job.working.sowings
    return "" if sowings == 1 else f", {sowings} times over"


def _day(booking: Booking) -> str:
    """The working day, or the shortest and the longest of the booking."""
    shortest, longest = booking.day_s
    return hours(longest) if longest - shortest < MINUTE_S else f"{hours(shortest)} to {hours(longest)}"


def _short(plan: Plan, q: Quantities) -> list[str]:
    return [wrapped for line in short_lines(plan, q) for wrapped in paragraph(line)]


def _book(booking: Booking) -> str:
    if booking.suggested_days is None:
        return "Book: no number of days can be named."
    return f"Book {counted(booking.suggested_days, 'day')}{_until(booking)}: {odds_text(booking.prob)} odds of being done in them."


def finish_by_line(plan: Plan) -> list[str]:
    """The last safe day to start for the wanted end, if one was asked for and there is such a day; if not,
    a warning says so.
    """
    terms, start = plan.job.booking, plan.booking.latest_start
    if terms.finish_by is None or start is None:
        return []
    odds = odds_text(terms.confidence_prob)
    return [f"To be done by {terms.finish_by:%a %d %b %Y} with {odds} odds, start by {start:%a %d %b %Y}."]


def tractor_in_short(plan: Plan) -> str:
    """What fails, what to see to, what was not said, and how many checks pass."""
    named = [
        (word, [one.about for one in plan.tractor if one.verdict == verdict])
        for word, verdict in (
            ("fails on", "fail"),
            ("see to", "warn"),
            ("to ask or to say in the job file:", "ask"),
        )
    ]
    n = sum(one.verdict == "pass" for one in plan.tractor)
    return "; ".join(
        [
            *(f"{word} {', '.join(dict.fromkeys(about))}" for word, about in named if about),
            counted(n, "check passes", "checks pass"),
        ]
    )


def _until(booking: Booking) -> str:
    return "" if booking.finish is None else f", to {booking.finish:%a %d %b %Y}"


def _ground(plan: Plan, q: Quantities) -> list[str]:
    rows = [_ground_row(field.field.field_id, field.field.name, field.totals, q) for field in plan.fields]
    if len(plan.fields) > 1:
        rows.append(_ground_row("all", "", plan.totals, q))
    header: tuple[str, ...] = (
        "field",
        "name",
        "mapped",
        "excluded",
        "to sow",
        "drilled",
        "sown twice",
        "",
        "missed",
        "",
        "sown outside",
    )
    if not any(field.field.excluded for field in plan.fields):  # then what is mapped is what is to sow
        header, *rows = [(*cells[:3], *cells[5:]) for cells in (header, *rows)]
    return [
        f"  {q.area_word.capitalize()}; percent of the ground to sow{times_over(plan)}",
        *table(header, rows, left=2),
    ]


def _ground_row(field_id: str, name: str, ground: Totals, q: Quantities) -> tuple[str, ...]:
    return (
        field_id,
        name if name != field_id else "",
        q.area(ground.mapped_m2),
        q.area(ground.excluded_m2),
        q.area(ground.plantable_m2),
        q.area(ground.drilled_m2),
        q.area(ground.overlap_m2),
        share(ground.overlap_m2, ground.to_sow_m2, 1),
        q.area(ground.missed_m2),
        share(ground.missed_m2, ground.to_sow_m2, 1),
        q.area(ground.outside_m2),
    )


def _driving(plan: Plan, q: Quantities) -> list[str]:
    rows = [
        _driving_row(
            field.field.field_id,
            headings(field),
            str(field.coverage.headland_rounds),
            field.totals,
            field.coverage.swings_out_m,
            q,
        )
        for field in plan.fields
    ]
    if len(plan.fields) > 1:
        rows.append(
            _driving_row(
                "all", "", "", plan.totals, max(field.coverage.swings_out_m for field in plan.fields), q
            )
        )
    header = (
        "field",
        "heading",
        "passes",
        "headland rounds",
        "turns",
        "sowing",
        "lifted",
        "of it for seed",
        "turns swing out",
    )
    text = (
        "Heading is the true compass bearing of the passes, either way; of a field cut into blocks, those of the blocks with "
        "a tenth or more of the passes' length, longest first. Lifted is all driving in the field with the drill up: turns between "
        "passes and at corners, ways over it, trips to the seed and back. Turns swing out past the edge of the field, or into an "
        "obstacle, by so much (middle of the drill): it is lifted there, so none of that is ground sown outside."
    )
    return [*table(header, rows), *paragraph(text)]


def _driving_row(
    name: str, heading: str, rounds: str, drive: Totals, swings_out_m: float, q: Quantities
) -> tuple[str, ...]:
    return (
        name,
        heading,
        str(drive.passes),
        rounds,
        str(drive.turns),
        q.distance(drive.sown_m),
        q.distance(drive.lifted_m),
        q.distance(drive.for_seed_m),
        q.length(swings_out_m),
    )


def _seed(plan: Plan, q: Quantities) -> list[str]:
    if not plan.driven:
        return paragraph("Nothing is drilled: there is no seed to order.")
    rows = []
    for field in plan.fields:
        for box in field.seed.boxes:
            for i, component in enumerate(box.components):
                rows.append(
                    (
                        field.field.field_id if box is field.seed.boxes[0] and i == 0 else "",
                        field.seed.mix if box is field.seed.boxes[0] and i == 0 else "",
                        box.box if i == 0 else "",
                        _lot(component.species, component.lot),
                        q.mass(component.sown_pls_kg),
                        q.mass(component.sown_bulk_kg),
                        q.mass_rate(box.load_kg_per_m2) if i == 0 else "",
                        str(field.fills) if i == 0 else "",
                    )
                )
    header = (
        "field",
        "mix",
        "box",
        "seed",
        f"live {q.mass_unit}",
        f"bulk {q.mass_unit}",
        "box sows",
        "fills",
    )
    order = [
        (
            _lot(line.species, line.lot),
            q.mass(line.sown_kg),
            q.mass(line.overage_kg),
            q.mass(line.residual_kg),
            q.mass(line.need_kg),
            str(line.bags),
            q.mass(line.bag_kg),
            q.mass(line.ordered_kg),
            q.mass(line.left_over_kg),
        )
        for line in plan.order
    ]
    order_header = (
        "order",
        "sown",
        "overage",
        "of it stays in boxes",
        "need",
        "bags",
        "of",
        f"{q.mass_unit} in all",
        "left over",
    )
    return [
        "  Live = pure live seed; bulk = what comes out of the bag; on drilled ground, double-sown ground included",
        *table(header, rows, left=4),
        "",
        *table(order_header, order),
    ]


def _lot(species: str, lot: str) -> str:
    return f"{species} ({lot})" if lot else species


def _refills(plan: Plan, q: Quantities, every_stop: bool) -> list[str]:
    lines = []
    for field in plan.fields:
        if not field.is_drilled:
            lines += paragraph(f"{field.field.field_id}: nothing is drilled here.")
            continue
        loads = [
            f"{box} {q.mass(kg)} {q.mass_unit}"
            for box, kg in field.supply.first_load_kg.items()
            if kg > MIN_KG
        ]
        first = ", ".join(loads) or "nothing more: the boxes hold it"
        n = len(field.supply.refills)
        stops = "no stop" if n == 0 else "1 stop" if n == 1 else f"{n} stops"
        fill = min((box.area_per_fill_m2 for box in field.seed.boxes), default=0.0)
        lines += paragraph(
            f"{field.field.field_id}: {stops}; a fill sows {q.area(fill, 1)} {q.area_unit}. "
            f"{_seed_stands(plan, field)} Start with {first}."
        )
        shown = field.supply.refills if every_stop else field.supply.refills[:FEW_STOPS]
        frame = frame_near(field.field.ground)
        for refill in shown:
            stop_lon, stop_lat = frame.point_to_lonlat(refill.sowing_stops_at.x, refill.sowing_stops_at.y)
            load = ", ".join(f"{box} {q.mass(kg)} {q.mass_unit}" for box, kg in refill.load_kg.items())
            lines += paragraph(
                f"{refill.stop}. {place_of(field, refill.leg)} ({stop_lat:.5f}, {stop_lon:.5f}): {load}",
                indent=4,
            )
        if len(shown) < n:
            lines.append(f"    … and {n - len(shown)} more (-v lists them)")
    return lines


def _seed_stands(plan: Plan, one: FieldPlan) -> str:
    own = plan.job.terms_for(one.field.field_id).seed_at
    if own is not None and not any(note.code == "seed-astray" for note in one.coverage.notes):
        return f"Seed stands at {place_text(own)}."
    return (
        "Seed follows the drill."
        if plan.job.working.seed_follows
        else f"Seed stands at the gate ({place_text(one.gate_lonlat)})."
    )


def _hours(plan: Plan, q: Quantities) -> list[str]:
    """The clock of each field, in the parts that are counted at all."""
    rows = []
    for field in plan.fields:
        time = field.time
        rows.append(
            (
                field.field.field_id,
                *hours_in_parts([part.spent_s for part in time.parts if part.counted]),
                hours(time.field_s),
                f"{hours(time.handbook_s[0])} – {hours(time.handbook_s[1])}",
                "–" if time.field_efficiency_frac is None else percent(time.field_efficiency_frac),
                "–" if time.field_capacity_m2_per_s is None else q.capacity(time.field_capacity_m2_per_s),
            )
        )
    parts = [sentence(part.heading, q) for part in plan.totals.time_parts if part.counted]
    header = ("field", *parts, "in field", "handbook", "efficiency", "capacity")
    return [*table(header, rows), *paragraph(_whole_job(plan.job_time, q))]


def _whole_job(job: JobTime, q: Quantities) -> str:
    shown, whole = clock_in_parts([part.spent_s for part in job.parts])
    parts = [
        f"{sentence(part.name, q)} {text}"
        for part, text in zip(job.parts, shown, strict=True)
        if part.spent_s > 0
    ]
    return (
        f"Job: {' + '.join(parts)} = {whole} ({hours(job.job_s)})."
        if parts
        else "Job: nobody need fetch a drill."
    )


def _booking(plan: Plan) -> list[str]:
    booking, terms = plan.booking, plan.job.booking
    if not booking.odds:
        return paragraph("Nothing is drilled: there are no days to book.")
    last = booking.odds[-1].days if booking.suggested_days is None else booking.suggested_days
    shown = [odds for odds in booking.odds if odds.days >= last - FEW_DAYS]
    rows = [
        (
            f"{odds.days} days" if odds.days > 1 else "1 day",
            "" if terms.start is None else f"{terms.start + timedelta(days=odds.days - 1):%a %d %b}",
            odds_text(odds.prob, booking.confidence_prob),
            "book this" if odds.days == booking.suggested_days else "",
        )
        for odds in shown
    ]
    shortest, longest = booking.day_s
    text = f"{hours(plan.job_time.job_s)} at {_day(booking)} a day takes {counted(booking.fieldwork_days_needed, 'fit day')}. "
    text += f"With {percent(terms.fieldwork_day_prob)} of days fit"
    text += (
        f", {percent(terms.persistence_frac)} more alike from day to day than by chance"
        if terms.persistence_frac
        else ""
    )
    text += (
        f", and hours that may come out {percent(terms.uncertainty_frac)} less or more"
        if terms.uncertainty_frac
        else ""
    )
    text += (
        ", the odds of being done in so many days:"
        if terms.start is None
        else f", the odds of being done by, from {terms.start:%d %b %Y}:"
    )
    lines = [
        *paragraph(text),
        *(f"    {days:>8}  {by:<10}  {odds:>9}  {mark}".rstrip() for days, by, odds, mark in rows),
    ]
    if longest < terms.day_s - MINUTE_S or shortest < terms.day_s - MINUTE_S:
        lines += paragraph(
            f"Days are shorter than the {hours(terms.day_s)} asked for: there is no more daylight."
        )
    if terms.finish_by is not None:
        lines += paragraph(
            *finish_by_line(plan)
            or [f"To be done by {terms.finish_by:%a %d %b %Y}: no day from the start on is early enough."]
        )
    off = [WEEKDAYS[number] for number in sorted(terms.weekdays_off)] + [
        f"{one:%d %b}" for one in sorted(terms.dates_off)
    ]
    return lines + (paragraph(f"Days off, counted but not worked: {', '.join(off)}.") if off else [])


def _on_the_day(plan: Plan, q: Quantities) -> list[str]:
    """What to catch, where seed runs out if it sows heavy, and the papers to take along."""
    if not plan.driven:
        return paragraph("Nothing is drilled: there is nothing to catch.")
    drill = plan.job.drill
    boxes = {(field.seed.mix, box.box): box for field in plan.fields for box in field.seed.boxes}
    rows = []
    for (mix, name), box in boxes.items():
        row_kg_per_m = box.load_kg_per_m2 * drill.row_spacing_m
        heavy = plan.run_out(mix, name)
        rows.append(
            (
                mix,
                name,
                q.mass_rate(box.load_kg_per_m2),
                q.catch_g(row_kg_per_m),
                q.catch_g(row_kg_per_m * drill.rows),
                q.area(min(heavy.seed_m2, heavy.planned_m2), 1),
                q.area(heavy.planned_m2, 1),
            )
        )
    header = (
        "mix",
        "box",
        "to sow",
        f"a row over {q.length(q.catch_m)}",
        f"all {drill.rows}",
        f"at +{percent(heavy.heavy_frac)} ends at",
        "of",
    )
    text = (
        f"Catch this much, or calibrate again; sown {percent(heavy.heavy_frac)} heavy ({sources_text([heavy.source])}), the seed ordered ends "
        f"at so many {q.area_word}. Take along: the set-up card (fieldplan setup) with what to check, clean and sign, seed tags, the drill's manual, "
        "a scale that reads a tenth of a gram."
    )
    return [*table(header, rows, left=2), *paragraph(text)]


def _tractor(plan: Plan, q: Quantities) -> list[str]:
    lines = []
    for one in plan.tractor:
        cited = sources_text(one.unnamed_sources)
        behind = "" if not cited else f"; {cited}" if one.source == OWN_NEED else f" ({cited})"
        lines += paragraph(f"{one.about}: {sentence(one.text, q)}{behind}.", bullet=f"{one.verdict:<5}")
    return lines


def _cost(plan: Plan, q: Quantities) -> list[str]:
    cost = plan.cost
    rows = [(line.name, money_range(line.low, line.high, cost.currency)) for line in cost.lines]
    low, high = cost.total
    to_sow = plan.totals.plantable_m2 / q.area_unit_m2
    if rows:
        rows.append(("all known", money_range(low, high, cost.currency)))
        if to_sow > 0:
            rows.append((f"by the {q.area_unit}", money_range(low / to_sow, high / to_sow, cost.currency)))
    lines = table(("for", "cost"), rows) if rows else []
    lines += [
        wrapped for line in cost.lines for wrapped in paragraph(f"{line.name}: {sentence(line.how, q)}.")
    ]
    if cost.unknown:
        lines += paragraph(
            f"Not known, give it in [cost] or at the lot: {', '.join(sentence(one, q) for one in cost.unknown)}."
        )
    low_m3, high_m3 = cost.fuel_m3
    lines += paragraph(
        sentence(
            fact("diesel", low_fuel_m3=low_m3, high_fuel_m3=high_m3, said=sources_text(cost.fuel_sources)),
            q,
        )
    )
    held = cost.fee.deposits if cost.fee else 0
    return lines + (
        paragraph(f"Held as a deposit and given back: {money_text(held, cost.currency)}.") if held else []
    )


def _sources(plan: Plan) -> list[str]:
    return [
        line for source in plan.sources for line in paragraph(f"{source.key}: {source.title}", bullet="- ")
    ]
