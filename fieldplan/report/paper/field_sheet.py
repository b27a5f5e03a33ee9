"""What the pages of a field say: the map with its figures, then catches, blanks, every load and notes."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import shapely

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.plane.frame import frame_near
from fieldplan.report.paper.field_answers import answers
from fieldplan.report.paper.field_loads import load_rows
from fieldplan.report.paper.field_room import placed
from fieldplan.report.pictures.map_svg import map_svg
from fieldplan.report.typeset import Paper
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.on_paper import on_paper
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import before, parcel
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sequence import rule_line, sequence_lines
from fieldplan.tables import read as tables

AT_THE_DESK = frozenset({"day-unlikely", "bags-many", "booking-none", "finish-by-missed"})
"""Warnings on what is typed, ordered or booked: nothing that a driver can look to."""


def sheet_of(plan: Plan, field: FieldPlan, q: Quantities, paper: Paper | None = None) -> dict[str, Any]:
    """What the pages of a field say, as data for the typesetter and for the HTML page.

    Parameters
    ----------
    plan
        The plan of the whole job.
    field
        One of its fields.
    q
        The reader's units.
    paper
        The size of the pages; ``None`` for the screen, whose map is another.

    Returns
    -------
    dict
        Texts, lists of texts, and tables as ``{"header": [...], "rows": [[...]]}``; ``map`` is SVG.
    """
    said = answers(plan, field, q)
    sheet: dict[str, Any] = {
        "title": plain(parcel(field)),
        "map": "",
        "treated": _treated_seed_cautions() if _is_treated(field) else [],
        "warnings": _warnings(plan, field, q),
        "notes": _notes(plan, field, q),
        "answers": [[answer.name, on_paper(answer.text)] for answer in said],
        "front": [[answer.name, on_paper(answer.text)] for answer in said if answer.where == "map"],
        "back": [
            [answer.name, on_paper(answer.text)] for answer in said if answer.where in ("loads", "either")
        ],
        "movable": [[answer.name, on_paper(answer.text)] for answer in said if answer.where == "either"],
        "rule": on_paper(rule_line(field, q)),
        "sequence": [on_paper(line) for line in sequence_lines(field, q)],
        "changes": [on_paper(text) for text in before(field, q)],
        "boxes": _boxes(plan, field, q),
        "loads": {
            "header": ["when", "box", "seed", "weight", "from bags"],
            "rows": load_rows(plan, field, q),
        },
        "blanks": _blanks(field, q),
    }
    if paper is not None:
        n_stops, slender_frac = len(field.supply.refills), _slender_frac(field)
        sheet |= placed(sheet, paper, n_stops=n_stops, slender_frac=slender_frac)
        wide, high = sheet["map-mm"]
        sheet["map"] = map_svg(
            field, q, wide, high, slope_frac=plan.job.terms_for(field.field.field_id).slope_frac
        )
    return sheet


def _slender_frac(field: FieldPlan) -> float:
    """The short side over the long side of the least rectangle about a field."""
    ground = frame_near(field.field.ground).to_plane(field.field.ground)
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(ground))
    sides = sorted(float(math.dist(a, b)) for a, b in pairwise(corners))
    return sides[0] / sides[-1]


def _is_treated(field: FieldPlan) -> bool:
    """Whether treated seed is sown on a field, or was left in boxes or bags by earlier ones."""
    return bool(field.treated)


def _treated_seed_cautions() -> list[str]:
    return [plain(row["text"]) for row in tables.rows("cautions") if row["when"] == "treated"]


def _warnings(plan: Plan, field: FieldPlan, q: Quantities) -> list[str]:
    """Warnings of this field, and those of the whole job that matter while it is driven."""
    concerned = (
        note
        for note in plan.notes
        if note.field_id == field.field.field_id or (note.field_id is None and note.code not in AT_THE_DESK)
    )
    return [on_paper(text) for text in warning_lines(concerned, q)]


def _notes(plan: Plan, field: FieldPlan, q: Quantities) -> list[str]:
    """What the plan says of this field, as it is driven with its trips to the seed, but for warnings."""
    own = (note for note in plan.notes if note.field_id == field.field.field_id and not note.warning)
    return [on_paper(sentence(note, q)) for note in own]


def _boxes(plan: Plan, field: FieldPlan, q: Quantities) -> dict[str, Any]:
    """Each box with its seed, its rate, what it drops over the distance of a catch, and how far a fill goes."""
    drill = plan.job.drill
    rows = [
        [
            box.box,
            ", ".join(plain(part.species) for part in box.components),
            q.mass_rate(box.load_kg_per_m2),
            q.catch_g(box.load_kg_per_m2 * drill.row_spacing_m),
            q.catch_g(box.load_kg_per_m2 * drill.row_spacing_m * drill.rows),
            f"{q.area(box.area_per_fill_m2, 1)} {q.area_unit}",
            f"{q.mass(field.supply.left_kg[box.box])} {q.mass_unit}",
        ]
        for box in field.seed.boxes
    ]
    over = q.length(q.catch_m)
    header = ["box", "holds", "rate", f"a row, {over}", f"{drill.rows} rows, {over}", "a fill", "left"]
    return {"header": header, "rows": rows}


def _blanks(field: FieldPlan, q: Quantities) -> list[str]:
    """Names of the lines to fill in by hand."""
    boxes = [box.box for box in field.seed.boxes]
    return [
        *(f"{q.meter} out", f"{q.meter} in", "date", "start", "end", "wind, weather"),
        *(f"{box}: left" for box in boxes),
        *("lots checked", "depth found", "operator", "district"),
    ]
