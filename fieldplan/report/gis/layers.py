"""The plan as layers in longitude and latitude: what every map format draws."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Point
from shapely.geometry.base import BaseGeometry

from fieldplan.model.coverage import Leg
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.relief import SLOPE_CLASSES_FRAC
from fieldplan.plane.date_line import as_written
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.report.words.on_maps import load_text
from fieldplan.report.words.quantities import Quantities

Row = dict[str, Any]
Rows = list[Row]
KINDS = {
    "fields": "MultiPolygon",
    "headland": "LineString",
    "passes": "LineString",
    "turns": "LineString",
    "refills": "Point",
    "missed": "MultiPolygon",
    "excluded": "MultiPolygon",
    "drive_line": "MultiLineString",
    "guides": "LineString",
    "slope": "MultiPolygon",
    "over_grade": "MultiLineString",
    "gates": "Point",
}
_VERTICES_M = 0.99
"""A hair less than a meter, since the plane is not quite to the scale of the ellipsoid."""
_SOWN: dict[str, type] = {
    "field_id": str,
    "width_m": float,
    "block": int,
    "leg": int,
    "sowing": int,
    "number": int,
    "length_m": float,
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
    "headland": _SOWN,
    "passes": _SOWN,
    "turns": {
        "field_id": str,
        "leg": int,
        "kind": str,
        "length_m": float,
        "shape": str,
        "reverse_m": float,
    },
    "refills": {"field_id": str, "stop": int, "leg": int, "load": str},
    "missed": {"field_id": str, "missed_m2": float},
    "excluded": {"field_id": str, "reason": str, "excluded_m2": float, "cross": str, "set_back_m": float},
    "drive_line": {"field_id": str, "edge_tolerance_m": float},
    "guides": {"field_id": str},
    "slope": {"field_id": str, "over_frac": float},
    "over_grade": {"field_id": str, "over_m": float},
    "gates": {"field_id": str, "kind": str},
}


def layers_of(plan: Plan, q: Quantities) -> dict[str, Any]:
    """A GeoDataFrame in EPSG:4326 for each layer: fields, headland, passes, turns, refills, missed,
    excluded, drive_line, guides, slope, over_grade, gates.

    ``headland`` and ``passes`` are sown center lines; a pass that is sown on several stretches has a line for
    each, all with its ``number``. Columns are SI, with the unit as the ending of their names.

    Parameters
    ----------
    plan
        The plan to draw.
    q
        Units of the text ``load``, which stands on the map.

    Returns
    -------
    dict
        GeoDataFrames by layer, in the order of `KINDS`; a layer without a feature is empty.
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
    """The features of a field by layer, geometries in longitude and latitude."""
    frame = frame_near(field.field.ground)
    rows: dict[str, Rows] = {layer: [] for layer in KINDS}
    rows["fields"] = [_outline(field)]
    legs = [timed.leg for timed in field.time.legs]
    lines = _to_lonlat([_drawn(leg) for leg in legs], frame.to_lonlat)
    for number, (leg, line) in enumerate(zip(legs, lines, strict=True), start=1):
        if leg.sown:
            rows["headland" if leg.kind == "headland" else "passes"].append(_sown(field, number, leg, line))
        elif leg.kind in ("turn", "transfer"):
            for_seed = "refill" in {other.kind for other in legs[max(0, number - 2) : number + 1]}
            kind = "refill" if leg.kind == "transfer" and for_seed else leg.kind
            rows["turns"].append(_lifted(field, number, leg, kind, line))
    rows["refills"] = _refills(field, legs, frame, q)
    rows["missed"] = _missed(field, frame)
    rows["excluded"] = _excluded(field)
    rows["drive_line"] = _drive_line(field, frame)
    field_id = field.field.field_id
    rows["guides"] = [{"field_id": field_id, "geometry": line} for line in field.field.guides]
    rows["slope"] = _steep(field, frame)
    rows["over_grade"] = _over_grade(field, frame)
    if field.is_drilled:
        rows["gates"] = _gates(field)
    return rows


def _gates(field: FieldPlan) -> list[dict[str, Any]]:
    """Openings of the edge: the gate, and where seed is brought to further parts of the field."""
    openings = [("gate", field.gate_lonlat), *(("seed stand", at) for at in field.further_stands_lonlat)]
    return [
        {"field_id": field.field.field_id, "kind": kind, "geometry": Point(at)} for kind, at in openings
    ]


