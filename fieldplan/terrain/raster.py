"""Heights from a GeoTIFF, by a window about a field."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError, ProjError
from shapely import MultiPolygon

from fieldplan.errors import InputError, MissingExtra
from fieldplan.facts import fact
from fieldplan.files import Purpose, opened
from fieldplan.model.coverage import Array
from fieldplan.plane.frame import Frame
from fieldplan.terrain.heights import Heights
from fieldplan.units import HEIGHT_UNITS_M

if TYPE_CHECKING:
    from rasterio.io import DatasetReader

ELEVATION = Purpose(code="elevation", what=fact("called/elevation"), max_bytes=64 * 1024**3)
LEAST_CELL_M = 3.0
"""Finer heights are averaged to this: slope of 1 m cells is mostly noise."""
MARGIN_CELLS = 8
MAX_CELLS = 4_000_000
"""A field with more cells is looked at on a coarser grid."""
LOWEST_M, HIGHEST_M = -500.0, 9_000.0
"""No ground lies beyond: cells without a height often hold a number such as -9999 instead."""
FARTHEST_M = 1e6
STEEPEST_FRAC = 1.0
"""A field half of which is steeper is no field: its heights are a picture, or in another unit."""
STRIP_CELLS = 4_000_000
"""Cells of the file in memory at once, about 32 MB."""
_UNITS_M = {
    "": 1.0,
    "m": 1.0,
    "metre": 1.0,
    "meter": 1.0,
    "metres": 1.0,
    "meters": 1.0,
    "ft": HEIGHT_UNITS_M["ft"],
    "foot": HEIGHT_UNITS_M["ft"],
    "feet": HEIGHT_UNITS_M["ft"],
    "us survey foot": HEIGHT_UNITS_M["us-ft"],
    "us-ft": HEIGHT_UNITS_M["us-ft"],
    "ftus": HEIGHT_UNITS_M["us-ft"],
}


def heights_about(path: Path, ground: MultiPolygon, frame: Frame, unit_m: float | None = None) -> Heights:
    """Heights on a square grid in the plane of a field.

    They are interpolated between those of the file at places of the plane, so that degrees and meters, or cells that
    are no squares, do not matter.

    Parameters
    ----------
    path
        A GeoTIFF with one band of heights. Only a window of it is read.
    ground
        The field in the plane of ``frame``.
    unit_m
        Meters of the unit of its heights, if somebody knows; ``None`` to go by the file.

    Raises
    ------
    InputError
        If it is no GeoTIFF of one band, has no reference system, heights in an unknown unit, or heights or slopes that
        no field has.
    MissingExtra
        If the library that reads it is not installed.
    """
    try:
        import rasterio
        from rasterio.errors import RasterioError
    except ImportError:
        raise MissingExtra.named("hills", fact("extra-for/elevation")) from None
    opened(path, ELEVATION).close()  # a regular file, and there
    try:
        # by name of the format: a virtual raster with another ending could point anywhere
        with rasterio.open(path, driver="GTiff") as raster:
            _one_band(raster, path)
            heights = _window(raster, path, ground, frame, unit_m or _unit_m(raster, path))
    except RasterioError as problem:
        raise InputError.of("elevation-unreadable", file=str(path), reason=str(problem)) from None
    if (median_frac := _median_slope_frac(heights, ground)) > STEEPEST_FRAC:
        raise InputError.of("elevation-steep", file=str(path), median_frac=median_frac)
    return heights


def _median_slope_frac(heights: Heights, ground: MultiPolygon) -> float:
    """The median slope in the box about a field; 0 if none is known."""
    west, south, east, north = ground.bounds
    columns = (heights.x_m >= west) & (heights.x_m <= east)
    rows = (heights.y_m >= south) & (heights.y_m <= north)
    slope = heights.slope_frac[np.ix_(rows, columns)]
    return float(np.median(slope[known])) if (known := np.isfinite(slope)).any() else 0.0


def _one_band(raster: DatasetReader, path: Path) -> None:
    """Refuse a picture, or a stack of several grids: the first need not be that of heights."""
    from rasterio.enums import ColorInterp

    n_bands = sum(band != ColorInterp.alpha for band in raster.colorinterp)
    if n_bands != 1:
        raise InputError.of("elevation-bands", file=str(path), n_bands=n_bands)


def _window(
    raster: DatasetReader, path: Path, ground: MultiPolygon, frame: Frame, unit_m: float
) -> Heights:
    """The heights of the file near a field, on a grid of the plane."""
    to_file = _to_file(raster, path)
    west, south, east, north = ground.bounds
    native_m = _cell_m(raster, ground, frame, to_file)
    cell_m = max(LEAST_CELL_M, native_m, math.sqrt((east - west) * (north - south) / MAX_CELLS))
    margin_m = MARGIN_CELLS * cell_m
    x = np.arange(west - margin_m, east + margin_m + cell_m, cell_m)
    y = np.arange(south - margin_m, north + margin_m + cell_m, cell_m)
    column, row = _in_file(raster, np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2), frame, to_file)
    averaged = max(1, round(cell_m / max(native_m, 1e-9)))
    values, least, most = _read(raster, column, row, averaged)
    for height_m in (least * unit_m, most * unit_m):
        if abs(height_m) > FARTHEST_M:  # a number too long to read
            raise InputError.of("elevation-heights/beyond", file=str(path))
        if not LOWEST_M <= height_m <= HIGHEST_M:
            raise InputError.of("elevation-heights", file=str(path), height_m=height_m)
    return Heights(float(x[0]), float(y[0]), cell_m, values.reshape(len(y), len(x)) * unit_m)


def _to_file(raster: DatasetReader, path: Path) -> Transformer:
    """From longitude and latitude to the file's reference system."""
    if raster.crs is None:
        raise InputError.of("elevation-no-crs", file=str(path))
    try:
        crs = CRS.from_wkt(raster.crs.to_wkt())
        flat = crs.sub_crs_list[0] if crs.is_compound else crs
        return Transformer.from_crs(4326, flat, always_xy=True)
    except (CRSError, ProjError) as problem:
        raise InputError.of("elevation-no-crs", file=str(path), reason=str(problem)) from None


