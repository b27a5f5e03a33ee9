"""FlatGeobuf: read record by record with fiona, and compared with what its header and its index say.

The library reads as far as it can and reports nothing. So the file is walked first: every record begins
with its length (FlatGeobuf specification 3.0; the tables are FlatBuffers), and the index lists where each
begins and its bounding box.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import shapely

from fieldplan.boundary.guard import (
    BOUNDARY_FILE,
    MAX_FEATURES,
    MAX_FILE_VERTICES,
    refuse_features,
    refuse_vertices,
)
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.readers.curves import CURVED_WKB, STRAIGHTENED
from fieldplan.boundary.readers.one_layer import read_layer, under_fixed_name
from fieldplan.errors import BoundaryError, Problem, problem
from fieldplan.facts import fact
from fieldplan.files import content_of

_MAGIC_BYTES, _NODE_BYTES, _VERTEX_BYTES = 8, 40, 16
_FEATURES_COUNT, _INDEX_NODE_SIZE, _HEADER_GEOMETRY = 8, 9, 2
_XY = 1
_BOX_FRAC = 0.01
_DEEPEST = 8
Offsets = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class _Table:
    """A FlatBuffers table at byte ``at`` of the content of the file."""

    content: bytes
    at: int

    def slot(self, number: int) -> int:
        """Byte where the value of a field is; 0 if the table does not have the field."""
        vtable = self.at - struct.unpack_from("<i", self.content, self.at)[0]
        if 4 + 2 * number >= struct.unpack_from("<H", self.content, vtable)[0]:
            return 0
        offset = struct.unpack_from("<H", self.content, vtable + 4 + 2 * number)[0]
        return self.at + offset if offset else 0

    def number(self, number: int, form: str, otherwise: int) -> int:
        """The value of a field that is a whole number.

        Parameters
        ----------
        number
            Of the field in its table, from 0.
        form
            Its type, as `struct` spells it.
        otherwise
            The value if the table does not have the field.
        """
        at = self.slot(number)
        return int(struct.unpack_from(form, self.content, at)[0]) if at else otherwise

    def target(self, number: int) -> int:
        """Byte that a field points to; 0 if the table does not have the field."""
        at = self.slot(number)
        return at + int(struct.unpack_from("<I", self.content, at)[0]) if at else 0

    def tables(self, number: int) -> Iterator[_Table]:
        """The tables of a field that is a list of tables."""
        at = self.target(number)
        for i in range(struct.unpack_from("<I", self.content, at)[0] if at else 0):
            place = at + 4 + 4 * i
            yield _Table(self.content, place + struct.unpack_from("<I", self.content, place)[0])


def _root(content: bytes, at: int) -> _Table:
    return _Table(content, at + int(struct.unpack_from("<I", content, at)[0]))


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a FlatGeobuf file."""
    del encoding
    content = content_of(path, BOUNDARY_FILE)
    try:
        promised, losses = _promises(content)
    except struct.error:
        raise BoundaryError.of("file-unreadable/header") from None
    layer = read_layer(under_fixed_name(path, folder / "read" / "boundary.fgb"), "FlatGeobuf", None, name)
    if layer is None:
        return
    if len(layer.features) != len(promised) and not losses:
        losses = [problem("features-lost/features", n_held=len(promised), n_read=len(layer.features))]
    features = layer.features
    if not losses:
        features = tuple(
            feature if _as_stored(feature, stored) else _unread(feature)
            for feature, stored in zip(features, promised, strict=True)
        )
    curved = any(record.curved for record in promised)
    yield replace(
        layer,
        features=features,
        losses=tuple(losses),
        remarks=(*layer.remarks, *((STRAIGHTENED,) if curved else ())),
    )


@dataclass(frozen=True, slots=True)
class _Stored:
    """A record as the file has it; ``box`` is its bounding box in the index, if there is one."""

    n_vertices: int
    curved: bool
    box: tuple[float, ...] | None


