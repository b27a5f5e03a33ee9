"""Outlines of a column of GeoParquet: as well-known binary, or as lists of places in the encodings of GeoArrow."""

from __future__ import annotations

from typing import Any

from fieldplan.boundary.readers.binary import Read, read_rows
from fieldplan.errors import BoundaryError

BINARY = "WKB"
AS_LISTS = ("point", "linestring", "polygon", "multipoint", "multilinestring", "multipolygon")
"""The encodings of GeoParquet 1.1 besides well-known binary."""
_NOT_SUCH_LISTS = (AttributeError, TypeError, IndexError, ValueError, NotImplementedError)
"""What the library raises for columns of other types."""


def shapes_in(column: Any, encoding: str) -> list[Read]:
    """The geometries of a column of some rows.

    Parameters
    ----------
    column
        An Arrow array.
    encoding
        As the file names it.

    Raises
    ------
    BoundaryError
        If the column is of a type that holds no such outlines.
    """
    try:
        return read_rows(column.to_pylist()) if encoding.upper() == BINARY else _of_lists(column, encoding)
    except _NOT_SUCH_LISTS:
        raise BoundaryError.of("parquet-encoding", encoding=str(column.type)) from None


def _of_lists(column: Any, encoding: str) -> list[Read]:
    import geopandas
    import pyarrow as pa

    named = {b"ARROW:extension:name": f"geoarrow.{encoding}".encode()}
    table = pa.table([column], schema=pa.schema([pa.field("outline", column.type, metadata=named)]))
    return [Read(geometry=shape) for shape in geopandas.GeoDataFrame.from_arrow(table).geometry]
