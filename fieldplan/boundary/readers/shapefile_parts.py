"""Whether the parts of a Shapefile agree, by their headers (public white paper of the format, July 1998).

The .shp is walked record by record, the .shx lists where each record begins, the .dbf says how many rows it
has. A reader that follows only one of them drops what the others still have.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fieldplan.boundary.guard import (
    BOUNDARY_FILE,
    MAX_FEATURES,
    MAX_FILE_VERTICES,
    refuse_features,
    refuse_vertices,
)
from fieldplan.errors import BoundaryError, Problem, problem
from fieldplan.facts import Fact, fact
from fieldplan.files import content_of, opened

_HEADER, _WORD, _RECORD_HEADER, _VERTEX_BYTES = 100, 2, 8, 16
_LENGTH_AT = slice(24, 28)
_SHAPE_HEADER = 44
_OF_PARTS = {3: (0,), 5: (0,), 13: (1, 2), 15: (1, 2), 23: (0, 1), 25: (0, 1)}
"""Lines and polygons, and how many ranges of heights or measures each may carry."""
_OF_POINTS = (1, 8, 11, 18, 21, 28, 31)
_DELETED, _KEPT = b"*", b" "
_PADDING = b"\x00\x1a"


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """How the parts of a Shapefile compare.

    Parameters
    ----------
    losses
        What one part says there is and another lacks.
    remarks
        What is odd and harmless.
    drawn
        For each outline in the order of the index, whether its record has a geometry; empty if the parts do
        not agree.
    """

    losses: tuple[Problem, ...]
    remarks: tuple[Fact, ...]
    drawn: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class _Record:
    at: int
    number: int
    n_bytes: int
    kind: int
    whole: bool
    """Whether its length fits the parts and points it says it has."""


def compared(shp: Path) -> Parts:
    """The parts of a Shapefile, compared.

    Parameters
    ----------
    shp
        The .shp, with the other parts beside it, their endings in small letters.

    Raises
    ------
    BoundaryError
        If the .shp is cut off in its header, or has more outlines or vertices than are read.
    """
    with opened(shp, BOUNDARY_FILE) as stream:
        head = stream.read(_HEADER)
    size = shp.stat().st_size
    if len(head) < _HEADER:
        raise BoundaryError.of("file-unreadable/cut-in-header")
    stated = _WORD * int.from_bytes(head[_LENGTH_AT], "big")
    losses = [_length_loss(".shp", stated, size)] if stated != size else []
    records, whole = _walked(shp, min(stated, size))
    if len(records) > MAX_FEATURES:
        refuse_features()
    if sum(record.n_bytes for record in records) > MAX_FILE_VERTICES * _VERTEX_BYTES:
        refuse_vertices()
    remarks: list[Fact] = []
    index = shp.with_suffix(".shx")
    n_records = len(records)
    if not whole and not losses and not index.exists():
        losses.append(problem("shapefile-records/whole", n_whole=len(records)))
    if index.exists():
        entries = _entries(index)
        n_records = len(entries)
        losses += _against_index(index, records, entries, shp)
        all_numbered = {record.number for record in records} <= set(range(1, n_records + 1))
        superseded = all_numbered and len(records) > n_records
        if superseded and not losses:
            remarks.append(fact("shapefile-superseded", n_older=len(records) - n_records))
        elif len(records) != n_records and not losses:
            losses.append(problem("shapefile-records/index", n_held=len(records), n_listed=n_records))
    table = shp.with_suffix(".dbf")
    if table.exists():
        found, statement = _against_table(table, n_records)
        losses += found
        remarks += statement
    bad = next((record for record in records if not record.whole), None)
    if bad and not losses:
        losses.append(problem("shapefile-records/points", outline=bad.number))
    kinds = {record.at: record.kind for record in records}
    order = [record.at for record in records] if not index.exists() else _entries(index)[:, 0].tolist()
    deleted = any(remark.code == "shapefile-deleted" for remark in remarks)
    drawn = () if losses or deleted else tuple(kinds.get(at, 0) != 0 for at in order)
    return Parts(losses=tuple(losses), remarks=tuple(remarks), drawn=drawn)


def _length_loss(part: str, stated: int, size: int) -> Problem:
    return problem(
        "shapefile-cut/bytes" if size < stated else "shapefile-records/bytes",
        part=part,
        n_bytes=size,
        n_stated=stated,
    )


def _walked(shp: Path, end: int) -> tuple[list[_Record], bool]:
    """The records, each found by the length of the one before, and whether they end where the file does."""
    found: list[_Record] = []
    at = _HEADER
    with opened(shp, BOUNDARY_FILE) as stream:
        while at + _RECORD_HEADER <= end and len(found) <= MAX_FEATURES:
            stream.seek(at)
            head = stream.read(_RECORD_HEADER + _SHAPE_HEADER)
            number = int.from_bytes(head[:4], "big", signed=True)
            n_bytes = _WORD * int.from_bytes(head[4:8], "big", signed=True)
            if n_bytes < 4 or at + _RECORD_HEADER + n_bytes > end:
                break
            kind = int.from_bytes(head[8:12], "little")
            found.append(_Record(at, number, n_bytes, kind, _fits(kind, head[8:], n_bytes)))
            at += _RECORD_HEADER + n_bytes
    return found, at == end


def _fits(kind: int, head: bytes, n_bytes: int) -> bool:
    """Whether a record's length fits: 4 bytes a part, 16 a point, 8 more for each height or measure."""
    if kind not in _OF_PARTS:
        return kind in _OF_POINTS or (kind == 0 and n_bytes == 4)
    n_parts, n_points = (int.from_bytes(head[part], "little") for part in (slice(36, 40), slice(40, 44)))
    plain = _SHAPE_HEADER + 4 * n_parts + _VERTEX_BYTES * n_points
    third = 16 + 8 * n_points  # a range of two numbers, then one number for each point
    return n_parts <= n_points and n_bytes in tuple(plain + extra * third for extra in _OF_PARTS[kind])


