"""Heights on a square grid in the plane of a field, and what follows from them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fieldplan.model.coverage import Array

_SIGMAS = 3


@dataclass(frozen=True)
class Heights:
    """Heights at the nodes of a square grid.

    Parameters
    ----------
    west_m, south_m
        Where the first node lies, plane meters.
    cell_m
        Distance between nodes.
    z_m
        (rows, columns) meters; rows run north. NaN where the height is not known.
    """

    west_m: float
    south_m: float
    cell_m: float
    z_m: Array

    @property
    def x_m(self) -> Array:
        """Places of the columns, (columns,)."""
        return np.asarray(self.west_m + self.cell_m * np.arange(self.z_m.shape[1], dtype=np.float64))

    @property
    def y_m(self) -> Array:
        """Places of the rows, (rows,)."""
        return np.asarray(self.south_m + self.cell_m * np.arange(self.z_m.shape[0], dtype=np.float64))

    def at(self, points: Array) -> Array:
        """Heights at points, (n, 2), by bilinear interpolation: (n,), NaN where they are not known."""
        return _interpolated(self.z_m, self._places(points))

    @cached_property
    def gradient(self) -> Array:
        """Rise to the east and to the north, (2, rows, columns), after Horn; NaN at nodes that are unknown, or have an unknown neighbor.

        With the heights a b c / d e f / g h i about a node, north up: ((c + 2f + i) − (a + 2d + g))/8w to the east,
        ((a + 2b + c) − (g + 2h + i))/8w to the north (B. K. P. Horn, Hill shading and the reflectance map, Proc. IEEE
        69(1), 1981).
        """
        z = np.pad(self.z_m, 1, constant_values=np.nan)
        south, middle, north = z[:-2], z[1:-1], z[2:]
        columns = south + 2 * middle + north
        east = columns[:, 2:] - columns[:, :-2]
        rows = z[:, :-2] + 2 * z[:, 1:-1] + z[:, 2:]
        gradient = np.stack([east, rows[2:] - rows[:-2]]) / (8 * self.cell_m)
        return np.where(np.isfinite(self.z_m), gradient, np.nan)

    @property
    def slope_frac(self) -> Array:
        """Slope at the nodes, rise over run, (rows, columns)."""
        return np.asarray(np.hypot(*self.gradient))

    def gradient_at(self, points: Array) -> Array:
        """Rise to the east and to the north at points, (n, 2) both."""
        places = self._places(points)
        return np.stack([_interpolated(part, places) for part in self.gradient], axis=1)

    def smoothed(self, sigma_m: float) -> Heights:
        """The same with heights averaged about each node by a bell curve; what is not known does not count.

        A sum of known heights, weighed, is divided by the same sum of weights.
        """
        known = np.isfinite(self.z_m)
        weighed = _spread(np.where(known, self.z_m, 0.0), sigma_m / self.cell_m)
        weights = _spread(known.astype(float), sigma_m / self.cell_m)
        z_m = np.where(known, weighed / np.maximum(weights, 1e-12), np.nan)
        return Heights(self.west_m, self.south_m, self.cell_m, z_m)

    def _places(self, points: Array) -> Array:
        return np.asarray((points - (self.west_m, self.south_m)) / self.cell_m)


def _interpolated(values: Array, places: Array) -> Array:
    """Values between the four nodes about each place, (n, 2) columns and rows; NaN outside."""
    rows, columns = values.shape
    beyond = (places < 0) | (places > (columns - 1, rows - 1))
    inside = ~np.asarray(beyond.any(axis=1))
    kept = np.where(inside[:, None], places, 0.0)
    column = np.clip(kept[:, 0].astype(int), 0, max(columns - 2, 0))
    row = np.clip(kept[:, 1].astype(int), 0, max(rows - 2, 0))
    u, v = kept[:, 0] - column, kept[:, 1] - row
    if min(rows, columns) < 2:
        return np.full(len(places), np.nan)
    south = values[row, column] * (1 - u) + values[row, column + 1] * u
    north = values[row + 1, column] * (1 - u) + values[row + 1, column + 1] * u
    return np.where(inside, south * (1 - v) + north * v, np.nan)


def _spread(values: Array, sigma: float) -> Array:
    """Values averaged by a bell curve along rows and columns."""
    reach = int(np.ceil(_SIGMAS * sigma))
    steps = np.arange(-reach, reach + 1)
    kernel = np.exp(-(steps**2) / (2 * sigma**2)) if sigma > 0 else np.ones(1)
    kernel /= kernel.sum()
    for axis in (0, 1):
        values = np.apply_along_axis(np.convolve, axis, values, kernel, mode="full")
        values = np.take(values, range(reach, values.shape[axis] - reach), axis=axis)
    return values
