"""What was found in a boundary file, for programs."""

from __future__ import annotations

from typing import Any

from fieldplan.model.boundary import Examination
from fieldplan.report.data.json_text import json_text
from fieldplan.report.words.notes import fact_as_data, notes_as_data

SCHEMA = "fieldplan/check/1"


def check_json(found: Examination) -> str:
    """The same as one JSON object, SI."""
    content: dict[str, Any] = {
        "schema": SCHEMA,
        "format": found.format,
        "accepted": not found.problems,
        "layers": [
            {
                "layer": one.name,
                "reference_system": one.reference_system,
                "features": one.n_features,
                "fields": one.n_fields,
                "left_out": {str(reason): n for reason, n in one.left_out.items()},
            }
            for one in found.layers
        ],
        "fields": [
            {
                "field_id": one.field_id,
                "name": one.name,
                "mapped_m2": one.mapped_m2,
                "excluded_m2": one.excluded_m2,
                "excluded_by_reason_m2": one.excluded_by_reason_m2,
                "plantable_m2": one.plantable_m2,
                "parts": len(one.ground.geoms),
                "holes": sum(len(part.interiors) for part in one.ground.geoms),
                "mix": one.mix,
                "priority": one.priority,
            }
            for one in found.fields
        ],
        "notes": notes_as_data(found.notes),
        "problems": [{**fact_as_data(one), "text": one.text, "hint": one.hint} for one in found.problems],
    }
    return json_text(content)
