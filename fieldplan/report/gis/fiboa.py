"""Field boundaries in the open boundary format fiboa 0.3.0 (on Vecorel 0.1.0), as GeoJSON."""

from __future__ import annotations

from collections import Counter
from typing import Any

from pyproj import Geod
from shapely.geometry import mapping

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.plane.date_line import as_written
from fieldplan.report.data.json_text import json_text
from fieldplan.report.output import Output, PlanAsked, of_text
from fieldplan.report.words.plain import plain

COLLECTION = "plan"
SCHEMAS = [
    "https://vecorel.org/specification/v0.1.0/schema.yaml",
    "https://fiboa.org/specification/v0.3.0/schema.yaml",
]
_WGS84 = Geod(ellps="WGS84")


def fiboa_json(plan: Plan) -> str:
    """A collection of one feature per field: id, area in m² and perimeter in m on the ellipsoid, category,
    how the boundary was determined.

    Parameters
    ----------
    plan
        The plan whose field boundaries are written; a field id that comes again gets a number.
    """
    n_seen: Counter[str] = Counter()
    features = []
    for field in plan.fields:
        field_id = field.field.field_id
        n_seen[field_id] += 1
        number = "" if n_seen[field_id] == 1 else f"-{n_seen[field_id]}"
        features.append(_feature(field, f"{plain(field_id)}{number}"))
    return json_text({"type": "FeatureCollection", "schemas": {COLLECTION: SCHEMAS}, "features": features})


def _feature(field: FieldPlan, name: str) -> dict[str, Any]:
    perimeter = sum(
        _WGS84.geometry_length(ring)
        for part in field.field.ground.geoms
        for ring in (part.exterior, *part.interiors)
    )
    return {
        "type": "Feature",
        "id": name,
        "geometry": mapping(as_written(field.field.ground)),
        "properties": {
            "collection": COLLECTION,
            "metrics:area": round(field.field.mapped_m2, 2),
            "metrics:perimeter": round(perimeter, 2),
            "category": ["operational"],
            "determination:method": "unknown",
            "name": plain(field.field.name),
        },
    }


OUTPUT: Output[PlanAsked] = Output(
    name="fiboa",
    words="field boundaries as fiboa GeoJSON",
    make=lambda asked: {"fiboa.geojson": of_text(lambda: fiboa_json(asked.plan))},
)
