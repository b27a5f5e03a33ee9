"""GeoParquet through geopandas and pyarrow; neither geographic library at hand has the driver."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from fieldplan.boundary.guard import LARGEST_UNPACKED_BYTES, MOST_FEATURES
from fieldplan.boundary.layer import Feature, Layer, declared_crs
from fieldplan.errors import BoundaryError, MissingExtra


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a GeoParquet file."""
    del kind, folder, encoding
    import geopandas

    try:
        from pyarrow import parquet
    except ImportError:
        raise MissingExtra.named("scale", "Reading GeoParquet") from None
    head = parquet.ParquetFile(path).metadata
    unpacked = sum(head.row_group(i).total_byte_size for i in range(head.num_row_groups))
    if unpacked > LARGEST_UNPACKED_BYTES or head.num_rows > MOST_FEATURES:
        raise BoundaryError.of("file-too-large", f"{path}: unpacks to {unpacked / 1e6:,.0f} MB in {head.num_rows:,} rows.",
                               "split it into smaller files")  # fmt: skip
    if b"geo" not in (head.metadata or {}):
        raise BoundaryError.of("format-unknown", f"{path}: is a Parquet table without geometry.", "write it as GeoParquet")
    frame = geopandas.read_parquet(path)
    crs, said = declared_crs(None if frame.crs is None else frame.crs.to_wkt())
    attributes = frame.drop(columns=frame.geometry.name).to_dict("records")
    features = tuple(
        Feature(attributes={str(key): value for key, value in row.items()}, geometry=geometry)
        for row, geometry in zip(attributes, frame.geometry, strict=True)
    )
    yield Layer(name=name, crs=crs, crs_said=said, features=features)
