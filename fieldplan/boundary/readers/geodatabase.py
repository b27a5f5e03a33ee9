"""File Geodatabases, read with fiona once each table's header has been compared with its file.

A table's header says how long its file is and how many rows it has; its index says how many rows it has
room for. (The format is not published; these figures are at the same bytes in every file that free software
writes and reads.)
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path

from fieldplan.boundary.guard import COMPANION, MAX_FEATURES, refuse_features
from fieldplan.boundary.layer import Layer
from fieldplan.boundary.readers.listing import layer_names
from fieldplan.boundary.readers.one_layer import read_layer, under_fixed_name
from fieldplan.errors import BoundaryError
from fieldplan.files import opened

_HEADER = struct.Struct("<iiiiiiqq")
_INDEX_HEADER = struct.Struct("<iiii")
_ROWS_OF_BLOCK = 1024
_VERSION = 3


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """Every layer that has geometry."""
    del name, encoding
    for table in sorted(path.glob("*.gdbtable")):
        _compare(table)
    place = under_fixed_name(path, folder / "read" / "boundary.gdb")
    for layer in layer_names(place) or ():
        found = read_layer(place, "OpenFileGDB", layer, layer)
        if found is not None:
            yield found


def _compare(table: Path) -> None:
    """Compare a table and its index with what their headers say.

    Raises
    ------
    BoundaryError
        If either is shorter than it says, or the index is missing.
    """
    with opened(table, COMPANION) as stream:
        head = stream.read(_HEADER.size)
    if len(head) < _HEADER.size:
        raise BoundaryError.of("file-unreadable/table-header", part=table.name)
    version, n_rows, _, _, _, _, n_bytes, _ = _HEADER.unpack(head)
    size = table.stat().st_size
    if version == _VERSION and size < n_bytes:
        raise BoundaryError.of("file-unreadable/table-cut", part=table.name, n_bytes=size, n_stated=n_bytes)
    if n_rows > MAX_FEATURES:
        refuse_features()
    index = table.with_suffix(".gdbtablx")
    with opened(index, COMPANION) as stream:
        head = stream.read(_INDEX_HEADER.size)
    if len(head) < _INDEX_HEADER.size:
        raise BoundaryError.of("file-unreadable/table-header", part=index.name)
    _, n_blocks, n_places, offset_bytes = _INDEX_HEADER.unpack(head)
    too_few = version == _VERSION and n_places < n_rows
    index_bytes = _INDEX_HEADER.size + n_blocks * _ROWS_OF_BLOCK * offset_bytes
    if too_few or index.stat().st_size < index_bytes:
        raise BoundaryError.of("file-unreadable/table-index", part=index.name, table=table.name)