def _steep(field: FieldPlan, frame: Frame) -> Rows:
    """The ground steeper than each limit, where heights are known."""
    steep = field.hills.steep if field.hills else ()
    grounds = _to_lonlat(list(steep), frame.to_lonlat)
    field_id = field.field.field_id
    return [
        {"field_id": field_id, "over_frac": limit, "geometry": ground}
        for limit, ground in zip(SLOPE_CLASSES_FRAC, grounds, strict=False)
        if not ground.is_empty
    ]


def _over_grade(field: FieldPlan, frame: Frame) -> Rows:
    """Where passes rise or fall more than rows across the slope may."""
    grades = field.hills.grades if field.hills else None
    if grades is None or grades.over_limit.is_empty:
        return []
    (lines,) = _to_lonlat([grades.over_limit], frame.to_lonlat)
    return [{"field_id": field.field.field_id, "over_m": grades.over_m, "geometry": lines}]


def _drive_line(field: FieldPlan, frame: Frame) -> Rows:
    """The line that is driven in place of an edge with jags."""
    coverage = field.coverage
    if coverage.drive_line.is_empty:
        return []
    (line,) = _to_lonlat([coverage.drive_line], frame.to_lonlat)
    field_id = field.field.field_id
    return [{"field_id": field_id, "edge_tolerance_m": coverage.edge_tolerance_m, "geometry": line}]


def _drawn(leg: Leg) -> BaseGeometry:
    """The line of a leg; where the drill is lifted, with a vertex at least every meter."""
    moving = leg.kind in ("turn", "transfer")
    return shapely.segmentize(leg.line, _VERTICES_M) if moving else leg.line


def _outline(field: FieldPlan) -> Row:
    totals = field.totals
    return {
        "field_id": field.field.field_id,
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


def _sown(field: FieldPlan, number: int, leg: Leg, line: BaseGeometry) -> Row:
    return {
        "field_id": field.field.field_id,
        "width_m": field.coverage.drill_width_m,
        "block": leg.block,
        "leg": number,
        "sowing": leg.sowing,
        "number": leg.number,
        "length_m": leg.length_m,
        "geometry": line,
    }


def _lifted(field: FieldPlan, number: int, leg: Leg, kind: str, line: BaseGeometry) -> Row:
    return {
        "field_id": field.field.field_id,
        "leg": number,
        "kind": kind,
        "length_m": leg.length_m,
        "shape": leg.shape,
        "reverse_m": leg.reverse_m,
        "geometry": line,
    }


def _refills(field: FieldPlan, legs: Sequence[Leg], frame: Frame, q: Quantities) -> Rows:
    numbers = [number for number, leg in enumerate(legs, start=1) if leg.kind == "refill"]
    return [
        {
            "field_id": field.field.field_id,
            "stop": refill.stop,
            "leg": number,
            "load": load_text(refill.load_kg, q),
            "geometry": frame.to_lonlat(refill.sowing_stops_at),
        }
        for number, refill in zip(numbers, field.supply.refills, strict=True)
    ]


def _missed(field: FieldPlan, frame: Frame) -> Rows:
    return [
        {
            "field_id": field.field.field_id,
            "missed_m2": float(part.area),
            "geometry": MultiPolygon([frame.to_lonlat(part)]),
        }
        for part in shapely.get_parts(field.coverage.audit.missed_ground)
    ]


def _excluded(field: FieldPlan) -> Rows:
    return [
        {
            "field_id": field.field.field_id,
            "reason": piece.reason,
            "excluded_m2": piece.area_m2,
            "cross": piece.cross,
            "set_back_m": piece.set_back_m,
            "geometry": piece.ground,
        }
        for piece in field.field.excluded
    ]


def _to_lonlat(lines: list[Any], to_lonlat: Any) -> list[BaseGeometry]:
    """All lines in one call: a projection has a cost for each."""
    return list(to_lonlat(np.array(lines, dtype=object))) if lines else []


def kind_of(layer: str, frame: Any) -> str:
    """The kind of geometry that a layer is declared to have.

    Parameters
    ----------
    layer
        A key of `KINDS`.
    frame
        The layer as a GeoDataFrame.

    Returns
    -------
    str
        The kind in `KINDS`, with "Multi" before it if longitude 180 cuts some features in two.
    """
    cut = bool((frame.geometry.geom_type == f"Multi{KINDS[layer]}").any())
    return f"Multi{KINDS[layer]}" if cut else KINDS[layer]
