"""GeoParquet, read with geopandas and pyarrow, because fiona and pyogrio come without the driver."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from fieldplan.boundary.guard import (
    BOUNDARY_FILE,
    LARGEST_UNPACKED_BYTES,
    MAX_FEATURES,
)
from fieldplan.boundary.layer import Layer, declared_crs
from fieldplan.boundary.source import features_of
from fieldplan.errors import BoundaryError, MissingExtra, Problem, problem
from fieldplan.facts import fact
from fieldplan.files import opened


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a GeoParquet file."""
    del folder, encoding
    import geopandas

    try:
        from pyarrow import parquet
    except ImportError:
        raise MissingExtra.named("scale", fact("extra-for/geoparquet")) from None
    opened(path, BOUNDARY_FILE).close()
    head = parquet.ParquetFile(path).metadata
    unpacked = sum(head.row_group(i).total_byte_size for i in range(head.num_row_groups))
    if unpacked > LARGEST_UNPACKED_BYTES or head.num_rows > MAX_FEATURES:
        raise BoundaryError.of("file-too-large/unpacked", unpacked_bytes=unpacked, n_rows=head.num_rows)
    if b"geo" not in (head.metadata or {}):
        raise BoundaryError.of("format-unknown/parquet")
    try:
        frame = geopandas.read_parquet(path)
    except NotImplementedError:
        raise BoundaryError.of("curves-unread") from None
    crs, statement = declared_crs(None if frame.crs is None else frame.crs.to_wkt())
    features, losses = tuple(features_of(frame)), tuple(_losses(head, frame))
    yield Layer(name=name, crs=crs, crs_statement=statement, features=features, losses=losses)


def _losses(head: Any, frame: Any) -> Iterator[Problem]:
    """What the file says it has and was not read: rows, and rows with a geometry."""
    if head.num_rows != len(frame):
        yield problem("features-lost/rows-read", n_stated=head.num_rows, n_read=len(frame))
    nulls = 0
    for group in (head.row_group(i) for i in range(head.num_row_groups)):
        columns = [group.column(i) for i in range(group.num_columns)]
        of_geometry = next(
            (column for column in columns if column.path_in_schema == frame.geometry.name), None
        )
        statistics = None if of_geometry is None else of_geometry.statistics
        if statistics is None or not statistics.has_null_count:
            return
        nulls += statistics.null_count
    missing = int(frame.geometry.isna().sum())
    if missing > nulls:
        yield problem("features-lost/without-geometry", n_stated=nulls, n_held=missing)
