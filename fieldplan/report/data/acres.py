"""The acreage of a boundary file as JSON."""

from __future__ import annotations

from typing import Any

from fieldplan.model.boundary import BoundaryFile
from fieldplan.report.data.json_text import json_text
from fieldplan.report.words.notes import notes_as_data

SCHEMA = "fieldplan/acres/1"


def acres_json(boundary: BoundaryFile) -> str:
    """The acreage of each field as one JSON object in SI, with the areas that other programs may show.

    Parameters
    ----------
    boundary
        The boundary file as it was read.
    """
    fields: list[dict[str, Any]] = [
        {
            "field_id": field.field_id,
            "name": field.name,
            "mapped_m2": field.mapped_m2,
            "excluded_m2": field.excluded_m2,
            "plantable_m2": field.plantable_m2,
            "web_mercator_m2": field.acreage.web_mercator_m2,
            "own_coordinates_m2": field.acreage.own_coordinates_m2,
            "own_coordinates": field.acreage.own_coordinates_name,
        }
        for field in boundary.fields
    ]
    notes = notes_as_data(boundary.notes)
    total = {"mapped_m2": sum(field.mapped_m2 for field in boundary.fields)}
    content = {"schema": SCHEMA, "fields": fields, "totals": total, "notes": notes}
    return json_text(content)
