"""Shapes at longitude 180: kept together inside fieldplan, with longitudes past 180; cut there in
everything that is written.

RFC 7946 (section 3.1.9) asks that a shape which crosses be cut into parts, none of which does.
"""

from __future__ import annotations

from typing import Any, TypeVar

import numpy as np
import shapely
from shapely import MultiLineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.model.coverage import Array

HALF_TURN_DEG, TURN_DEG = 180.0, 360.0
AnyGeometry = TypeVar("AnyGeometry", bound=BaseGeometry)


def past(geometry: AnyGeometry) -> bool:
    """Whether a shape has longitudes past 180 to either side."""
    if geometry.is_empty:
        return False
    west, _, east, _ = geometry.bounds
    return west < -HALF_TURN_DEG or east > HALF_TURN_DEG


def turned(geometry: AnyGeometry, turns: int = 1) -> AnyGeometry:
    """The same place, with longitudes that are whole turns larger."""
    return shapely.transform(geometry, lambda xy: np.add(xy, (turns * TURN_DEG, 0.0)))


def together(geometry: BaseGeometry, *, short_edges: bool) -> BaseGeometry | None:
    """A shape that lies on both sides of longitude 180 as one that lies together, longitudes west of it
    past 180.

    ``None`` if it cannot be told: a ring with long edges that jumps from one side to the other may lie
    across the line or around the Earth. With ``short_edges`` it can only lie across.
    """
    for ring in _rings(geometry) if not short_edges else []:
        lon = shapely.get_coordinates(ring)[:, 0]
        lon = lon[np.abs(lon) < HALF_TURN_DEG]
        if (lon < 0).any() and (lon > 0).any():
            return None

    def east(xy: Array) -> Array:
        return np.column_stack([np.where(xy[:, 0] < 0, xy[:, 0] + TURN_DEG, xy[:, 0]), xy[:, 1]])

    whole = shapely.transform(geometry, east)
    west, _, east_max, _ = whole.bounds
    return whole if east_max - west < HALF_TURN_DEG else None


def as_written(geometry: BaseGeometry) -> Any:
    """The shape with longitudes from -180 to 180, cut where it crosses; a MultiPolygon stays one."""
    if not past(geometry):
        return geometry
    world = shapely.box(-HALF_TURN_DEG, -90, HALF_TURN_DEG, 90)
    kind = geometry.geom_type.removeprefix("Multi")
    pieces = [
        piece
        for turns in (0, -1, 1)
        for piece in shapely.get_parts(shapely.intersection(turned(geometry, turns), world))
        if piece.geom_type == kind and not piece.is_empty
    ]
    if isinstance(geometry, MultiPolygon) or (kind == "Polygon" and len(pieces) > 1):
        return MultiPolygon(pieces)
    return pieces[0] if len(pieces) == 1 else MultiLineString(pieces)


def wrapped_deg(lon: float) -> float:
    """A longitude from -180 to 180."""
    return lon if abs(lon) <= HALF_TURN_DEG else (lon + HALF_TURN_DEG) % TURN_DEG - HALF_TURN_DEG


def _rings(geometry: BaseGeometry) -> list[BaseGeometry]:
    """Every ring and line, however nested."""
    parts = getattr(geometry, "geoms", None)
    if parts is not None:
        return [ring for part in parts for ring in _rings(part)]
    return list(shapely.get_rings(geometry)) if geometry.geom_type == "Polygon" else [geometry]
