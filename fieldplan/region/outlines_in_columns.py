"""Outlines of a column of GeoParquet: as well-known binary, or as lists of places in the encodings of GeoArrow."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

import shapely

from fieldplan.boundary.readers.binary import NOT_A_GEOMETRY, Read, read_rows
from fieldplan.errors import BoundaryError

BINARY = "WKB"
AS_LISTS = ("point", "linestring", "polygon", "multipoint", "multilinestring", "multipolygon")
"""The encodings of GeoParquet 1.1 besides well-known binary."""
_OTHER_TYPES = (AttributeError, TypeError, NotImplementedError)
_NO_RINGS = (ValueError, IndexError, shapely.errors.ShapelyError)
"""What the library raises for columns of other types, and for places that make no rings (in one layout, for none)."""


def require_outlines(kind: Any, encoding: str) -> None:
    """Refuse a type of columns that holds no outlines as a file says it does.

    Parameters
    ----------
    kind
        An Arrow type.
    encoding
        As the file names it.

    Raises
    ------
    BoundaryError
        If it is such a type.
    """
    import pyarrow as pa

    try:
        if encoding.upper() != BINARY:
            with suppress(*_NO_RINGS):
                _read_lists(pa.array([], kind), encoding)
        elif not _is_of_bytes(kind.value_type if pa.types.is_dictionary(kind) else kind):
            raise TypeError
    except _OTHER_TYPES:
        raise BoundaryError.of("parquet-encoding", encoding=str(kind)) from None


def _is_of_bytes(kind: Any) -> bool:
    """Whether values of a type are bytes, or texts that may spell them in hexadecimal digits."""
    from pyarrow import types

    tests = (types.is_binary, types.is_large_binary, types.is_fixed_size_binary, types.is_binary_view)
    of_text = (types.is_string, types.is_large_string, types.is_string_view, types.is_null)
    return any(is_such(kind) for is_such in (*tests, *of_text))


def shapes_in(column: Any, encoding: str) -> list[Read]:
    """The geometries of a column of some rows.

    Parameters
    ----------
    column
        An Arrow array, of a type that holds outlines.
    encoding
        As the file names it.
    """
    if encoding.upper() == BINARY:
        return read_rows(column.to_pylist())
    try:
        return _read_lists(column, encoding)
    except _NO_RINGS:  # a ring is none: row by row, then
        return [_read_list(column.slice(n, 1), encoding) for n in range(len(column))]


def _read_list(row: Any, encoding: str) -> Read:
    try:
        return _read_lists(row, encoding)[0]
    except _NO_RINGS:
        return Read(geometry=None, unreadable=NOT_A_GEOMETRY if row[0].is_valid else None)


def _read_lists(column: Any, encoding: str) -> list[Read]:
    import geopandas
    import pyarrow as pa

    named = {b"ARROW:extension:name": f"geoarrow.{encoding}".encode()}
    table = pa.table([column], schema=pa.schema([pa.field("outline", column.type, metadata=named)]))
    return [Read(geometry=shape) for shape in geopandas.GeoDataFrame.from_arrow(table).geometry]