def _promises(content: bytes) -> tuple[list[_Stored], list[Problem]]:
    """The records of the file, or the losses if they do not match its header and index."""
    header_bytes = struct.unpack_from("<I", content, _MAGIC_BYTES)[0]
    at = _MAGIC_BYTES + 4 + header_bytes
    header = _root(content, _MAGIC_BYTES + 4)
    n_stated = header.number(_FEATURES_COUNT, "<Q", 0)
    node_size = header.number(_INDEX_NODE_SIZE, "<H", 16)
    if n_stated > MAX_FEATURES:
        refuse_features()
    boxes, starts, begin = _index(content, at, n_stated, node_size)
    places = _walked(content, begin)
    if places is None or (n_stated and len(places) != n_stated):
        return [], [_cut_short(n_stated, places)]
    by_start = dict(zip(starts.tolist(), boxes.tolist(), strict=True))
    if len(starts) and sorted(by_start) != [place - begin for place in places]:
        return [], [problem("features-lost/index")]
    if len(content) - begin > MAX_FILE_VERTICES * _VERTEX_BYTES * 2:
        refuse_vertices()
    kind = header.number(_HEADER_GEOMETRY, "<B", 0)
    return [_stored(content, place, kind, by_start.get(place - begin)) for place in places], []


def _cut_short(n_stated: int, places: list[int] | None) -> Problem:
    if not n_stated:
        return problem("features-lost/end")
    if places is None:
        return problem("features-lost/cut-short", n_stated=n_stated)
    return problem("features-lost/cut-short-to", n_stated=n_stated, n_held=len(places))


def _index(content: bytes, at: int, n: int, node_size: int) -> tuple[npt.NDArray[np.float64], Offsets, int]:
    """Boxes, shape (n, 4), and offsets of the features from the packed tree's leaves; and its end."""
    if node_size < 2 or n == 0:
        return np.empty((0, 4)), np.empty(0, dtype=np.int64), at
    nodes, level = n, n
    while level != 1:
        level = -(-level // node_size)
        nodes += level
    if n == 1:
        nodes += 1  # even a single leaf has a root above it
    end = at + nodes * _NODE_BYTES
    if end > len(content):
        return np.empty((0, 4)), np.empty(0, dtype=np.int64), end
    leaves = np.frombuffer(content[end - n * _NODE_BYTES : end], dtype=[("box", "<f8", 4), ("at", "<u8")])
    return leaves["box"], leaves["at"].astype(np.int64), end


def _walked(content: bytes, at: int) -> list[int] | None:
    """Where each feature's record begins; ``None`` if they do not end where the file does."""
    places = []
    while at + 4 <= len(content):
        places.append(at)
        at += 4 + struct.unpack_from("<I", content, at)[0]
        if len(places) > MAX_FEATURES:
            refuse_features()
    return places if at == len(content) else None


def _stored(content: bytes, place: int, kind: int, box: list[float] | None) -> _Stored:
    geometry = _root(content, place + 4).target(0)
    if not geometry:
        return _Stored(0, False, tuple(box) if box else None)
    n_vertices, kinds = _vertices(_Table(content, geometry), 0)
    return _Stored(n_vertices, bool({kind, *kinds} & set(CURVED_WKB)), tuple(box) if box else None)


def _vertices(geometry: _Table, depth: int) -> tuple[int, set[int]]:
    if depth > _DEEPEST:
        raise struct.error
    at = geometry.target(_XY)
    total = struct.unpack_from("<I", geometry.content, at)[0] // 2 if at else 0
    kinds = {geometry.number(6, "<B", 0)}
    for part in geometry.tables(7):
        n_of_part, kinds_of_part = _vertices(part, depth + 1)
        total, kinds = total + n_of_part, kinds | kinds_of_part
    return total, kinds


def _as_stored(feature: Feature, stored: _Stored) -> bool:
    """Whether a feature was read whole, and lies where the index says."""
    if feature.unreadable:
        return True
    if feature.geometry is None:
        return stored.n_vertices == 0 and stored.box is None  # what is in the index has a geometry
    if stored.curved:
        return True
    if shapely.get_num_coordinates(feature.geometry) < stored.n_vertices:
        return False
    if stored.box is None:
        return True
    box, bounds = np.array(stored.box), np.array(feature.geometry.bounds)
    size = max(bounds[2:] - bounds[:2]) if len(bounds) else 0.0
    return bool((np.abs(box - bounds) <= _BOX_FRAC * size + 1e-9 * np.abs(bounds)).all())


def _unread(feature: Feature) -> Feature:
    return replace(feature, geometry=None, unreadable=fact("unread/record-damaged"))
