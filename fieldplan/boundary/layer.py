"""Layers and features as a file has them, before they are checked."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NoReturn

import numpy as np
import numpy.typing as npt
import shapely
from pyproj import CRS
from pyproj.exceptions import CRSError
from shapely.geometry.base import BaseGeometry

from fieldplan.errors import Problem
from fieldplan.facts import Fact, fact


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """One feature of a layer.

    Parameters
    ----------
    geometry
        In the coordinates of the file; ``None`` if it has none or it could not be read.
    ring_unclosed
        A ring that the file left open was closed.
    unreadable
        Why the geometry in the file could not be read: a fact or the words of a library; else empty.
    remarks
        What the reader had to do to it, where the remarks of its layer do not say so: that one is not read as a whole.
    """

    attributes: Mapping[str, Any]
    geometry: BaseGeometry | None
    ring_unclosed: bool = False
    unreadable: Fact | str = ""
    remarks: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of a file.

    Parameters
    ----------
    crs
        The declared reference system; ``None`` if none is declared or it is not known.
    crs_statement
        What the file says instead, if ``crs`` is ``None``.
    remarks
        What the reader had to do to the file, under the codes of their notes.
    losses
        What the file says it has and does not: it is refused, unless the user asks for what is left.
    """

    name: str
    crs: CRS | None
    features: tuple[Feature, ...]
    crs_statement: Fact | None = None
    remarks: tuple[Fact, ...] = ()
    losses: tuple[Problem, ...] = ()


class MisspelledError(Exception):
    """A file or geometry does not follow the standard of its format.

    Parameters
    ----------
    why
        What is wrong with it.
    """

    def __init__(self, why: Fact) -> None:
        super().__init__(why)
        self.why = why


_ELSEWHERE = re.compile(
    r"geoidgrids|PROJ4_GRIDS|PARAMETERFILE|nadgrids\s*=\s*(?!@null)|init\s*=\s*(?!epsg:\d)", re.IGNORECASE
)
_NOT_A_GEOMETRY = (
    shapely.errors.ShapelyError,
    ValueError,
    TypeError,
    AttributeError,
    IndexError,
    OverflowError,
)
"""What numbers and lists raise that are not the coordinates they should be."""
MAX_NESTED = 10
MAX_IN_POSITION = 4
"""Numbers in a position: x, y, a height and a measure."""


def declared_crs(text: str | None) -> tuple[CRS | None, Fact | None]:
    """The reference system that a file declares.

    Parameters
    ----------
    text
        A code, a name or WKT, as the file has it.

    Returns
    -------
    tuple
        The system and ``None``; or ``None`` and what the file says instead. A statement that points to
        another file is never followed.

    Examples
    --------
    >>> declared_crs("EPSG:4326")[0].name
    'WGS 84'
    >>> declared_crs(None)[1].code
    'crs-said/nothing'
    """
    if not text or not text.strip():
        return None, fact("crs-said/nothing")
    if _ELSEWHERE.search(text):
        return None, fact("crs-said/another-file")
    try:
        crs = CRS.from_user_input(text)
    except CRSError:
        return None, fact("crs-said/unknown", name=text.strip()[:60])
    if crs.is_engineering or "undefined" in crs.name.lower():
        return None, fact("crs-said/nowhere", name=crs.name)
    return crs, None


