"""What the pages of a field say: the map with its figures, then catches, blanks, every load and notes."""

from __future__ import annotations

from typing import Any

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.paper.field_answers import answers
from fieldplan.report.paper.field_loads import load_rows
from fieldplan.report.pictures.map_svg import map_svg
from fieldplan.report.text.card import LAST_WORD
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, percent
from fieldplan.report.words.seed import before, end_texts, parcel
from fieldplan.report.words.sentences import sentence
from fieldplan.tables import read as tables

MAP_MM = (180.0, 152.0)


def sheet_of(plan: Plan, field: FieldPlan, q: Quantities, *, on_paper: bool) -> dict[str, Any]:
    """What the pages of a field say, as data for the typesetter and for the HTML page.

    Parameters
    ----------
    plan
        The plan of the whole job.
    field
        One of its fields.
    q
        The reader's units.
    on_paper
        Draw the map for paper too.

    Returns
    -------
    dict
        Texts, lists of texts, and tables as ``{"header": [...], "rows": [[...]]}``; ``map`` is SVG.
    """
    warnings, notes = _warnings(plan, field, q), _notes(field, q)
    return {
        "title": plain(parcel(field)),
        "map": map_svg(field, q, *MAP_MM) if on_paper else "",
        "treated": _treated_seed_cautions() if _is_treated(field) else [],
        "warnings": warnings,
        "notes": notes,
        "answers": [[name, plain(text)] for name, text in answers(plan, field, q)],
        "changes": [plain(text) for text in before(field, q)],
        "boxes": _boxes(field, q),
        "loads": {
            "header": ["when", "box", "seed", "weight", "from bags"],
            "rows": load_rows(plan, field, q),
        },
        "catch": _catch(plan, field, q),
        "blanks": _blanks(field),
        "last": LAST_WORD,
    }


def _is_treated(field: FieldPlan) -> bool:
    """Whether treated seed is sown on a field, or was left in boxes or bags by earlier ones."""
    return bool(field.treated)


def _treated_seed_cautions() -> list[str]:
    return [plain(row["text"]) for row in tables.rows("cautions") if row["when"] == "treated"]


def _warnings(plan: Plan, field: FieldPlan, q: Quantities) -> list[str]:
    """Warnings of the whole job and of this field."""
    concerned = (note for note in plan.notes if note.field_id in (None, field.field.field_id))
    return [plain(text) for text in warning_lines(concerned, q)]


def _notes(field: FieldPlan, q: Quantities) -> list[str]:
    every = (*field.coverage.notes, *field.seed.notes, *field.supply.notes, *field.time.notes)
    return [plain(sentence(note, q)) for note in every if not note.warning]


def _boxes(field: FieldPlan, q: Quantities) -> dict[str, Any]:
    """Each box with its seed, its rate and how far a fill goes."""
    rows = [
        [
            box.box,
            ", ".join(plain(part.species) for part in box.components),
            q.mass_rate(box.load_kg_per_m2),
            q.volume_rate(box.volume_m3_per_m2),
            f"{q.area(box.area_per_fill_m2, 1)} {q.area_unit}",
            f"{q.mass(field.supply.left_kg[box.box])} {q.mass_unit}",
        ]
        for box in field.seed.boxes
    ]
    return {"header": ["box", "holds", "rate", "by volume", "a fill covers", "left in box"], "rows": rows}


def _catch(plan: Plan, field: FieldPlan, q: Quantities) -> dict[str, Any]:
    """What each box drops over the distance of a catch, and where its seed runs out if it sows heavy."""
    drill = plan.job.drill
    rows = [
        [
            box.box,
            q.mass_rate(box.load_kg_per_m2),
            q.catch_g(box.load_kg_per_m2 * drill.row_spacing_m),
            q.catch_g(box.load_kg_per_m2 * drill.row_spacing_m * drill.rows),
            _runs_out_at(plan, field, box.box, q),
        ]
        for box in field.seed.boxes
    ]
    over, every = f"a row over {q.length(q.catch_m)}", f"all {drill.rows} rows"
    heavy = f"{_heavy(plan)}: {plain(field.seed.mix)} runs out"
    return {"header": ["box", "rate", over, every, heavy], "rows": rows}


def _heavy(plan: Plan) -> str:
    """How heavy the drill is taken to sow for the acres at which seed runs out: "23 % heavy"."""
    first = next(iter(plan.run_outs), None)
    return "" if first is None else f"{percent(plan.run_out(first.mix, first.box).heavy_frac)} heavy"


def _runs_out_at(plan: Plan, field: FieldPlan, box: str, q: Quantities) -> str:
    """Where the seed of a box ends, and whether that is here."""
    parcel_id, lot, after = end_texts(plan.run_out(field.seed.mix, box), q)
    if parcel_id == "–":
        return "lasts"
    here = "here" if parcel_id == field.field.field_id else f"at {plain(parcel_id)}"
    return f"{here} after {after} {q.area_unit}: {plain(lot)}"


def _blanks(field: FieldPlan) -> list[str]:
    """Names of the lines to fill in by hand."""
    boxes = [box.box for box in field.seed.boxes]
    return [
        *("acre meter out", "acre meter in", "date", "start", "end", "wind, weather"),
        *(f"{box}: setting" for box in boxes),
        *(f"{box}: left" for box in boxes),
        *("lots checked", "depth found", "operator", "district"),
    ]
