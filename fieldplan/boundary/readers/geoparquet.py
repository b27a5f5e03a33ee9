"""GeoParquet, read with geopandas and pyarrow, because fiona and pyogrio come without the driver."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
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
from fieldplan.boundary.readers.binary import Read, holds_curves, read_rows
from fieldplan.boundary.readers.curves import STRAIGHTENED
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
    odd: Mapping[int, Read] = {}
    try:
        frame = geopandas.read_parquet(path)
        is_plain = not any(map(holds_curves, frame.geometry.dropna()))
    except (NotImplementedError, shapely.errors.GEOSException):
        is_plain = False
    if not is_plain:
        plain, odd = _made_plain(path)
        frame = geopandas.read_parquet(plain)
    crs, statement = declared_crs(None if frame.crs is None else frame.crs.to_wkt())
    others = {str(other) for other in json.loads(head.metadata[b"geo"])["columns"]} - {frame.geometry.name}
    features = tuple(
        replace(feature, unreadable=odd[n].unreadable or "", ring_unclosed=odd[n].unclosed)
        if n in odd
        else feature
        for n, feature in enumerate(features_of(frame.drop(columns=list(others))))
    )
    yield Layer(
        name=name,
        crs=crs,
        crs_statement=statement,
        features=features,
        remarks=(
            *remark_on_others(str(frame.geometry.name), others),
            *((STRAIGHTENED,) if any(read.curved for read in odd.values()) else ()),
        ),
        losses=tuple(_losses(head, frame, sum(read.geometry is None for read in odd.values()))),
    )


def remark_on_others(name: str, others: Iterable[str]) -> tuple[Fact, ...]:
    """The remark that a file has other columns of geometries besides the one that is read; none if it has none."""
    others = tuple(sorted(others))
    return (fact("other-geometries", name=name, others=others),) if others else ()


def _made_plain(path: Path) -> tuple[Any, Mapping[int, Read]]:
    """The file with straight edges and without what cannot be read, and the rows that are otherwise than they were."""
    import pyarrow as pa
    from pyarrow import parquet

    table = parquet.read_table(path)
    at = table.schema.get_field_index(str(json.loads(table.schema.metadata[b"geo"])["primary_column"]))
    rows = read_rows(table.column(at).to_pylist())
    odd = {n: read for n, read in enumerate(rows) if read.curved or read.unclosed or read.unreadable}
    shapes = shapely.to_wkb(np.array([read.geometry for read in rows], dtype=object))
    plain = BytesIO()
    field = table.schema.field(at).with_type(pa.binary())
    parquet.write_table(table.set_column(at, field, pa.array(list(shapes), pa.binary())), plain)
    return plain, odd


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
