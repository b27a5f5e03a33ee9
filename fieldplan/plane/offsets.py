"""Offsets of polygons with mitered corners."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.kernels.mitred import mitred
from fieldplan.plane.chains import chains_of

_MANY_VERTICES = 1000
MITRE_LIMIT = 5.0
"""Longest miter as a multiple of the offset; sharper corners (below 23°) are cut square."""


def inset(ground: Polygon | MultiPolygon, depth_m: float) -> MultiPolygon:
    """The ground farther than ``depth_m`` from every edge, with mitered corners.

    As long as no edge vanishes, the area between two such offsets is exactly their distance times the
    length of the ring half way between them.

    Examples
    --------
    >>> inset(shapely.box(0, 0, 100, 60), 10.0).bounds
    (10.0, 10.0, 90.0, 50.0)
    """
    if depth_m == 0:
        return polygons_of(ground)
    return _inset(ground, float(depth_m))


@lru_cache(maxsize=128)
def _inset(ground: Polygon | MultiPolygon, depth_m: float) -> MultiPolygon:
    """The same: rounds, passes and the room to turn in ask for it again and again."""
    return polygons_of(offset(ground, -depth_m))


def insets(ground: MultiPolygon, depths_m: npt.NDArray[np.float64]) -> npt.NDArray[np.object_]:
    """The ground inset to several depths.

    On outlines with many vertices each inset is made from the one before, as deep insets of ragged outlines
    take minutes.

    Parameters
    ----------
    depths_m
        (n,) depths in rising order.

    Returns
    -------
    array of geometries
        (n,) polygons or multipolygons; empty where nothing is left.
    """
    if shapely.get_num_coordinates(ground) <= _MANY_VERTICES:
        return np.array([_inset(ground, depth_m) for depth_m in depths_m.tolist()], dtype=object)
    found: list[BaseGeometry] = [ground]
    for step_m in np.diff(depths_m, prepend=0.0):
        found.append(offset(found[-1], -step_m))
    return np.array(found[1:], dtype=object)


def band_about(lines: npt.NDArray[np.object_], width_m: float) -> npt.NDArray[np.object_]:
    """Bands of a width along the middle of lines, mitered at bends and cut square at both ends.

    Parameters
    ----------
    lines
        (n,) lines.

    Returns
    -------
    array of geometries
        (n,) bands.
    """
    bands = np.empty(len(lines), dtype=object)
    if len(lines) == 0:
        return bands
    plain, rings = mitred(chains_of(lines), width_m / 2)
    if plain.any():
        ring = np.arange(len(rings.first) - 1).repeat(np.diff(rings.first))
        bands[plain] = shapely.polygons(shapely.linearrings(rings.points, indices=ring))
    if not plain.all():
        bands[~plain] = offset(lines[~plain], width_m / 2)
    return bands


# the library divides by zero where lines are parallel, and then sees that they are
@np.errstate(divide="ignore", invalid="ignore")
def offset(geometry: Any, distance_m: Any) -> Any:
    """Geometries grown, or shrunk by negative distances, with mitered corners; lines are cut square.

    Takes one geometry or an array of them, (n,), and one distance or one for each.
    """
    return shapely.buffer(
        geometry, distance_m, cap_style="flat", join_style="mitre", mitre_limit=MITRE_LIMIT
    )


def polygons_of(geometry: BaseGeometry) -> MultiPolygon:
    """The polygons in any geometry as one multipolygon; lines, points and empty parts are left out."""
    if isinstance(geometry, MultiPolygon):
        return geometry
    if isinstance(geometry, Polygon):
        return MultiPolygon() if geometry.is_empty else shapely.multipolygons([geometry])
    parts = [part for part in shapely.get_parts(geometry) if isinstance(part, Polygon | MultiPolygon)]
    return MultiPolygon([p for part in parts for p in shapely.get_parts(part) if not p.is_empty])
