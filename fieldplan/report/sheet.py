"""Printed sheets as PDF: a field on two pages, the set-up card, seed labels. What they say is what the page says."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any, Literal

from fieldplan.errors import MissingExtra
from fieldplan.model.card import Card
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.card import LAST_WORD
from fieldplan.report.map_svg import map_svg
from fieldplan.report.places import place_of
from fieldplan.report.plain import plain
from fieldplan.report.quantities import Quantities, hours, percent, shown_odds
from fieldplan.report.seed_page import changed, from_bags, lot_name, parcel
from fieldplan.units import FOOT_M, shown_place

Paper = Literal["us-letter", "a4"]
MAP_MM = (180.0, 160.0)
CATCH_M = 100 * FOOT_M
MOST_LOADS = 46
"""Rows of loads that fit the second page; more stand on the seed page."""
SOWS_HEAVY_FRAC = 0.23


def field_sheets(plan: Plan, q: Quantities, paper: Paper) -> bytes:
    """A PDF with two pages a field: map and answers; loads, catches and blanks."""
    return _compiled("field", {
        "title": plain(f"Field sheets for {plan.job.path.name}"), "paper": paper,
        "footer": plain(f"{plan.job.drill.name}; passes are numbered as driven; the maker's manual, labels and local rules come first"),
        "fields": [sheet_of(plan, one, q) for one in plan.fields],
    })  # fmt: skip


def card_sheet(card: Card, paper: Paper) -> bytes:
    """A PDF of the set-up card."""
    names = list(dict.fromkeys(step.part for step in card.steps))
    return _compiled("card", {
        "title": plain(f'Set-up card: {card.drill}, mix "{card.mix}"'), "paper": paper, "tractor": plain(card.tractor),
        "cautions": [plain(f"{one.text}{_cited(one.source)}.") for one in card.cautions],
        "parts": [
            {"name": name, "steps": [{"text": plain(f"{one.text}{_cited(one.source)}"), "blank": one.blank}
                                     for one in card.steps if one.part == name]}
            for name in names
        ],
        "sources": [f"{one.key}: {one.title}" for one in card.sources], "last": LAST_WORD,
    })  # fmt: skip


def label_sheets(plan: Plan, q: Quantities, paper: Paper) -> bytes:
    """A PDF of a label for every batch, parcel by parcel."""
    every = [(one, batch) for one in plan.fields for batch in one.batches]
    labels = []
    for n, (one, batch) in enumerate(every, start=1):
        when = "start" if batch.number == 1 else f"stop {batch.number - 1}"
        which = "spare, keep dry" if batch.spare else f"batch {batch.number} of {batch.of}, {when}"
        portions = [
            f"{q.mass(part.bulk_kg, 2)} {q.mass_unit}  {lot_name(part.species, part.lot)}"
            + (": mix in well" if part.carrier else f"  (live {q.mass(part.pls_kg, 2)})")
            for part in batch.portions
        ]
        portions.append(f"in all {q.mass(batch.load_kg, 2)} {q.mass_unit}; live {q.mass(batch.pls_kg, 2)}")
        labels.append({
            "parcel": plain(parcel(one)), "number": f"{n} of {len(every)}", "box": f"{batch.box} box", "which": which, "mix": plain(batch.mix),
            "treated": batch.treated, "portions": [plain(text) for text in portions],
        })  # fmt: skip
    return _compiled(
        "labels",
        {
            "title": plain(f"Seed labels for {plan.job.path.name}"),
            "paper": paper,
            "labels": labels,
            "manifest": _manifest(plan, q),
        },
    )


def _manifest(plan: Plan, q: Quantities) -> dict[str, Any]:
    """What each parcel is brought, lot by lot, with room to tick."""
    rows = [
        [plain(parcel(one)) if i == 0 else "", plain(one.seed.mix) if i == 0 else "", plain(lot_name(part.species, part.lot)),
         f"{q.mass(part.need_kg, 2)} {q.mass_unit}", "", ""]
        for one in plan.fields
        for i, part in enumerate(one.deliveries)
    ]  # fmt: skip
    return {"header": ["parcel", "mix", "seed", "bring", "packed", "came back"], "rows": rows}


def png_of(svg: str) -> bytes:
    """A picture as PNG, 150 dots an inch."""
    template = (
        b'#set page(width: auto, height: auto, margin: 0mm)\n#image(bytes(json(bytes(sys.inputs.data)).map), format: "svg")'
    )
    compiler = _typst().Compiler(
        template, font_paths=_typst().Fonts(include_system_fonts=False), sys_inputs={"data": json.dumps({"map": svg})}
    )
    return compiler.compile(format="png", ppi=150.0)  # type: ignore[no-any-return]


def _cited(source: str) -> str:
    return {"": "", "practice": " *"}.get(source, f" [{source}]")


def _typst() -> Any:
    try:
        import typst
    except ImportError:
        raise MissingExtra.named("sheets", "A PDF or PNG") from None
    return typst


def _compiled(template: str, data: dict[str, Any]) -> bytes:
    """A PDF from a template; text goes in as data, never as markup."""
    source = files("fieldplan.report.sheets").joinpath(f"{template}.typ").read_bytes()
    fonts = _typst().Fonts(include_system_fonts=False)
    compiler = _typst().Compiler(source, font_paths=fonts, sys_inputs={"data": json.dumps(data, ensure_ascii=False)})
    return compiler.compile(format="pdf")  # type: ignore[no-any-return]


def sheet_of(plan: Plan, one: FieldPlan, q: Quantities) -> dict[str, Any]:
    """What the two pages of a field say, as data."""
    stops = [("start", "at the gate", one.supply.first_load_kg)]
    stops += [(f"stop {stop.stop}", place_of(one, stop.leg), stop.load_kg) for stop in one.supply.refills]
    bag_kg = {(line.species, line.lot): line.bag_kg for line in plan.order}
    loads = []
    for name, where, load_kg in stops:
        parts = [(box.box, i, part) for box in one.seed.boxes for i, part in enumerate(box.portions(load_kg[box.box]))]
        for k, (box_name, i, part) in enumerate(parts):
            loads.append([
                f"{name}, {where}" if k == 0 else "", box_name if i == 0 else "", plain(lot_name(part.species, part.lot)), q.mass(part.bulk_kg),
                from_bags(part, bag_kg.get((part.species, part.lot)), q),
            ])  # fmt: skip
    boxes = [[box.box, ", ".join(plain(part.species) for part in box.components), q.mass_rate(box.load_kg_per_m2),
              q.volume_rate(box.volume_m3_per_m2), f"{q.area(box.area_per_fill_m2, 1)} {q.area_unit}"] for box in one.seed.boxes]  # fmt: skip
    drill = plan.job.drill
    catch = [[box.box, q.mass_rate(box.load_kg_per_m2), f"{_row_g(box.load_kg_per_m2, drill.row_spacing_m):.3g} g",
              f"{_row_g(box.load_kg_per_m2, drill.row_spacing_m) * drill.rows:.3g} g", _ends_at(plan, one.seed.mix, box.box, q)]
             for box in one.seed.boxes]  # fmt: skip
    more = len(loads) - MOST_LOADS
    return {
        "title": plain(parcel(one)), "map": map_svg(one, *MAP_MM, us=q.system == "us"),
        "legend": "Solid lines: passes, numbered as driven where each begins. Dashed: headland. Thin: turns and lifted ways. "
                  "Triangle: gate. Rings: refill stops. Hatched: left out. Black: missed.",
        "answers": [[name, plain(text)] for name, text in _answers(plan, one, q)],
        "changes": [plain(changed(change, q)) for change in one.box_changes],
        "boxes": {"header": ["box", "holds", "to sow", "by volume", "a fill sows"], "rows": boxes},
        "loads": {"header": ["when", "box", "seed", q.mass_unit, "from bags"], "rows": loads[:MOST_LOADS]},
        "more": f"{more} rows more: see fieldplan seed." if more > 0 else "",
        "catch": {"header": ["box", "to sow", f"a row over {q.length(CATCH_M)}", f"all {drill.rows} rows", "if 23 % heavy, seed ends at"], "rows": catch},
        "blanks": ["acre meter out", "acre meter in", "date", "start", "end", "wind, weather", *(f"{box.box}: setting" for box in one.seed.boxes),
                   *(f"{box.box}: left" for box in one.seed.boxes), "lots checked", "depth found", "operator", "district"],
        "last": LAST_WORD,
    }  # fmt: skip


def _row_g(rate_kg_per_m2: float, spacing_m: float) -> float:
    return rate_kg_per_m2 * spacing_m * CATCH_M * 1000


def _ends_at(plan: Plan, mix: str, box: str, q: Quantities) -> str:
    heavy = next(one for one in plan.run_outs if (one.mix, one.box) == (mix, box) and one.heavy_frac == SOWS_HEAVY_FRAC)
    return f"{q.area(min(heavy.seed_m2, heavy.planned_m2), 1)} of {q.area(heavy.planned_m2, 1)} {q.area_unit}"


def _answers(plan: Plan, one: FieldPlan, q: Quantities) -> list[tuple[str, str]]:
    """The figures of a field and of its job, as a person asks for them."""
    audit, time, booking = one.coverage.audit, one.time, plan.booking
    prob = next(odds.prob for odds in booking.odds if odds.days == booking.suggested_days)
    headings = ", ".join(dict.fromkeys(f"{block.heading_deg:.0f}°" for sowing in one.coverage.sowings for block in sowing.blocks))
    low, high = plan.cost.total
    return [
        ("Ground", f"{q.area(one.field.plantable_m2)} {q.area_unit} to sow of {q.area(one.field.mapped_m2)} mapped"),
        ("Meter", f"about {q.area(audit.drilled_m2)} {q.area_unit}; sown twice {percent(audit.double_sown_m2 / one.field.plantable_m2, 1)}"),
        ("Drive", f"{one.coverage.headland_rounds} headland round(s), {one.coverage.n_passes} passes at {headings or '–'}, {q.length(one.coverage.drill_width_m, 1)} wide"),
        ("Speed", f"{q.speed(plan.job.working.field_speed_m_per_s)} sowing, {q.speed(plan.job.working.turn_speed_m_per_s)} lifted"),
        ("Hours here", f"{hours(time.field_s)}: sowing {hours(time.drilling_s)}, turns {hours(time.turning_s)}, driving {hours(time.travelling_s)}, refills {hours(time.refilling_s)}"),
        ("Whole job", f"{hours(plan.job_time.job_s)}; book {booking.suggested_days} day(s), {shown_odds(prob)} odds"),
        ("Start and end", "not said" if booking.finish is None else f"{plan.job.booking.start:%d %b} to {booking.finish:%d %b %Y}"
         + ("" if booking.latest_start is None else f"; last safe start {booking.latest_start:%d %b}")),
        ("Seed here", "; ".join(f"{plain(part.species)} {q.mass(part.need_kg)} {q.mass_unit}" for part in one.deliveries)),
        ("Refills", f"{len(one.supply.refills)}; gate at {shown_place(one.gate_lonlat)}"),
        ("Tractor", "; ".join(f"{check.about}: {check.verdict}" for check in plan.tractor)),
        ("Cost of the job", "not known" if not plan.cost.lines else f"{plan.cost.currency}{low:,.0f} to {plan.cost.currency}{high:,.0f} as far as known"),
        ("Take along", "set-up card, seed tags, manual, scale to 0.1 g, this sheet"),
    ]  # fmt: skip
