"""A large file of parcels with broken rows in it, written a row group at a time."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

ROWS_OF_GROUP = 1000
_DEG_PER_M = 1 / 111_000
_SHIFT_DEG = 0.05
"""Between copies of a parcel; along a parallel the Earth is the same everywhere, so copies are alike."""
_BROKEN = {3: "crossed", 11: "empty", 19: "unreadable", 27: "sliver", 35: "point", 43: "twice"}
"""What is wrong with which of 50 rows."""
Row = tuple[str, bytes | None]
"""Id and well-known binary."""


def squares(n: int, side_m: float) -> list[BaseGeometry]:
    """Squares at one latitude, of sides from one to four times as long."""
    made: list[BaseGeometry] = []
    for k in range(n):
        side = side_m * _DEG_PER_M * (1 + k % 4)
        west, south = -95.0 + 0.01 * (k % 300), 44.0
        high = side * math.cos(math.radians(south))
        made.append(
            Polygon(
                [(west, south), (west + side, south), (west + side, south + high), (west, south + high)]
            )
        )
    return made


def rows(
    parcels: Sequence[BaseGeometry], n: int, *, mostly_broken: bool = False, one_whole_in: int = 1
) -> Iterator[Row]:
    """So many rows: the parcels again and again, each copy farther east, and broken ones among them.

    Parameters
    ----------
    mostly_broken
        Leave two rows of 50 whole, and most without an outline, so that a run over very many rows is quick.
    one_whole_in
        Leave whole only one of so many of those rows, the others being as narrow as a drill is not.
    """
    for k in range(n):
        parcel = parcels[k % len(parcels)]
        shifted = _moved(parcel, _SHIFT_DEG * (k // len(parcels)))
        what = _BROKEN.get(k % 50, "")
        if mostly_broken and not what and k % 50:
            what = "crossed" if k % 5 == 1 else "empty"
        if what in ("", "twice") and k // 50 % one_whole_in:
            what = "sliver"
        name = f"parcel-{k - 1 if what == 'twice' else k}"
        yield name, _spoilt(shifted, what)


def _moved(parcel: BaseGeometry, east_deg: float) -> BaseGeometry:
    return shapely.transform(parcel, lambda lonlat: lonlat + np.array([east_deg, 0.0]))


def _spoilt(parcel: BaseGeometry, what: str) -> bytes | None:
    west, south, east, north = parcel.bounds
    if what == "crossed":
        parcel = Polygon([(west, south), (east, north), (east, south), (west, north)])
    elif what == "sliver":
        parcel = Polygon(
            [(west, south), (west + _DEG_PER_M, south), (west + _DEG_PER_M, north), (west, north)]
        )
    elif what == "point":
        parcel = parcel.centroid
    elif what == "empty":
        return None
    binary = bytes(shapely.to_wkb(parcel))
    return binary[: len(binary) // 2] if what == "unreadable" else binary


def write(
    path: Path,
    parcels: Sequence[BaseGeometry],
    n: int,
    *,
    mostly_broken: bool = False,
    one_whole_in: int = 1,
) -> None:
    """Write GeoParquet with an id and a county for each row."""
    import pyarrow as pa
    from pyarrow import parquet

    geo = {
        "version": "1.1.0",
        "primary_column": "geometry",
        "columns": {"geometry": {"encoding": "WKB", "geometry_types": []}},
    }
    schema = pa.schema(
        [("id", pa.string()), ("county", pa.string()), ("geometry", pa.binary())],
        metadata={b"geo": json.dumps(geo).encode()},
    )
    made = rows(parcels, n, mostly_broken=mostly_broken, one_whole_in=one_whole_in)
    with parquet.ParquetWriter(path, schema) as writer:
        for first in range(0, n, ROWS_OF_GROUP):
            group = [next(made) for _ in range(min(ROWS_OF_GROUP, n - first))]
            names, binary = zip(*group, strict=True)
            counties = [f"county {(first + k) // 5000}" for k in range(len(group))]
            writer.write_table(pa.table([list(names), counties, list(binary)], schema=schema))


def parcels_of(path: Path | None, *, tiny: bool) -> list[BaseGeometry]:
    """The outlines of a boundary file, or squares if there is none."""
    if path is None:
        return squares(300, 30.0 if tiny else 100.0)
    import geopandas

    found = geopandas.read_file(path).to_crs(4326).geometry
    return list(np.asarray(found))
