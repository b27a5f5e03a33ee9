"""GeoParquet, read with geopandas and pyarrow, because fiona and pyogrio come without the driver."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from fieldplan.boundary.guard import (
    BOUNDARY_FILE,
    LARGEST_UNPACKED_BYTES,
    MAX_FEATURES,
)
from fieldplan.boundary.layer import Layer, declared_crs
from fieldplan.boundary.source import features_of
from fieldplan.errors import BoundaryError, MissingExtra, Problem, problem
from fieldplan.facts import Fact, fact
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
    damaged: frozenset[int] = frozenset()
    try:
        frame = geopandas.read_parquet(path)
    except NotImplementedError:
        raise BoundaryError.of("curves-unread") from None
    except shapely.errors.GEOSException:
        sound, damaged = _without_damaged(path)
        frame = geopandas.read_parquet(sound)
    crs, statement = declared_crs(None if frame.crs is None else frame.crs.to_wkt())
    others = {str(other) for other in json.loads(head.metadata[b"geo"])["columns"]} - {frame.geometry.name}
    features = tuple(
        replace(feature, unreadable=fact("unread/no-geometry")) if number in damaged else feature
        for number, feature in enumerate(features_of(frame.drop(columns=list(others))))
    )
    yield Layer(
        name=name,
        crs=crs,
        crs_statement=statement,
        features=features,
        remarks=remark_on_others(str(frame.geometry.name), others),
        losses=tuple(_losses(head, frame, len(damaged))),
    )


def remark_on_others(name: str, others: Iterable[str]) -> tuple[Fact, ...]:
    """The remark that a file has other columns of geometries besides the one that is read; none if it has none."""
    others = tuple(sorted(others))
    return (fact("other-geometries", name=name, others=others),) if others else ()


def _without_damaged(path: Path) -> tuple[Any, frozenset[int]]:
    """The file without the geometries that cannot be read, and the numbers of their rows."""
    import pyarrow as pa
    from pyarrow import parquet

    table = parquet.read_table(path)
    at = table.schema.get_field_index(str(json.loads(table.schema.metadata[b"geo"])["primary_column"]))
    binary = table.column(at).to_pylist()
    shapes = shapely.from_wkb(np.array(binary, dtype=object), on_invalid="ignore")
    pairs = enumerate(zip(binary, shapes, strict=True))
    damaged = frozenset(n for n, (given, shape) in pairs if given is not None and shape is None)
    left = pa.array([None if n in damaged else one for n, one in enumerate(binary)], pa.binary())
    sound = BytesIO()
    parquet.write_table(table.set_column(at, table.schema.field(at).with_type(pa.binary()), left), sound)
    return sound, damaged


def _losses(head: Any, frame: Any, n_damaged: int) -> Iterator[Problem]:
    """What the file says it has and was not read: rows, and rows with a geometry.

    Parameters
    ----------
    n_damaged
        Rows that are known to have a geometry that cannot be read.
    """
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
    missing = int(frame.geometry.isna().sum()) - n_damaged
    if missing > nulls:
        yield problem("features-lost/without-geometry", n_stated=nulls, n_held=missing)