def feature_of(attributes: Mapping[str, Any], geometry: Any, *, nested: int = 0) -> Feature:
    """A feature from a geometry spelled as in GeoJSON, its rings closed where the file left them open.

    A geometry that is not spelled exactly so is unreadable; nothing is guessed.

    Parameters
    ----------
    geometry
        A mapping with ``type`` and ``coordinates`` (or ``geometries``); ``None`` if the feature has none.
    nested
        In how many collections the geometry lies.

    Examples
    --------
    >>> feature_of({}, {"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1]]]}).ring_unclosed
    True
    >>> feature_of({}, {"type": "polygon", "coordinates": []}).unreadable.code
    'misspelt/no-type'
    """
    if geometry is None:
        return Feature(attributes=attributes, geometry=None)
    try:
        kind = geometry["type"]
        if kind == "GeometryCollection":
            return _collection_of(attributes, geometry["geometries"], nested)
        if kind not in ("Polygon", "MultiPolygon"):
            return Feature(attributes=attributes, geometry=_lines_or_points(kind, geometry["coordinates"]))
        polygons = [geometry["coordinates"]] if kind == "Polygon" else geometry["coordinates"]
        rings = [_rings(polygon) for polygon in _listed(polygons)]
        made = [shapely.Polygon(rings_of[0], rings_of[1:]) for rings_of in rings if rings_of]
        unclosed = any((ring[0] != ring[-1]).any() for polygon in rings for ring in polygon)
        return Feature(attributes=attributes, geometry=shapely.MultiPolygon(made), ring_unclosed=unclosed)
    except MisspelledError as problem:
        return Feature(attributes=attributes, geometry=None, unreadable=problem.why)
    except KeyError as problem:
        return Feature(
            attributes=attributes,
            geometry=None,
            unreadable=fact("misspelt/lacks", name=str(problem.args[0])),
        )
    except _NOT_A_GEOMETRY as problem:
        reason = str(problem).strip().splitlines()[0] if str(problem).strip() else type(problem).__name__
        return Feature(attributes=attributes, geometry=None, unreadable=reason)


def _collection_of(attributes: Mapping[str, Any], geometries: Any, nested: int) -> Feature:
    if nested > MAX_NESTED:
        return Feature(attributes=attributes, geometry=None, unreadable=fact("misspelt/too-deep"))
    parts = [feature_of({}, part, nested=nested + 1) for part in _listed(geometries)]
    unreadable = next((part.unreadable for part in parts if part.unreadable), "")
    whole = shapely.GeometryCollection([part.geometry for part in parts if part.geometry is not None])
    unclosed = any(part.ring_unclosed for part in parts)
    return Feature(
        attributes=attributes,
        geometry=None if unreadable else whole,
        ring_unclosed=unclosed,
        unreadable=unreadable,
    )


def _lines_or_points(kind: Any, coordinates: Any) -> BaseGeometry:
    if kind == "Point":
        return shapely.Point(_positions([coordinates])[0]) if len(coordinates) else shapely.Point()
    if kind == "MultiPoint":
        return shapely.MultiPoint(_positions(coordinates) if len(coordinates) else [])
    if kind == "LineString":
        return shapely.LineString(_positions(coordinates)) if len(coordinates) else shapely.LineString()
    if kind == "MultiLineString":
        return shapely.MultiLineString(
            [shapely.LineString(_positions(line)) for line in _listed(coordinates)]
        )
    raise MisspelledError(fact("misspelt/no-type", kind=str(kind)[:40]))


def _rings(polygon: Any) -> list[npt.NDArray[np.float64]]:
    """The rings of a polygon; none if it is empty.

    An empty ring among others is refused: were the outer one dropped, a hole would become the outline.
    """
    if all(len(ring) == 0 for ring in _listed(polygon)):
        return []
    rings = [_positions(ring) for ring in polygon if len(ring) or _refuse(fact("misspelt/empty-ring"))]
    for ring in rings:
        if len(ring) < 3 + int((ring[0] == ring[-1]).all()):
            raise MisspelledError(fact("misspelt/short-ring", n_points=len(ring)))
    return rings


def _listed(value: Any) -> Any:
    return value if isinstance(value, (list, tuple)) else _refuse(fact("misspelt/nesting"))


def _positions(given: Any) -> npt.NDArray[np.float64]:
    """Positions as an array of x and y, shape (n, 2); heights and measures are dropped."""
    try:
        found = np.asarray(given)
    except ValueError:  # some positions with a height and some without
        found = np.array([position[:2] if _are_numbers(position) else [None] for position in given])
    if found.ndim != 2 or not 2 <= found.shape[1] <= MAX_IN_POSITION or found.dtype.kind not in "fiu":
        raise MisspelledError(fact("misspelt/no-pairs"))
    return found[:, :2].astype(float)


def _are_numbers(position: Any) -> bool:
    return 2 <= len(position) <= MAX_IN_POSITION and all(
        isinstance(number, (int, float)) for number in position
    )


def _refuse(why: Fact) -> NoReturn:
    raise MisspelledError(why)
