"""Shapes at longitude 180: in one piece inside fieldplan, with longitudes past 180, and cut when written.

RFC 7946, section 3.1.9, asks for a shape that crosses longitude 180 to be cut there into parts.
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
    """Whether a shape has longitudes below -180 or above 180."""
    if geometry.is_empty:
        return False
    west, _, east, _ = geometry.bounds
    return west < -HALF_TURN_DEG or east > HALF_TURN_DEG


def turned(geometry: AnyGeometry, turns: int = 1) -> AnyGeometry:
    """The same place, with longitudes larger by ``turns`` times 360."""
    return shapely.transform(geometry, lambda xy: np.add(xy, (turns * TURN_DEG, 0.0)))


def together(geometry: BaseGeometry, *, short_edges: bool) -> BaseGeometry | None:
    """A shape on both sides of longitude 180 in one piece, with longitudes from 0 to 360.

    Parameters
    ----------
    short_edges
        Whether the edges are known to be short: a ring that jumps from one side to the other then crosses
        the line. If they may be long, it could as well reach around the Earth.

    Returns
    -------
    BaseGeometry or None
        ``None`` if a ring jumps and its edges may be long, or if the result is 180 degrees wide or wider.
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
    """The shape with longitudes from -180 to 180, cut where it crosses; a MultiPolygon remains one."""
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
    """The same longitude from -180 to 180.

    Examples
    --------
    >>> wrapped_deg(190.0), wrapped_deg(-95.5)
    (-170.0, -95.5)
    """
    return lon if abs(lon) <= HALF_TURN_DEG else (lon + HALF_TURN_DEG) % TURN_DEG - HALF_TURN_DEG


def _rings(geometry: BaseGeometry) -> list[BaseGeometry]:
    """Every ring and line, however nested."""
    parts = getattr(geometry, "geoms", None)
    if parts is not None:
        return [ring for part in parts for ring in _rings(part)]
    return list(shapely.get_rings(geometry)) if geometry.geom_type == "Polygon" else [geometry]
