"""Well-known binary (OGC 06-103r4, chapter 8), a geometry a row: arcs are drawn with short straight edges.

shapely reads straight edges only.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.layer import MAX_NESTED, MisspelledError
from fieldplan.boundary.readers.curves import Arcs, Place, end_to_end
from fieldplan.facts import Fact, fact

_POINT, _LINE, _POLYGON, _ARCS, _COMPOUND, _CURVE_POLYGON = 1, 2, 3, 8, 9, 10
_COLLECTIONS = (4, 5, 6, 7, 11, 12)
"""Of points, lines, polygons, anything, curves and surfaces."""
_FLAGS = (0x80000000, 0x40000000)
"""Heights and measures, as databases mark them; the standard adds thousands to the kind."""
_SYSTEM = 0x20000000
_MORE_NUMBERS = (0, 1, 1, 2)
"""Of each position beside x and y, by the thousands of the kind."""
NOT_A_GEOMETRY = fact("unread/no-geometry")


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """What was read of a row.

    Parameters
    ----------
    geometry
        ``None`` if there is none or it cannot be read.
    unreadable
        Why it cannot be read; ``None`` if it can, or there is none.
    curved
        Arcs of it were drawn as straight edges.
    unclosed
        A ring that was left open was closed.
    """

    geometry: BaseGeometry | None
    unreadable: Fact | None = None
    curved: bool = False
    unclosed: bool = False


def read_rows(binary: Sequence[bytes | None]) -> list[Read]:
    """The geometries of rows; ``None`` stands for a row without one."""
    try:
        shapes = shapely.from_wkb(np.array(binary, dtype=object), on_invalid="ignore")
    except NotImplementedError:  # there are curves: row by row, then
        if len(binary) > 1:
            return [read for one in binary for read in read_rows([one])]
        return [_curved(binary[0] or b"")]
    return [_read(one, shape) for one, shape in zip(binary, shapes, strict=True)]


def _read(binary: bytes | None, shape: BaseGeometry | None) -> Read:
    if binary is None:
        return Read(geometry=None)
    if shape is None:
        return _mended(binary)
    return _curved(binary) if holds_curves(shape) else Read(geometry=shape)


def holds_curves(shape: BaseGeometry) -> bool:
    """Whether a collection has parts that the library does not know: it takes them in, and fails when they are used."""
    if shape.geom_type != "GeometryCollection":
        return False
    try:
        return any(map(holds_curves, shapely.get_parts(shape)))
    except NotImplementedError:
        return True


def _mended(binary: bytes) -> Read:
    """A geometry with its rings closed, if that is all that is wrong with it."""
    shape = shapely.from_wkb(binary, on_invalid="fix")
    if shape is None:
        return Read(geometry=None, unreadable=NOT_A_GEOMETRY)
    return Read(geometry=shape, unclosed=True)


def _curved(binary: bytes) -> Read:
    try:
        return Read(geometry=straightened(binary), curved=True)
    except MisspelledError as misspelled:
        return Read(geometry=None, unreadable=misspelled.why)
    except (ValueError, struct.error, shapely.errors.ShapelyError):
        return Read(geometry=None, unreadable=NOT_A_GEOMETRY)


def straightened(binary: bytes) -> BaseGeometry:
    """A geometry with arcs drawn as edges of `STEP_DEG` degrees each.

    Raises
    ------
    MisspelledError, ValueError, struct.error, shapely.errors.ShapelyError
        If it does not follow the standard.
    """
    source = _Bytes(binary)
    geometry = _geometry(source, 0)
    if source.at < len(binary):
        raise MisspelledError(fact("unread/more-bytes"))
    return geometry


class _Bytes:
    """The numbers of a geometry, taken one after the other."""

    def __init__(self, binary: bytes) -> None:
        self._binary, self.at, self._order = binary, 0, "<"
        self.arcs = Arcs()

    def _take(self, code: str) -> int:
        (number,) = struct.unpack_from(self._order + code, self._binary, self.at)
        self.at += struct.calcsize(self._order + code)
        return int(number)

    def kind(self) -> tuple[int, int]:
        """Take the beginning of a geometry: its kind, and how many numbers its positions have."""
        self._order = "<" if self._take("B") else ">"
        said = self._take("I")
        n_numbers = 2 + sum(1 for flag in _FLAGS if said & flag)
        if said & _SYSTEM:
            self._take("I")
        more, kind = divmod(said & 0x0FFFFFFF, 1000)
        return kind, n_numbers + (_MORE_NUMBERS[more] if more < len(_MORE_NUMBERS) else 0)

    def count(self) -> int:
        """Take the number of parts or positions; what cannot be in what is left of the bytes ends in an error there."""
        return self._take("I")

    def places(self, n: int, n_numbers: int) -> list[Place]:
        """Take so many positions."""
        found = np.frombuffer(self._binary, f"{self._order}f8", n * n_numbers, self.at)
        self.at += found.nbytes
        return [(x, y) for x, y in found.reshape(n, n_numbers)[:, :2].tolist()]


def _geometry(source: _Bytes, nested: int) -> BaseGeometry:
    if nested > MAX_NESTED:
        raise MisspelledError(fact("misspelt/too-deep"))
    kind, n_numbers = source.kind()
    if kind in (_LINE, _ARCS, _COMPOUND):
        return shapely.LineString(_line(source, kind, n_numbers, nested))
    if kind in (_POLYGON, _CURVE_POLYGON):
        rings = list(_rings(source, kind, n_numbers, nested))
        return shapely.Polygon(rings[0], rings[1:]) if rings else shapely.Polygon()
    if kind == _POINT:
        return shapely.Point(source.places(1, n_numbers)[0])
    if kind in _COLLECTIONS:
        return shapely.GeometryCollection([_geometry(source, nested + 1) for _ in range(source.count())])
    raise MisspelledError(fact("misspelt/curve", kind=str(kind)))


def _rings(source: _Bytes, kind: int, n_numbers: int, nested: int) -> Iterator[list[Place]]:
    for _ in range(source.count()):
        yield (
            source.places(source.count(), n_numbers)
            if kind == _POLYGON
            else _line(source, *source.kind(), nested + 1)
        )


def _line(source: _Bytes, kind: int, n_numbers: int, nested: int) -> list[Place]:
    if nested > MAX_NESTED:
        raise MisspelledError(fact("misspelt/too-deep"))
    if kind == _COMPOUND:
        return end_to_end([_line(source, *source.kind(), nested + 1) for _ in range(source.count())])
    if kind not in (_LINE, _ARCS):
        raise MisspelledError(fact("curve/no-ring", kind=str(kind)))
    places = source.places(source.count(), n_numbers)
    return source.arcs.along(places) if kind == _ARCS and places else places
