"""Outlines of a column of GeoParquet: as well-known binary, or as lists of places in the encodings of GeoArrow."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

BINARY = "WKB"
AS_LISTS = ("point", "linestring", "polygon", "multipoint", "multilinestring", "multipolygon")
"""The encodings of GeoParquet 1.1 besides well-known binary."""


def shapes_in(column: Any, encoding: str) -> list[BaseGeometry | None]:
    """The geometries of a column of some rows; ``None`` where there is none or it cannot be read.

    Parameters
    ----------
    column
        An Arrow array.
    encoding
        As the file names it.
    """
    return _of_binary(column.to_pylist()) if encoding.upper() == BINARY else _of_lists(column, encoding)


def _of_binary(binary: Sequence[bytes | None]) -> list[BaseGeometry | None]:
    try:
        return list(shapely.from_wkb(np.array(binary, dtype=object), on_invalid="ignore"))
    except NotImplementedError:  # a kind that the library does not know, such as curves: row by row, then
        return [None] if len(binary) == 1 else [shape for one in binary for shape in _of_binary([one])]


def _of_lists(column: Any, encoding: str) -> list[BaseGeometry | None]:
    import geopandas
    import pyarrow as pa

    named = {b"ARROW:extension:name": f"geoarrow.{encoding}".encode()}
    table = pa.table([column], schema=pa.schema([pa.field("outline", column.type, metadata=named)]))
    return list(geopandas.GeoDataFrame.from_arrow(table).geometry)
