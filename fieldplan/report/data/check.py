"""What was found in a boundary file, as JSON."""

from __future__ import annotations

from typing import Any

from fieldplan.model.boundary import Examination
from fieldplan.report.data.json_text import json_text
from fieldplan.report.words.notes import fact_as_data, notes_as_data

SCHEMA = "fieldplan/check/1"


def check_json(found: Examination) -> str:
    """What was found as one JSON object in SI: layers, fields, notes and problems."""
    content: dict[str, Any] = {
        "schema": SCHEMA,
        "format": found.format,
        "accepted": not found.problems,
        "layers": [
            {
                "layer": layer.name,
                "reference_system": layer.reference_system,
                "features": layer.n_features,
                "fields": layer.n_fields,
                "left_out": {str(reason): n for reason, n in layer.left_out.items()},
            }
            for layer in found.layers
        ],
        "fields": [
            {
                "field_id": field.field_id,
                "name": field.name,
                "mapped_m2": field.mapped_m2,
                "excluded_m2": field.excluded_m2,
                "excluded_by_reason_m2": field.excluded_by_reason_m2,
                "plantable_m2": field.plantable_m2,
                "parts": len(field.ground.geoms),
                "holes": sum(len(part.interiors) for part in field.ground.geoms),
                "mix": field.mix,
                "priority": field.priority,
                "edge": field.edge,
            }
            for field in found.fields
        ],
        "notes": notes_as_data(found.notes),
        "problems": [
            {**fact_as_data(problem), "text": problem.text, "hint": problem.hint}
            for problem in found.problems
        ],
    }
    return json_text(content)
