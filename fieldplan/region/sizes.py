"""How large the outlines of a file are, about: enough to tell what share of a file's ground a sample holds."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice
from typing import Any

import numpy as np
import shapely
from pyproj import CRS

from fieldplan.model.coverage import Array
from fieldplan.region.dataset import Dataset

LARGEST_M2 = 5e7
"""What is drawn larger than this is no field but a slip, and must not weigh like hundreds of fields."""
_DEGREE_M = 111_195.0
_AT_ONCE = 5_000


def sizes_m2(dataset: Dataset) -> Array:
    """About the area of each row's outline in m², (n,), as the file draws it; 0 without one.

    Longitudes are shortened by the cosine of the latitude. Nothing is repaired: what counts is the share of all.
    """
    sizes = np.zeros(sum(dataset.groups))
    features = dataset.features(np.arange(len(sizes)))
    while some := list(islice(features, _AT_ONCE)):
        for number, layer in enumerate(dataset.layers):
            rows = np.array([row for row, of, _ in some if of == number], dtype=np.int64)
            sizes[rows] = _areas_m2([one.geometry for _, of, one in some if of == number], layer.crs)
    return sizes


def _areas_m2(outlines: Sequence[Any], crs: CRS | None) -> Array:
    grounds = np.array(outlines, dtype=object)
    if not len(grounds):
        return np.zeros(0)
    with np.errstate(invalid="ignore", over="ignore"):
        area = np.abs(shapely.area(grounds))
        if crs is not None and crs.is_geographic:
            south, north = shapely.bounds(grounds)[:, [1, 3]].T
            area *= _DEGREE_M**2 * np.maximum(np.cos(np.radians((south + north) / 2)), 0.0)
        elif crs is not None:
            area *= float(crs.axis_info[0].unit_conversion_factor) ** 2 if crs.axis_info else 1.0
    return np.asarray(np.where(np.isfinite(area), np.minimum(area, LARGEST_M2), 0.0))
