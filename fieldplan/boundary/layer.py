"""Layers and features as they stand in a file, before anything is judged."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from pyproj import CRS
from pyproj.exceptions import CRSError
from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """One feature. ``unreadable`` says why a geometry that stands in the file could not be read."""

    attributes: Mapping[str, Any]
    geometry: BaseGeometry | None
    ring_unclosed: bool = False
    unreadable: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer.

    ``crs`` is ``None`` if none is declared or it is not known; ``crs_said`` then says which. ``remarks`` tell what the
    reader had to do to the file, as pairs of note code and sentence.
    """

    name: str
    crs: CRS | None
    features: tuple[Feature, ...]
    crs_said: str = ""
    remarks: tuple[tuple[str, str], ...] = ()


_ELSEWHERE = re.compile(r"geoidgrids|PROJ4_GRIDS|PARAMETERFILE|nadgrids\s*=\s*(?!@null)|init\s*=\s*(?!epsg:\d)", re.IGNORECASE)
MOST_NESTED = 10


def declared_crs(text: str | None) -> tuple[CRS | None, str]:
    """The reference system that a file declares, or ``None`` and what was said instead."""
    if not text or not text.strip():
        return None, "declares no reference system"
    if _ELSEWHERE.search(text):
        return None, "declares a reference system that points at another file, which is not opened"
    try:
        crs = CRS.from_user_input(text)
    except CRSError:
        return None, f'declares the reference system "{text.strip()[:60]}", which is not known'
    if crs.is_engineering or "undefined" in crs.name.lower():
        return None, f'declares the reference system "{crs.name}", which names no place on Earth'
    return crs, ""


def feature_of(attributes: Mapping[str, Any], geometry: Any, *, nested: int = 0) -> Feature:
    """A feature whose geometry is given as GeoJSON spells it, rings closed where the file left them open."""
    if geometry is None:
        return Feature(attributes=attributes, geometry=None)
    try:
        if geometry["type"] == "GeometryCollection":
            return _collection_of(attributes, geometry["geometries"], nested)
        polygons = _POLYGONS.get(geometry["type"])
        if polygons is None:
            return Feature(attributes=attributes, geometry=shapely.geometry.shape(geometry))
        rings = [[_positions(ring) for ring in polygon if len(ring)] for polygon in polygons(geometry["coordinates"])]
        made = [shapely.Polygon(rings_of[0], rings_of[1:]) for rings_of in rings if rings_of]
        unclosed = any((ring[0] != ring[-1]).any() for polygon in rings for ring in polygon)
        return Feature(attributes=attributes, geometry=shapely.MultiPolygon(made), ring_unclosed=unclosed)
    except (shapely.errors.ShapelyError, ValueError, TypeError, KeyError, AttributeError, IndexError, OverflowError) as problem:
        reason = str(problem).strip().splitlines()[0] if str(problem).strip() else type(problem).__name__
        return Feature(attributes=attributes, geometry=None, unreadable=reason)


def _collection_of(attributes: Mapping[str, Any], geometries: Any, nested: int) -> Feature:
    if nested > MOST_NESTED:
        return Feature(attributes=attributes, geometry=None, unreadable="collections nested too deep")
    parts = [feature_of({}, one, nested=nested + 1) for one in geometries]
    unreadable = next((part.unreadable for part in parts if part.unreadable), "")
    whole = shapely.GeometryCollection([part.geometry for part in parts if part.geometry is not None])
    unclosed = any(part.ring_unclosed for part in parts)
    return Feature(attributes=attributes, geometry=None if unreadable else whole, ring_unclosed=unclosed, unreadable=unreadable)


def _positions(ring: Any) -> npt.NDArray[np.float64]:
    try:
        return np.asarray(ring, dtype=float)[:, :2]
    except ValueError:  # some positions with a height and some without
        return np.array([position[:2] for position in ring], dtype=float)


_POLYGONS: dict[str, Callable[[Any], Any]] = {"Polygon": lambda rings: [rings], "MultiPolygon": lambda polygons: polygons}
"""Built straight from arrays: a hundred times quicker than vertex by vertex, which counts at a million of them."""