def _unit_m(raster: DatasetReader, path: Path) -> float:
    """The unit of heights in meters: what the band says, else the vertical part of the reference system, else meters.

    Where places are in feet, heights that say no unit may be in feet or in meters.
    """
    said = (raster.units[0] or "").strip().casefold()
    if not said and raster.crs is not None:
        crs = CRS.from_wkt(raster.crs.to_wkt())
        vertical = crs.sub_crs_list[1] if crs.is_compound and len(crs.sub_crs_list) > 1 else None
        if vertical is not None and vertical.axis_info:
            return float(vertical.axis_info[0].unit_conversion_factor)
        if any("foot" in axis.unit_name.casefold() for axis in crs.axis_info):
            raise InputError.of("elevation-unit/unsaid", file=str(path), system=crs.name)
    if said not in _UNITS_M:
        raise InputError.of("elevation-unit", file=str(path), unit=said)
    return _UNITS_M[said]


def _in_file(
    raster: DatasetReader, points: Array, frame: Frame, to_file: Transformer
) -> tuple[Array, Array]:
    """Columns and rows, (n,) each, of points of the plane, (n, 2): whole at the centers of cells."""
    x, y = to_file.transform(*frame.points_to_lonlat(points).T)
    inverse: Any = ~raster.transform
    column = inverse.a * x + inverse.b * y + inverse.c
    row = inverse.d * x + inverse.e * y + inverse.f
    return column - 0.5, row - 0.5


def _cell_m(raster: DatasetReader, ground: MultiPolygon, frame: Frame, to_file: Transformer) -> float:
    """The longer side of a cell of the file at a field, in plane meters."""
    center = ground.centroid
    step_m = 100.0
    places = np.array([center.x, center.y]) + np.array([[0.0, 0.0], [step_m, 0.0], [0.0, step_m]])
    column, row = _in_file(raster, places, frame, to_file)
    cells = np.array([[column[1] - column[0], column[2] - column[0]], [row[1] - row[0], row[2] - row[0]]])
    sides_m = step_m * np.hypot(*np.linalg.inv(cells))
    return float(sides_m.max())


def _read(raster: DatasetReader, column: Array, row: Array, averaged: int) -> tuple[Array, float, float]:
    """Heights at places of the file, (n,), between the centers of cells, or of so many averaged each way; and the least
    and the most of all cells about them, 0 if none is known.

    They are read in strips, so that a fine grid needs no more memory than a coarse one.
    """
    pad = 2 * averaged
    since = np.array([math.floor(column.min()) - pad, math.floor(row.min()) - pad])
    n = np.array([math.ceil(column.max()) + pad, math.ceil(row.max()) + pad]) - since
    n += -n % averaged
    means = np.full(n[::-1] // averaged, np.nan)
    least, most = math.inf, -math.inf
    strip = max(1, STRIP_CELLS // (int(n[0]) * averaged)) * averaged
    for top in range(0, int(n[1]), strip):
        cells = _cells(raster, since + np.array([0, top]), np.array([n[0], min(strip, n[1] - top)]))
        if np.isfinite(cells).any():
            least, most = min(least, float(np.nanmin(cells))), max(most, float(np.nanmax(cells)))
            means[top // averaged : (top + len(cells)) // averaged] = _averaged(cells, averaged)
    at = (np.stack([column, row], axis=1) - since + 0.5) / averaged - 0.5
    known = math.isfinite(least)
    return Heights(0.0, 0.0, 1.0, means).at(at), least if known else 0.0, most if known else 0.0


def _cells(raster: DatasetReader, since: Array, n: Array) -> Array:
    """The cells of a window from a column and row on, (rows, columns), in the unit of the file; NaN where there are none."""
    from rasterio.windows import Window

    values = np.full(n[::-1], np.nan)
    first, until = np.maximum(since, 0), np.minimum(since + n, (raster.width, raster.height))
    if (first >= until).any():
        return values
    window = Window(int(first[0]), int(first[1]), *map(int, until - first))
    known = raster.read(1, window=window, masked=True).astype(float)
    to = first - since
    inside = slice(to[1], to[1] + known.shape[0]), slice(to[0], to[0] + known.shape[1])
    values[inside] = np.ma.filled(known, np.nan) * raster.scales[0] + raster.offsets[0]
    return values


def _averaged(values: Array, n: int) -> Array:
    """The means of squares of n × n values, of those that are known."""
    rows, columns = values.shape
    squares = (
        values.reshape(rows // n, n, columns // n, n).transpose(0, 2, 1, 3).reshape(rows // n, -1, n * n)
    )
    known = np.isfinite(squares)
    sums = np.where(known, squares, 0.0).sum(axis=2)
    return np.where(known.any(axis=2), sums / np.maximum(known.sum(axis=2), 1), np.nan)
