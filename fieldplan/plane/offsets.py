"""Offsets of polygons with mitred corners."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

_MANY_VERTICES = 1000
MITRE_LIMIT = 5.0
"""Longest mitre as a multiple of the offset: beyond it a corner is cut square (11.5° corners and sharper)."""


def inset(ground: Polygon | MultiPolygon, depth_m: float) -> MultiPolygon:
    """Ground at least ``depth_m`` from every edge, corners mitred.

    With mitred corners and as long as no edge vanishes, the area between two offsets is exactly the offset
    times the length of the ring half way between them.
    """
    if depth_m == 0:
        return polygons_of(ground)
    return polygons_of(offset(ground, -depth_m))


def insets(ground: MultiPolygon, depths_m: npt.NDArray[np.float64]) -> npt.NDArray[np.object_]:
    """`inset` at several rising depths, (n,), as the library gives it: polygons and multipolygons, empty
    where nothing is left.

    On outlines of many vertices each is inset from the one before: deep insets of ragged outlines take
    minutes.
    """
    if shapely.get_num_coordinates(ground) <= _MANY_VERTICES:
        return np.asarray(offset(ground, -depths_m), dtype=object)
    found: list[BaseGeometry] = [ground]
    for step_m in np.diff(depths_m, prepend=0.0):
        found.append(offset(found[-1], -step_m))
    return np.array(found[1:], dtype=object)


def band_about(lines: npt.NDArray[np.object_], width_m: float) -> npt.NDArray[np.object_]:
    """The mitred strips of that width about lines, cut square at their ends."""
    bands = np.empty(len(lines), dtype=object)
    straight = shapely.get_num_coordinates(lines) == 2
    ends = shapely.get_coordinates(lines[straight]).reshape(-1, 2, 2)
    along = ends[:, 1] - ends[:, 0]
    half = np.array([-along[:, 1], along[:, 0]]).T * (width_m / 2 / np.hypot(*along.T))[:, None]
    corners = np.stack([ends[:, 0] - half, ends[:, 1] - half, ends[:, 1] + half, ends[:, 0] + half], axis=1)
    bands[straight] = shapely.polygons(corners)
    bands[~straight] = offset(lines[~straight], width_m / 2)
    return bands


@np.errstate(
    divide="ignore", invalid="ignore"
)  # the library divides by zero where lines are parallel, and then sees that they are
def offset(geometry: Any, distance_m: Any) -> Any:
    """Geometries grown or shrunk with mitred corners, lines cut square at their ends."""
    return shapely.buffer(
        geometry, distance_m, cap_style="flat", join_style="mitre", mitre_limit=MITRE_LIMIT
    )


def polygons_of(geometry: BaseGeometry) -> MultiPolygon:
    """The polygons in any geometry, as one multipolygon; lines and points are left out."""
    if isinstance(geometry, MultiPolygon):
        return geometry
    if isinstance(geometry, Polygon):
        return MultiPolygon([] if geometry.is_empty else [geometry])
    parts = [part for part in shapely.get_parts(geometry) if isinstance(part, Polygon | MultiPolygon)]
    return MultiPolygon([p for part in parts for p in shapely.get_parts(part) if not p.is_empty])
