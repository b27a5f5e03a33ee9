"""How steep a field is, from heights."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.model.coverage import BoolArray
from fieldplan.model.relief import SLOPE_CLASSES_FRAC, Relief
from fieldplan.plane.offsets import polygons_of
from fieldplan.terrain.heights import Heights


def relief_of(heights: Heights, ground: MultiPolygon, convergence_deg: float, file: str) -> Relief | None:
    """The slope of a field at the nodes on its ground; ``None`` where no slope is known.

    Parameters
    ----------
    ground
        In the plane of the heights.
    convergence_deg
        True azimuth of grid north.
    file
        Name of the file of heights.
    """
    x, y = np.meshgrid(heights.x_m, heights.y_m)
    inside = shapely.contains_xy(ground, x, y)
    if inside.any():
        gradient = heights.gradient[:, inside]
    else:  # a field between nodes: the slope in its middle
        middle = ground.representative_point()
        gradient = heights.gradient_at(np.array([[middle.x, middle.y]])).T
    known = np.isfinite(gradient).all(axis=0)
    if not known.any():
        return None
    east, north = gradient[:, known]
    slope = np.hypot(east, north)
    fall_deg = math.degrees(math.atan2(-east.mean(), -north.mean())) + convergence_deg
    return Relief(
        file=file,
        cell_m=heights.cell_m,
        known_frac=float(known.mean()),
        median_frac=float(np.median(slope)),
        p90_frac=float(np.quantile(slope, 0.9)),
        over_frac=tuple(float((slope > limit).mean()) for limit in SLOPE_CLASSES_FRAC),
        surface_frac=float(np.sqrt(1 + slope**2).mean() - 1),
        fall_deg=fall_deg % 360.0,
    )


def steep_ground(heights: Heights, ground: MultiPolygon) -> tuple[MultiPolygon, ...]:
    """The ground steeper than each of `SLOPE_CLASSES_FRAC`, drawn as the squares about its nodes."""
    return tuple(ground_over(heights, limit, ground) for limit in SLOPE_CLASSES_FRAC)


def ground_over(heights: Heights, slope_frac: float, ground: MultiPolygon) -> MultiPolygon:
    """The ground steeper than a slope, drawn as the squares about its nodes."""
    with np.errstate(invalid="ignore"):
        return _squares(heights, heights.slope_frac > slope_frac, ground)


def _squares(heights: Heights, which: BoolArray, ground: MultiPolygon) -> MultiPolygon:
    """The ground within squares about nodes: first joined along rows, since there may be many."""
    edges = np.diff(np.pad(which, ((0, 0), (1, 1))).astype(int), axis=1)
    row, since = (edges == 1).nonzero()
    _, until = (edges == -1).nonzero()
    half = heights.cell_m / 2
    west, east = heights.x_m[since] - half, heights.x_m[until - 1] + half
    strips = shapely.box(west, heights.y_m[row] - half, east, heights.y_m[row] + half)
    return polygons_of(shapely.intersection(shapely.union_all(strips), ground))
