"""Offsets of polygons with mitered corners."""

from __future__ import annotations

import math
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
_STEP_EDGES, _LONGEST_STEP_M = 0.7, 3.0
"""Outlines with more vertices are inset in steps no deeper than so many of their edges are long on average."""
_FIRST_STEP, _LONGER, _THINNED_M, _STEP_QUARTER = 0.7, 1.5, 0.005, 8
"""With round corners the first step is this share of that, and each next one so many times as long."""
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
    """The same: rounds, passes and the room to turn in ask for it again and again.

    On outlines with many vertices each inset is made in steps from those before: an inset much deeper than edges
    are long crosses itself at every edge, and takes minutes.
    """
    step_m = _step_m(ground)
    if depth_m <= step_m:
        return polygons_of(offset(ground, -depth_m))
    n_steps = math.ceil(depth_m / step_m) - 1
    return polygons_of(offset(_in_steps(ground, step_m, n_steps), n_steps * step_m - depth_m))


def _step_m(ground: Polygon | MultiPolygon) -> float:
    """How deep an inset may be that is made in one step."""
    n = shapely.get_num_coordinates(ground)
    return math.inf if n <= _MANY_VERTICES else min(_STEP_EDGES * ground.length / n, _LONGEST_STEP_M)


def _in_steps(ground: Polygon | MultiPolygon, step_m: float, n_steps: int) -> Polygon | MultiPolygon:
    """The ground inset by so many steps, one at least."""
    found = _steps_known(ground)
    for k in range(n_steps):
        if k not in found:
            found[k] = polygons_of(offset(found[k - 1] if k else ground, -step_m))
    return found[n_steps - 1]


@lru_cache(maxsize=8)
def _steps_known(_: Polygon | MultiPolygon) -> dict[int, MultiPolygon]:
    """The insets of a ground by step, as far as they were asked for: threads may ask at one time."""
    return {}


def insets(ground: MultiPolygon, depths_m: npt.NDArray[np.float64]) -> npt.NDArray[np.object_]:
    """The ground inset to several depths.

    Parameters
    ----------
    depths_m
        (n,) depths in rising order.

    Returns
    -------
    array of geometries
        (n,) polygons or multipolygons; empty where nothing is left.
    """
    return np.array([_inset(ground, depth_m) for depth_m in depths_m.tolist()], dtype=object)


@lru_cache(maxsize=8)
def rounded_inset(ground: MultiPolygon, depth_m: float, quad_segs: int) -> BaseGeometry:
    """The ground farther than ``depth_m`` from every edge, round corners that point into it.

    On outlines with many vertices it is made in steps, each longer than the one before, and lies up to
    `_THINNED_M` a step deeper: arcs as short as edges are thinned to that.
    """
    step_m, done_m = _step_m(ground) * _FIRST_STEP, 0.0
    found: BaseGeometry = ground
    while depth_m - done_m > step_m:
        found = shapely.buffer(found, -(step_m + _THINNED_M), quad_segs=_STEP_QUARTER)
        found = shapely.simplify(found, _THINNED_M)
        step_m, done_m = step_m * _LONGER, done_m + step_m
    return shapely.buffer(found, done_m - depth_m, quad_segs=quad_segs)


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
        # half as long as to make rings first, and polygons of those
        offsets = rings.first, np.arange(len(rings.first))
        bands[plain] = shapely.from_ragged_array(shapely.GeometryType.POLYGON, rings.points, offsets)
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
