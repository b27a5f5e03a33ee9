"""Page of `fieldplan check`: what a boundary file has, what was mended, and whether it can be planned."""

from __future__ import annotations

from fieldplan.model.boundary import Examination, LayerFound
from fieldplan.model.field import Field
from fieldplan.report.text.notes import note_lines
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.notes import warning_sentences
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import hint_sentence, sentence


def check_page(found: Examination, quantities: Quantities) -> str:
    """The findings in plain language: layers, fields, warnings, notes, and the reasons against a plan.

    Parameters
    ----------
    quantities
        The reader's units.
    """
    q = quantities
    lines = [f"Check of {plain(found.path.name)}" + (f" ({found.format})" if found.format else "")]
    if found.layers:
        lines += ["", "FOUND", *_layers(found)]
    if found.fields:
        lines += ["", "FIELDS", *_fields(found, q)]
    warnings = warning_sentences(found.notes, q)
    if warnings:
        lines += ["", "WARNINGS", *(line for text in warnings for line in paragraph(text, bullet="- "))]
    notes = note_lines(found.notes, q)
    if notes:
        lines += ["", "NOTES", *notes]
    if found.problems:
        lines += ["", "PROBLEMS"]
        for problem in found.problems:
            lines += paragraph(sentence(problem, q), bullet="- ")
            hint = hint_sentence(problem, q)
            lines += paragraph(f"Try: {hint}", indent=4) if hint else []
    lines += ["", *paragraph(_verdict(found), indent=0)]
    numbered = sum(_is_numbered(field) for field in found.fields)
    if numbered > 1:
        fields = counted(numbered, "field")
        told = f"{fields} are numbered, as nothing names them: --id-field says which attribute does."
        lines += paragraph(told, indent=0)
    return "\n".join(lines) + "\n"


def _layers(found: Examination) -> list[str]:
    rows = [
        (layer.name, layer.reference_system, str(layer.n_features), str(layer.n_fields), _left_out(layer))
        for layer in found.layers
    ]
    return table(("layer", "measured in", "features", "fields", "left out"), rows, left=2)


def _left_out(layer: LayerFound) -> str:
    return str(sum(layer.left_out.values())) if layer.left_out else ""


def _fields(found: Examination, q: Quantities) -> list[str]:
    excluded = any(field.excluded for field in found.fields)
    edged = any(_edge(field) for field in found.fields)
    rows = []
    for field in found.fields:
        holes = sum(len(part.interiors) for part in field.ground.geoms)
        vertices = sum(
            len(ring.coords) - 1 for part in field.ground.geoms for ring in (part.exterior, *part.interiors)
        )
        areas = [q.area(field.mapped_m2)]
        if excluded:
            areas += [q.area(field.excluded_m2), q.area(field.plantable_m2)]
        rows.append(
            (
                field.field_id,
                field.name if field.name != field.field_id else "",
                *areas,
                str(len(field.ground.geoms)),
                str(holes),
                f"{vertices:,}",
                *([_edge(field)] if edged else []),
            )
        )
    if len(rows) > 1:
        areas = [q.area(sum(field.mapped_m2 for field in found.fields))]
        if excluded:
            areas.append(q.area(sum(field.excluded_m2 for field in found.fields)))
            areas.append(q.area(sum(field.plantable_m2 for field in found.fields)))
        rows.append(("all", "", *areas, "", "", "", *([""] if edged else [])))
    area_heads = (q.area_word, "excluded", "plantable") if excluded else (q.area_word,)
    heads = ("field", "name", *area_heads, "parts", "holes", "vertices", *(["edge"] if edged else []))
    return table(heads, rows, left=2)


def _is_numbered(field: Field) -> bool:
    """Whether the id and the name of a field are its number in the file."""
    number = field.field_id.removeprefix("field-")
    return number.isdecimal() and field.field_id != number and field.name.endswith(f" {number}")


def _edge(field: Field) -> str:
    """What the file says about the outer edge of a field."""
    word = field.edge or ""
    if word != "open" and not field.open_edges.is_empty:
        return "open in part"
    return "fenced in part" if word == "open" and not field.fenced_edges.is_empty else word


def _verdict(found: Examination) -> str:
    if not found.problems:
        return f"fieldplan plan accepts this file: {counted(len(found.fields), 'field')}."
    return f"fieldplan plan would refuse this file, for {counted(len(found.problems), 'reason')}."