def _entries(index: Path) -> np.ndarray[tuple[int, int], np.dtype[np.int64]]:
    """Where each record begins and how long it is, in bytes, shape (n, 2), as the .shx says."""
    content = content_of(index, BOUNDARY_FILE)[_HEADER:]
    words = np.frombuffer(content[: len(content) // _RECORD_HEADER * _RECORD_HEADER], dtype=">i4").reshape(
        -1, 2
    )
    return words.astype(np.int64) * _WORD


def _against_index(
    index: Path, records: list[_Record], entries: np.ndarray[tuple[int, int], np.dtype[np.int64]], shp: Path
) -> Iterator[Problem]:
    content = content_of(index, BOUNDARY_FILE)
    stated, size = _WORD * int.from_bytes(content[_LENGTH_AT], "big"), len(content)
    if len(content) < _HEADER or stated != size:
        yield _length_loss(".shx", stated, size)
        return
    walked = {record.at: record.n_bytes for record in records}
    with opened(shp, BOUNDARY_FILE) as stream:
        for number, (at, n_bytes) in enumerate(entries.tolist(), start=1):
            if at in walked:
                in_shp = walked[at]
            else:  # after a gap that the walk could not cross
                stream.seek(max(0, at))
                in_shp = _WORD * int.from_bytes(stream.read(_RECORD_HEADER)[4:], "big")
            if in_shp != n_bytes:
                yield problem("shapefile-records/length", outline=number, n_bytes=in_shp, n_listed=n_bytes)
                return


def _against_table(table: Path, n_records: int) -> tuple[list[Problem], list[Fact]]:
    content = content_of(table, BOUNDARY_FILE)
    stated, head, row = (
        int.from_bytes(content[part], "little") for part in (slice(4, 8), slice(8, 10), slice(10, 12))
    )
    if head < 32 or row < 1 or len(content) < head:
        return [problem("shapefile-records/table-header")], []
    body = content[head:]
    if len(body) < stated * row:
        return [problem("shapefile-cut/rows", n_stated=stated, n_held=len(body) // row)], []
    if len(body[stated * row :].rstrip(_PADDING)) >= row:
        return [problem("shapefile-records/rows", n_stated=stated, n_held=len(body) // row)], []
    if stated != n_records:
        return [problem("shapefile-records/table", n_outlines=n_records, n_rows=stated)], []
    marks = body[: stated * row : row]
    if marks.strip(_DELETED + _KEPT):
        return [problem("shapefile-records/row-marks")], []
    deleted = marks.count(_DELETED)
    return [], [fact("shapefile-deleted", n_rows=deleted)] if deleted else []
