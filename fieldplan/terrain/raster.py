"""Heights from a GeoTIFF, by a window about a field."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError
from shapely import MultiPolygon

from fieldplan.errors import InputError, MissingExtra
from fieldplan.facts import fact
from fieldplan.files import Purpose, opened
from fieldplan.model.coverage import Array
from fieldplan.plane.frame import Frame
from fieldplan.terrain.heights import Heights
from fieldplan.units import FOOT_M

if TYPE_CHECKING:
    from rasterio.io import DatasetReader

ELEVATION = Purpose(code="elevation", what=fact("called/elevation"), max_bytes=64 * 1024**3)
LEAST_CELL_M = 3.0
"""Finer heights are averaged to this: slope of 1 m cells is mostly noise."""
MARGIN_CELLS = 8
MAX_CELLS = 4_000_000
"""A field with more cells is looked at on a coarser grid."""
HIGHEST_M = 9_000.0
_SURVEY_FOOT_M = 1200 / 3937
_UNITS_M = {
    "": 1.0,
    "m": 1.0,
    "metre": 1.0,
    "meter": 1.0,
    "metres": 1.0,
    "meters": 1.0,
    "ft": FOOT_M,
    "foot": FOOT_M,
    "feet": FOOT_M,
    "us survey foot": _SURVEY_FOOT_M,
    "us-ft": _SURVEY_FOOT_M,
    "ftus": _SURVEY_FOOT_M,
}


def heights_about(path: Path, ground: MultiPolygon, frame: Frame) -> Heights:
    """Heights on a square grid in the plane of a field.

    They are interpolated between those of the file at places of the plane, so that degrees and meters, or cells that
    are no squares, do not matter.

    Parameters
    ----------
    path
        A GeoTIFF with one band of heights. Only a window of it is read.
    ground
        The field in the plane of ``frame``.

    Raises
    ------
    InputError
        If it is no GeoTIFF, has no reference system, heights in an unknown unit, or heights that no ground has.
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
            return _window(raster, path, ground, frame)
    except RasterioError as problem:
        raise InputError.of("elevation-unreadable", file=str(path), reason=str(problem)) from None


def _window(raster: DatasetReader, path: Path, ground: MultiPolygon, frame: Frame) -> Heights:
    """The heights of the file near a field, on a grid of the plane."""
    to_file = _to_file(raster, path)
    unit_m = _unit_m(raster, path)
    west, south, east, north = ground.bounds
    native_m = _cell_m(raster, ground, frame, to_file)
    cell_m = max(LEAST_CELL_M, native_m, math.sqrt((east - west) * (north - south) / MAX_CELLS))
    margin_m = MARGIN_CELLS * cell_m
    x = np.arange(west - margin_m, east + margin_m + cell_m, cell_m)
    y = np.arange(south - margin_m, north + margin_m + cell_m, cell_m)
    column, row = _in_file(raster, np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2), frame, to_file)
    averaged = max(1, round(cell_m / max(native_m, 1e-9)))
    values = _read(raster, column, row, averaged)
    z_m = values.reshape(len(y), len(x)) * unit_m
    if np.nanmax(np.abs(z_m), initial=0.0) > HIGHEST_M:
        highest_m = float(np.nanmax(np.abs(z_m)))
        raise InputError.of("elevation-heights", file=str(path), highest_m=highest_m)
    return Heights(float(x[0]), float(y[0]), cell_m, z_m)


def _to_file(raster: DatasetReader, path: Path) -> Transformer:
    """From longitude and latitude to the file's reference system."""
    if raster.crs is None:
        raise InputError.of("elevation-no-crs", file=str(path))
    try:
        crs = CRS.from_wkt(raster.crs.to_wkt())
        flat = crs.sub_crs_list[0] if crs.is_compound else crs
        return Transformer.from_crs(4326, flat, always_xy=True)
    except CRSError as problem:
        raise InputError.of("elevation-no-crs", file=str(path), reason=str(problem)) from None


def _unit_m(raster: DatasetReader, path: Path) -> float:
    """The unit of heights in meters: what the band says, else the vertical part of the reference system, else meters."""
    said = (raster.units[0] or "").strip().casefold()
    if not said:
        crs = CRS.from_wkt(raster.crs.to_wkt())
        vertical = crs.sub_crs_list[1] if crs.is_compound and len(crs.sub_crs_list) > 1 else None
        if vertical is not None and vertical.axis_info:
            return float(vertical.axis_info[0].unit_conversion_factor)
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


def _read(raster: DatasetReader, column: Array, row: Array, averaged: int) -> Array:
    """Heights at places of the file, (n,), between the centers of cells, or of so many averaged each way."""
    from rasterio.windows import Window

    pad = 2 * averaged
    since = np.array([math.floor(column.min()) - pad, math.floor(row.min()) - pad])
    n = np.array([math.ceil(column.max()) + pad, math.ceil(row.max()) + pad]) - since
    n += -n % averaged
    values = np.full(n[::-1], np.nan)
    size = np.array([raster.width, raster.height])
    first, until = np.maximum(since, 0), np.minimum(since + n, size)
    if (first >= until).any():
        return np.full(len(column), np.nan)
    window = Window(int(first[0]), int(first[1]), *map(int, until - first))
    known = raster.read(1, window=window, masked=True).astype(float)
    to = first - since
    inside = slice(to[1], to[1] + known.shape[0]), slice(to[0], to[0] + known.shape[1])
    values[inside] = np.ma.filled(known, np.nan) * raster.scales[0] + raster.offsets[0]
    grid = Heights(0.0, 0.0, 1.0, _averaged(values, averaged))
    return grid.at((np.stack([column, row], axis=1) - since + 0.5) / averaged - 0.5)


def _averaged(values: Array, n: int) -> Array:
    """The means of squares of n × n values, of those that are known."""
    rows, columns = values.shape
    squares = (
        values.reshape(rows // n, n, columns // n, n).transpose(0, 2, 1, 3).reshape(rows // n, -1, n * n)
    )
    known = np.isfinite(squares)
    sums = np.where(known, squares, 0.0).sum(axis=2)
    return np.where(known.any(axis=2), sums / np.maximum(known.sum(axis=2), 1), np.nan)
