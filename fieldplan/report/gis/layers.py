"""The plan as layers in longitude and latitude: what every map format draws."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Point
from shapely.geometry.base import BaseGeometry

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.plane.date_line import as_written
from fieldplan.plane.frame import frame_near
from fieldplan.report.words.quantities import Quantities

Rows = list[dict[str, Any]]
KINDS = {
    "fields": "MultiPolygon",
    "headland": "LineString",
    "passes": "LineString",
    "turns": "LineString",
    "refills": "Point",
    "missed": "MultiPolygon",
    "excluded": "MultiPolygon",
    "gates": "Point",
}
_COLUMNS: dict[str, dict[str, type]] = {
    "fields": {
        "field_id": str,
        "name": str,
        "mix": str,
        "mapped_m2": float,
        "plantable_m2": float,
        "drilled_m2": float,
        "passes": int,
        "turns": int,
        "sown_m": float,
        "lifted_m": float,
        "field_s": float,
    },
    "headland": {
        "field_id": str,
        "width_m": float,
        "block": int,
        "leg": int,
        "sowing": int,
        "number": int,
        "length_m": float,
    },
    "passes": {
        "field_id": str,
        "width_m": float,
        "block": int,
        "leg": int,
        "sowing": int,
        "number": int,
        "length_m": float,
    },
    "turns": {"field_id": str, "leg": int, "kind": str, "length_m": float},
    "refills": {"field_id": str, "stop": int, "leg": int, "load": str},
    "missed": {"field_id": str, "missed_m2": float},
    "excluded": {"field_id": str, "reason": str, "excluded_m2": float},
    "gates": {"field_id": str},
}


def layers_of(plan: Plan, q: Quantities) -> dict[str, Any]:
    """A GeoDataFrame in EPSG:4326 for each layer: fields, headland, passes, turns, refills, missed,
    excluded, gates.

    ``headland`` and ``passes`` are sown centre lines, a pass that is sown on several stretches a line each
    with its ``number``. Columns are SI as their names say; ``load`` is a text to read on the map, in the
    reader's units. Layers without a feature are there, empty.
    """
    import geopandas
    import pandas

    found: dict[str, Rows] = {layer: [] for layer in KINDS}
    for field in plan.fields:
        for layer, rows in _rows(field, q).items():
            found[layer] += rows
    frames = {}
    for layer, rows in found.items():
        columns = {
            name: pandas.Series([row[name] for row in rows], dtype="object" if kind is str else kind)
            for name, kind in _COLUMNS[layer].items()
        }
        geometry = geopandas.GeoSeries([as_written(row["geometry"]) for row in rows], crs="EPSG:4326")
        frames[layer] = geopandas.GeoDataFrame(columns, geometry=geometry, crs="EPSG:4326")
    return frames


def _rows(field: FieldPlan, q: Quantities) -> dict[str, Rows]:
    frame = frame_near(field.field.ground)
    field_id = field.field.field_id
    audit, totals = field.coverage.audit, field.totals
    rows: dict[str, Rows] = {layer: [] for layer in KINDS}
    rows["fields"].append(
        {
            "field_id": field_id,
            "name": field.field.name,
            "mix": field.seed.mix,
            "mapped_m2": totals.mapped_m2,
            "plantable_m2": totals.plantable_m2,
            "drilled_m2": totals.drilled_m2,
            "passes": totals.passes,
            "turns": totals.turns,
            "sown_m": totals.sown_m,
            "lifted_m": totals.lifted_m,
            "field_s": totals.field_s,
            "geometry": field.field.ground,
        }
    )
    legs = [timed.leg for timed in field.time.legs]
    drawn = _to_lonlat([leg.line for leg in legs], frame.to_lonlat)
    refills = dict(
        zip(
            (n for n, leg in enumerate(legs, start=1) if leg.kind == "refill"),
            field.supply.refills,
            strict=True,
        )
    )
    for number, (leg, line) in enumerate(zip(legs, drawn, strict=True), start=1):
        if leg.sown:
            rows["headland" if leg.kind == "headland" else "passes"].append(
                {
                    "field_id": field_id,
                    "width_m": field.coverage.drill_width_m,
                    "block": leg.block,
                    "leg": number,
                    "sowing": leg.sowing,
                    "number": leg.number,
                    "length_m": leg.length_m,
                    "geometry": line,
                }
            )
        elif leg.kind in ("turn", "transfer"):
            rows["turns"].append(
                {
                    "field_id": field_id,
                    "leg": number,
                    "kind": leg.kind,
                    "length_m": leg.length_m,
                    "geometry": line,
                }
            )
        elif leg.kind == "refill":
            refill = refills[number]
            load = ", ".join(f"{box} {q.mass(kg)} {q.mass_unit}" for box, kg in refill.load_kg.items())
            at = frame.to_lonlat(refill.sowing_stops_at)
            rows["refills"].append(
                {"field_id": field_id, "stop": refill.stop, "leg": number, "load": load, "geometry": at}
            )
    for part in shapely.get_parts(audit.missed_ground):
        missed = MultiPolygon([frame.to_lonlat(part)])
        rows["missed"].append({"field_id": field_id, "missed_m2": float(part.area), "geometry": missed})
    rows["excluded"] = [
        {
            "field_id": field_id,
            "reason": piece.reason,
            "excluded_m2": piece.area_m2,
            "geometry": piece.ground,
        }
        for piece in field.field.excluded
    ]
    if field.is_drilled:
        rows["gates"].append({"field_id": field_id, "geometry": Point(field.gate_lonlat)})
    return rows


def _to_lonlat(lines: list[Any], to_lonlat: Any) -> list[BaseGeometry]:
    return list(to_lonlat(np.array(lines, dtype=object))) if lines else []


def kind_of(layer: str, frame: Any) -> str:
    """The kind of geometry that a layer is declared to have: that of `KINDS`, of several parts if longitude
    180 cuts some.
    """
    cut = bool((frame.geometry.geom_type == f"Multi{KINDS[layer]}").any())
    return f"Multi{KINDS[layer]}" if cut else KINDS[layer]
