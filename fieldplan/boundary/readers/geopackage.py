"""GeoPackage: read with fiona, and compared with what its tables have.

The libraries treat a geometry they cannot read as missing, and their listing of layers crashes the program
on some damaged files. So layers come from the table of contents that the standard prescribes (OGC
12-128r19), rows are counted, and the bytes of each geometry are checked.
"""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

import shapely

from fieldplan.boundary.guard import MAX_FEATURES, MAX_FILE_VERTICES, refuse_features, refuse_vertices
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.readers.curves import CURVED_WKB, STRAIGHTENED
from fieldplan.boundary.readers.one_layer import read_layer, under_fixed_name
from fieldplan.errors import BoundaryError, Problem, problem
from fieldplan.facts import fact

_ENVELOPE_BYTES = {0: 0, 1: 32, 2: 48, 3: 48, 4: 64}
_EMPTY_FLAG = 0x10
_VERTEX_BYTES = 16
_CONTENTS = "SELECT table_name FROM gpkg_contents WHERE data_type = 'features' ORDER BY rowid"
_PLACED = "SELECT table_name FROM gpkg_geometry_columns"


@dataclass(frozen=True, slots=True)
class _Stored:
    """A geometry as its row has it: none, empty, or well-known binary; not ``sound`` if it is neither."""

    is_null: bool
    is_empty: bool = False
    wkb: bytes = b""
    curved: bool = False
    sound: bool = True


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """Every layer that has geometry."""
    del encoding
    place = under_fixed_name(path, folder / "read" / "boundary.gpkg")
    with closing(sqlite3.connect(f"{place.as_uri()}?mode=ro", uri=True)) as database:
        for table in _tables(database):
            stored, losses = _rows(database, table)
            layer = read_layer(place, "GPKG", table, name if table == "boundary" else table)
            if layer is not None:
                yield _compared(layer, stored, losses)


def _tables(database: sqlite3.Connection) -> list[str]:
    """Names of the tables of features, all of which must exist."""
    try:
        if not database.execute(
            "SELECT 1 FROM sqlite_master WHERE name = 'gpkg_contents' AND type = 'table'"
        ).fetchone():
            raise sqlite3.OperationalError("no table of contents")
        found = [str(name) for (name,) in database.execute(_CONTENTS)]
        placed = {str(name) for (name,) in database.execute(_PLACED)}
    except sqlite3.OperationalError:
        raise BoundaryError.of("format-unknown/database") from None
    fault = database.execute("PRAGMA quick_check(1)").fetchone()[0]
    if fault != "ok":
        raise BoundaryError.of("file-unreadable/database", reason=str(fault).splitlines()[-1][:200])
    there = {
        str(name).casefold()
        for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type IN ('table', 'view')")
    }
    missing = sorted(name for name in {*found, *placed} if name.casefold() not in there)
    unlisted = sorted(placed - set(found), key=str)
    if missing or unlisted:
        raise BoundaryError.of(
            "layer-lost/missing" if missing else "layer-lost/unlisted", layer=(*missing, *unlisted)[0]
        )
    return found


def _rows(database: sqlite3.Connection, table: str) -> tuple[list[_Stored], list[Problem]]:
    """The geometries of a table as its rows have them, and a loss if the stated count differs."""
    column = database.execute(
        "SELECT column_name FROM gpkg_geometry_columns WHERE table_name = ? COLLATE NOCASE", (table,)
    ).fetchone()
    if column is None:
        return [], [problem("layer-lost/no-column", layer=table)]
    of_table, of_column = (f'"{name.replace(chr(34), chr(34) * 2)}"' for name in (table, str(column[0])))
    n_rows, n_bytes = database.execute(
        f"SELECT count(*), total(length({of_column})) FROM {of_table}"
    ).fetchone()
    if n_rows > MAX_FEATURES:
        refuse_features()
    if n_bytes > MAX_FILE_VERTICES * _VERTEX_BYTES * 2:
        refuse_vertices()
    stored = [_stored(blob) for (blob,) in database.execute(f"SELECT {of_column} FROM {of_table}")]
    losses = []
    if database.execute("SELECT 1 FROM sqlite_master WHERE name = 'gpkg_ogr_contents'").fetchone():
        counted = database.execute(
            "SELECT feature_count FROM gpkg_ogr_contents WHERE table_name = ? COLLATE NOCASE", (table,)
        ).fetchone()
        if counted and isinstance(counted[0], int) and counted[0] != n_rows:
            losses.append(
                problem("features-lost/of-layer", layer=table, n_stated=counted[0], n_held=n_rows)
            )
    return stored, losses


def _stored(blob: object) -> _Stored:
    if blob is None:
        return _Stored(True)
    if not isinstance(blob, bytes) or len(blob) < 8 or blob[:2] != b"GP":
        return _Stored(False, sound=False)
    envelope = blob[3] >> 1 & 7  # bits 1 to 3 of the flags
    if envelope not in _ENVELOPE_BYTES:
        return _Stored(False, sound=False)
    wkb = blob[8 + _ENVELOPE_BYTES[envelope] :]
    if len(wkb) < 5:
        return _Stored(False, sound=False)
    kind = struct.unpack_from("<I" if wkb[0] == 1 else ">I", wkb, 1)[0] & 0xFFFFFFF
    return _Stored(False, bool(blob[3] & _EMPTY_FLAG), wkb, kind % 1000 in CURVED_WKB)


def _compared(layer: Layer, stored: Sequence[_Stored], losses: list[Problem]) -> Layer:
    if len(stored) != len(layer.features):
        losses = [*losses, problem("features-lost/rows", n_held=len(stored), n_read=len(layer.features))]
        return replace(layer, losses=tuple(losses))
    features = tuple(_checked(feature, row) for feature, row in zip(layer.features, stored, strict=True))
    remarks = (*layer.remarks, STRAIGHTENED) if any(row.curved for row in stored) else layer.remarks
    return replace(layer, features=features, remarks=remarks, losses=tuple(losses))


def _checked(feature: Feature, row: _Stored) -> Feature:
    """The feature; unreadable if its row has a geometry that was not read whole."""
    if row.is_null or (feature.unreadable and row.curved):
        return feature
    if not row.sound:
        return replace(feature, geometry=None, unreadable=fact("unread/no-geometry"))
    if feature.geometry is None and not row.is_empty:
        read = None if row.curved else shapely.from_wkb(row.wkb, on_invalid="ignore")
        if read is None or not read.is_empty:
            return replace(feature, unreadable=fact("unread/no-geometry"))
        return feature
    if feature.geometry is not None and not row.curved and not _whole(row.wkb):
        return replace(feature, geometry=None, unreadable=fact("unread/more-bytes"))
    return feature


def _whole(wkb: bytes) -> bool:
    """Whether a geometry uses all of its bytes; one that states fewer rings than it has does not."""
    read = shapely.from_wkb(wkb, on_invalid="ignore")
    if read is None:  # a ring that is not closed: reported elsewhere
        return True
    return len(shapely.to_wkb(read, flavor="iso")) == len(wkb) or bool(read.is_empty)
