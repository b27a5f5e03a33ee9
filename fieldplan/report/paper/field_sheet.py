"""What the two pages of a field say: the map with its figures, then loads, catches, notes and blanks."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from operator import itemgetter
from typing import Any

from fieldplan.model.budget import Portion
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.work import Refill
from fieldplan.report.pictures.map_svg import map_svg
from fieldplan.report.text.card import LAST_WORD
from fieldplan.report.text.plan_page import times_over, tractor_in_short
from fieldplan.report.text.seed_page import MIN_KG, changed, from_bags, lot_name, parcel
from fieldplan.report.words.money_and_places import money_range, place_text
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.places import headings, last_sown, place_of, start_of
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import (
    Quantities,
    counted,
    hours,
    hours_in_parts,
    odds_text,
    percent,
    share,
)
from fieldplan.report.words.sentences import sentence
from fieldplan.tables import read as tables

MAP_MM = (180.0, 160.0)
MAX_LOADS, MIN_LOADS = 46, 8
"""Rows of loads that fit the second page without notes, and beside the most of them; more stand on the seed page."""
NOTE_LETTERS = 125
"""Letters of a note that fit a line."""


def sheet_of(plan: Plan, one: FieldPlan, q: Quantities, *, on_paper: bool) -> dict[str, Any]:
    """What the two pages of a field say, as data.

    Parameters
    ----------
    on_paper
        Only as many loads as fit beside the notes.
    """
    loads = _loads(plan, one, q)
    field_id = one.field.field_id
    warnings = [
        plain(text) for text in warning_lines((n for n in plan.notes if n.field_id in (None, field_id)), q)
    ]
    notes = [
        plain(sentence(note, q))
        for note in (*one.coverage.notes, *one.seed.notes, *one.supply.notes, *one.time.notes)
        if not note.warning
    ]
    maximum = max(MIN_LOADS, MAX_LOADS - sum(1 + len(text) // NOTE_LETTERS for text in (*warnings, *notes)))
    boxes = [
        [
            box.box,
            ", ".join(plain(part.species) for part in box.components),
            q.mass_rate(box.load_kg_per_m2),
            q.volume_rate(box.volume_m3_per_m2),
            f"{q.area(box.area_per_fill_m2, 1)} {q.area_unit}",
            f"{q.mass(one.supply.left_kg[box.box])} {q.mass_unit}",
        ]
        for box in one.seed.boxes
    ]
    drill = plan.job.drill
    catch = [
        [
            box.box,
            q.mass_rate(box.load_kg_per_m2),
            q.catch_g(box.load_kg_per_m2 * drill.row_spacing_m),
            q.catch_g(box.load_kg_per_m2 * drill.row_spacing_m * drill.rows),
            _ends_at(plan, one.seed.mix, box.box, q),
        ]
        for box in one.seed.boxes
    ]
    maximum = maximum if on_paper else len(loads)
    more = len(loads) - maximum
    return {
        "title": plain(parcel(one)),
        "map": map_svg(one, *MAP_MM, us=q.system == "us"),
        "treated": [plain(row["text"]) for row in tables.rows("cautions") if row["when"] == "treated"]
        if treated(one)
        else [],
        "legend": _legend(one),
        "warnings": warnings,
        "notes": notes,
        "answers": [[name, plain(text)] for name, text in _answers(plan, one, q)],
        "changes": [plain(changed(change, q)) for change in one.box_changes],
        "boxes": {
            "header": ["box", "holds", "to sow", "by volume", "a fill sows", "left in it here"],
            "rows": boxes,
        },
        "loads": {"header": ["when", "box", "seed", q.mass_unit, "from bags"], "rows": loads[:maximum]},
        "more": f"{more} rows more: see fieldplan seed." if more > 0 else "",
        "catch": {
            "header": [
                "box",
                "to sow",
                f"a row over {q.length(q.catch_m)}",
                f"all {drill.rows} rows",
                f"{_heavy(plan)}: {plain(one.seed.mix)} ends at",
            ],
            "rows": catch,
        },
        "blanks": [
            "acre meter out",
            "acre meter in",
            "date",
            "start",
            "end",
            "wind, weather",
            *(f"{box.box}: setting" for box in one.seed.boxes),
            *(f"{box.box}: left" for box in one.seed.boxes),
            "lots checked",
            "depth found",
            "operator",
            "district",
        ],
        "last": LAST_WORD,
    }


def _heavy(plan: Plan) -> str:
    """How much too heavy it is that seed is said to end at."""
    first = next(iter(plan.run_outs), None)
    return "" if first is None else f"{percent(plan.run_out(first.mix, first.box).heavy_frac)} heavy"


def _ends_at(plan: Plan, mix: str, box: str, q: Quantities) -> str:
    heavy = plan.run_out(mix, box)
    return f"{q.area(min(heavy.seed_m2, heavy.planned_m2), 1)} of {q.area(heavy.planned_m2, 1)} {q.area_unit} in all"


def treated(one: FieldPlan) -> bool:
    """Whether any seed of a field is treated."""
    return any(batch.treated for batch in one.batches)


def _loads(plan: Plan, one: FieldPlan, q: Quantities) -> list[list[str]]:
    """What to tip in, stop by stop; stops in a row with the same load stand together, and spares at the
    end.
    """
    bag_kg = {(line.species, line.lot): line.bag_kg for line in plan.order}

    def shown(box: str, i: int, part: Portion) -> list[str]:
        bags = from_bags(part, bag_kg.get((part.species, part.lot)), q)
        return [box if i == 0 else "", plain(lot_name(part.species, part.lot)), q.mass(part.bulk_kg), bags]

    def tipped(load_kg: Mapping[str, float]) -> list[list[str]]:
        boxes = [box for box in one.seed.boxes if load_kg[box.box] > MIN_KG]
        return [
            shown(box.box, i, part)
            for box in boxes
            for i, part in enumerate(box.portions(load_kg[box.box]))
        ] or [["", "nothing: the boxes hold it", "", ""]]

    if not one.is_drilled:
        return []
    listed = [(start_of(plan, one), tipped(one.supply.first_load_kg))]
    for rows, alike in groupby(
        ((tipped(stop.load_kg), stop) for stop in one.supply.refills), key=itemgetter(0)
    ):
        listed.append((_at(one, [stop for _, stop in alike]), rows))
    spares = [
        shown(batch.box, i, part)
        for batch in one.batches
        if batch.spare
        for i, part in enumerate(batch.portions)
    ]
    listed.append(("spare, keep dry", spares))
    return [[when if k == 0 else "", *row] for when, rows in listed for k, row in enumerate(rows)]


def _at(one: FieldPlan, stops: list[Refill]) -> str:
    """Stops with the same load, and what each comes after."""
    if len(stops) == 1:
        return f"stop {stops[0].stop}, {place_of(one, stops[0].leg)}"
    after = [last_sown(one, stop.leg) for stop in stops]
    places = [
        f"{'in' if goes_on else 'after'} {several if len(numbers) > 1 else single} {', '.join(map(str, numbers))}"
        for kind, single, several in (
            ("headland", "headland side", "headland sides"),
            ("pass", "pass", "passes"),
        )
        for goes_on in (False, True)
        if (numbers := [place.number for place in after if (place.kind, place.goes_on) == (kind, goes_on)])
    ]
    return f"stops {stops[0].stop} to {stops[-1].stop}, {' and '.join(places)} as driven"


def _legend(one: FieldPlan) -> str:
    """What stands on this map, and nothing that does not."""
    parts = [
        "Solid lines: passes, numbered as driven where each begins.",
        "Thin: turns and lifted ways. Triangle: gate.",
    ]
    if not one.is_drilled:
        parts = ["Nothing is drilled here."]
    if one.coverage.headland_rounds:
        parts.insert(1, "Dashed: headland.")
    if one.supply.refills:
        parts.append("Numbered discs: refill stops, the first of several where … follows.")
    if one.field.excluded:
        parts.append("Hatched: left out.")
    if one.coverage.audit.missed_ground.geoms:
        parts.append("Black: missed.")
    return " ".join(parts)


def _depth(one: FieldPlan, q: Quantities) -> str:
    """The depth that the species that stands least allows."""
    if not one.is_drilled:
        return "nothing is drilled here"
    if not one.depths:
        return "ask the seed supplier"
    known = {depth.species for depth in one.depths}
    lacking = [part.species for part in one.deliveries if part.species not in known]
    shown = f"no deeper than {q.spacing(one.depths[0].max_m)}, for {one.depths[0].species}"
    return shown + (f"; not in the table: {', '.join(dict.fromkeys(lacking))}" if lacking else "")


def _answers(plan: Plan, one: FieldPlan, q: Quantities) -> list[tuple[str, str]]:
    """The figures of a field and of its job, as a person asks for them."""
    totals, booking = one.totals, plan.booking
    working, n = plan.job.working, plan.fields.index(one)
    spent = zip(
        totals.time_parts, hours_in_parts([part.spent_s for part in totals.time_parts]), strict=True
    )
    days = (
        "" if booking.finish is None else f"; {plan.job.booking.start:%d %b} to {booking.finish:%d %b %Y}"
    )
    days += "" if booking.latest_start is None else f"; last safe start {booking.latest_start:%d %b}"
    book = f"book {counted(booking.suggested_days or 0, 'day')}, {odds_text(booking.prob)} odds{days}"
    book = "no number of days to book can be named" if booking.suggested_days is None else book
    assumed = any(note.code == "gate-assumed" for note in one.coverage.notes)
    following = f"then {plain(parcel(plan.fields[n + 1]))}" if n + 1 < len(plan.fields) else "the last"
    outside = f"{q.area(totals.outside_m2)} {q.area_unit} sown there; turns swing out up to {q.length(one.coverage.swings_out_m)}, lifted"
    gate = (
        f"; gate {'(assumed) ' if assumed else ''}at {place_text(one.gate_lonlat)}"
        if one.is_drilled
        else ""
    )
    parts = ", ".join(f"{sentence(part.name, q)} {shown}" for part, shown in spent if part.spent_s)
    return [
        (
            "Ground",
            f"{q.area(totals.plantable_m2)} {q.area_unit} to sow{times_over(plan)} of {q.area(totals.mapped_m2)} mapped",
        ),
        (
            "Meter",
            f"about {q.area(totals.drilled_m2)} {q.area_unit}; sown twice {share(totals.overlap_m2, totals.to_sow_m2, 1)}, missed {share(totals.missed_m2, totals.to_sow_m2, 1)}",
        ),
        ("Order", f"field {n + 1} of {len(plan.fields)}; {following}"),
        (
            "Drive",
            f"{counted(one.coverage.headland_rounds, 'headland round')}, sown {'first' if working.headland_first else 'last'}; {totals.passes} passes at {headings(one)}, {q.length(one.coverage.drill_width_m, 1)} wide; {totals.turns} turns; {q.distance(totals.sown_m)} sowing, {q.distance(totals.lifted_m)} lifted",
        ),
        ("Past the edge", outside),
        ("Mix", f"{one.seed.mix}; {q.mass(one.live_kg)} {q.mass_unit} of live seed (PLS) here"),
        ("Depth", _depth(one, q)),
        (
            "Speed",
            f"{q.speed(working.field_speed_m_per_s)} sowing, {q.speed(working.turn_speed_m_per_s)} lifted",
        ),
        ("Hours here", f"{hours(totals.field_s)}" + (f": {parts}" if parts else "")),
        ("Refills", f"{totals.refills}{gate}"),
        ("Whole job", f"{hours(plan.job_time.job_s)}; {book}"),
        ("Tractor", tractor_in_short(plan)),
        ("Cost of the job", _cost(plan, q)),
        (
            "Seed here, with spares",
            "; ".join(
                f"{plain(part.species)} {q.mass(part.need_kg)} {q.mass_unit}" for part in one.deliveries
            )
            or "none",
        ),
        ("Take along", "set-up card, seed tags, manual, scale to 0.1 g, this sheet"),
    ]


def _cost(plan: Plan, q: Quantities) -> str:
    if not plan.cost.lines:
        return "not known"
    lacking = (
        f"; not in it: {', '.join(sentence(one, q) for one in plan.cost.unknown)}"
        if plan.cost.unknown
        else ""
    )
    return money_range(*plan.cost.total, plan.cost.currency) + lacking
