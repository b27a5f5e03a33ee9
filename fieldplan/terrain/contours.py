"""Lines of equal height as guides for passes."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact
from fieldplan.model.coverage import Array
from fieldplan.terrain.heights import Heights

SMOOTHED_CELLS = 1.75
"""Heights are averaged by a bell curve so wide before lines are traced: noise and whole meters make steps."""


def contour_through(heights: Heights, place: shapely.Point, ground: BaseGeometry) -> LineString | None:
    """The longest stretch on ground of the line at the height of a place; ``None`` if there is none.

    Traced between nodes by linear interpolation on heights that were smoothed.
    """
    smooth = heights.smoothed(SMOOTHED_CELLS * heights.cell_m)
    (z_m,) = smooth.at(np.array([[place.x, place.y]]))
    if not np.isfinite(z_m):
        return None
    lines = [LineString(points) for points in _traced(smooth, float(z_m)) if len(points) > 1]
    parts = [
        part
        for line in lines
        for part in shapely.get_parts(shapely.intersection(line, ground))
        if isinstance(part, LineString)
    ]
    return max(parts, key=lambda part: part.length, default=None)


def _traced(heights: Heights, z_m: float) -> list[Array]:
    try:
        from contourpy import contour_generator
    except ImportError:
        raise MissingExtra.named("hills", fact("extra-for/contours")) from None
    masked = np.ma.masked_invalid(heights.z_m)
    lines = contour_generator(heights.x_m, heights.y_m, masked).lines(z_m)
    return [np.asarray(line, dtype=np.float64) for line in lines]
