"""The parcels of a file, a row group at a time: GeoParquet of any size, or any other file that is read."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt
import shapely
from pyproj import CRS
from pyproj.exceptions import CRSError

from fieldplan.boundary.aside import parted
from fieldplan.boundary.attributes import id_and_name, text_of
from fieldplan.boundary.choose import chosen_layers
from fieldplan.boundary.guard import BOUNDARY_FILE, recognized_format
from fieldplan.boundary.layer import Feature, Layer, declared_crs
from fieldplan.boundary.read import read_layers
from fieldplan.boundary.readers.curves import STRAIGHTENED
from fieldplan.boundary.readers.geoparquet import remark_on_others
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, FieldplanError
from fieldplan.facts import fact
from fieldplan.files import head_of, opened
from fieldplan.region.columns import with_arrow
from fieldplan.region.outlines_in_columns import AS_LISTS, BINARY, require_outlines, shapes_in
from fieldplan.region.plain import plain

_STORES = ("s3://", "gs://", "gcs://", "abfs://", "abfss://", "hdfs://")
"""Addresses of object stores that the library for Parquet opens by itself, where it was built with them."""
LARGE_FILE = replace(BOUNDARY_FILE, max_bytes=1 << 40)
"""A file of any size: it is read a little at a time."""
_BUFFER_BYTES = 1 << 20
_BATCH_ROWS = 500

Rows = npt.NDArray[np.int64]


class Dataset(Protocol):
    """Parcels by row.

    Attributes
    ----------
    kind
        Format of the file.
    layers, aside
        Layers of outlines, and those of edges and guides; the former without their features.
    groups
        Number of rows of each row group.
    attributes
        Names of attributes.
    """

    kind: str
    layers: tuple[Layer, ...]
    aside: tuple[Layer, ...]
    groups: tuple[int, ...]
    attributes: tuple[str, ...]

    def features(self, rows: Rows) -> Iterator[tuple[int, int, Feature]]:
        """Row, layer and feature of each row wanted, which are in ascending order."""
        ...

    def named(self) -> Iterator[Mapping[str, Any]]:
        """The attributes of every row that may name its id."""
        ...


def dataset_of(source: str, terms: ReadingTerms) -> tuple[Dataset, ReadingTerms]:
    """The parcels of a file, and how what is read from it is to be looked at.

    Parameters
    ----------
    source
        The path of a file, or the address of a GeoParquet file in an object store.

    Raises
    ------
    BoundaryError
        If the file as a whole cannot be used.
    MissingExtra
        If it is GeoParquet and the reader for that is not installed.
    """
    path = Path(source)
    if in_store(source) or (not path.is_dir() and head_of(path, LARGE_FILE, 4) == b"PAR1"):
        if terms.layers and terms.layers != (path.stem,):
            chosen_layers(path, (Layer(name=path.stem, crs=None, features=()),), terms)
        return ParquetFile(source), replace(terms, layers=())
    recognized_format(path)
    return ReadFile(path, terms), replace(terms, layers=())


class ReadFile:
    """A file that is read as a whole, with the limits that this has."""

    def __init__(self, path: Path, terms: ReadingTerms) -> None:
        kind, layers = read_layers(path, terms.encoding)
        self.kind: str = kind
        losses = tuple(loss for layer in layers for loss in layer.losses)
        if losses and not terms.skip_bad:
            raise BoundaryError(tuple(replace(loss, file=loss.file or str(path)) for loss in losses))
        outlines, beside = parted(tuple(replace(layer, losses=()) for layer in layers))
        outlines = chosen_layers(path, outlines, terms)
        self.layers: tuple[Layer, ...] = tuple(replace(layer, features=()) for layer in outlines)
        self.aside: tuple[Layer, ...] = beside
        self._rows = [(n, feature) for n, layer in enumerate(outlines) for feature in layer.features]
        self.groups: tuple[int, ...] = (len(self._rows),)
        self.attributes: tuple[str, ...] = tuple(
            dict.fromkeys(str(name) for _, feature in self._rows for name in feature.attributes)
        )

    def features(self, rows: Rows) -> Iterator[tuple[int, int, Feature]]:
        """As `Dataset.features`."""
        for row in rows.tolist():
            layer, feature = self._rows[row]
            yield row, layer, feature

    def named(self) -> Iterator[Mapping[str, Any]]:
        """As `Dataset.named`."""
        return (feature.attributes for _, feature in self._rows)


class ParquetFile:
    """A GeoParquet file, of which no more than some hundred rows are in memory."""

    def __init__(self, source: str) -> None:
        self._source, path = source, Path(source)
        with self._open() as file:
            geo = (file.metadata.metadata or {}).get(b"geo")
            if geo is None:
                raise BoundaryError.of("format-unknown/parquet", file=str(path))
            self._geometry, about, others = _primary(geo, path)
            self._encoding = str(about["encoding"])
            if self._geometry not in file.schema_arrow.names:
                raise BoundaryError.of("format-unknown/parquet", file=str(path))
            if file.schema_arrow.names.count(self._geometry) > 1:
                raise BoundaryError.of("frame-column-twice", file=str(path), name=self._geometry)
            require_outlines(file.schema_arrow.field(self._geometry).type, self._encoding)
            boxes = _covering(about)
            self._names = [
                name
                for name in file.schema_arrow.names
                if name != self._geometry and name not in others and name not in boxes
            ]
            self.groups: tuple[int, ...] = tuple(
                file.metadata.row_group(i).num_rows for i in range(file.num_row_groups)
            )
        crs, statement = declared_crs(_crs_text(about))
        self.attributes: tuple[str, ...] = tuple(self._names)
        self.kind: str = "GeoParquet"
        self.layers: tuple[Layer, ...] = (
            Layer(
                name=path.stem,
                crs=crs,
                crs_statement=statement,
                features=(),
                remarks=remark_on_others(self._geometry, others),
            ),
        )
        self.aside: tuple[Layer, ...] = ()

    @contextmanager
    def _open(self) -> Iterator[Any]:
        _, parquet = with_arrow()
        try:
            with (
                _stream(self._source) as stream,
                # without a buffer, row groups would come whole into memory
                parquet.ParquetFile(stream, buffer_size=_BUFFER_BYTES, pre_buffer=False) as file,
            ):
                yield file
        except BoundaryError as error:
            raise BoundaryError.from_other(error, file=self._source) from None
        except FieldplanError:
            raise
        except (OSError, ValueError, NotImplementedError) as problem:  # the library's errors are of these
            reason = (str(problem).strip().splitlines() or [type(problem).__name__])[0]
            unreached = in_store(self._source) and isinstance(problem, OSError)
            code = "file-unreadable/read" if unreached else "file-unreadable/damaged"
            raise BoundaryError.of(code, file=self._source, reason=reason) from None

    def features(self, rows: Rows) -> Iterator[tuple[int, int, Feature]]:
        """As `Dataset.features`; a row group without a wanted row is not read."""
        with self._open() as file:
            for first, batch in _batches(file, self.groups, [*self._names, self._geometry], rows):
                wanted = rows[np.searchsorted(rows, first) : np.searchsorted(rows, first + len(batch))]
                if len(wanted):
                    picked = batch.take((wanted - first).tolist())
                    yield from (
                        (row, 0, feature)
                        for row, feature in zip(
                            wanted.tolist(), _features(picked, self._geometry, self._encoding), strict=True
                        )
                    )

    def named(self) -> Iterator[Mapping[str, Any]]:
        """As `Dataset.named`."""
        with self._open() as file:
            for batch in file.iter_batches(_BATCH_ROWS, columns=self._names, use_threads=False):
                yield from (row for row, _ in _attributes(batch))


def in_store(source: str) -> bool:
    """Whether a source is the address of a file in an object store.

    Examples
    --------
    >>> in_store("s3://county/fields.parquet"), in_store("fields.parquet")
    (True, False)
    """
    return source.startswith(_STORES)


def _stream(source: str) -> Any:
    """The bytes of a file or of an object."""
    if not in_store(source):
        return opened(Path(source), LARGE_FILE)
    from pyarrow import fs

    store, path = fs.FileSystem.from_uri(source)
    return store.open_input_file(path)


def _batches(file: Any, groups: Sequence[int], columns: list[str], rows: Rows) -> Iterator[tuple[int, Any]]:
    """The first row of each batch, and the batch, of the groups that hold wanted rows."""
    start = 0
    for number, n_rows in enumerate(groups):
        first, end = start, start + n_rows
        last_wanted = np.searchsorted(rows, end)
        if np.searchsorted(rows, start) < last_wanted:
            for batch in file.iter_batches(
                _BATCH_ROWS, row_groups=[number], columns=columns, use_threads=False
            ):
                yield first, batch
                first += len(batch)
                if first > rows[last_wanted - 1]:
                    break
        start = end


def _attributes(batch: Any) -> Iterator[tuple[dict[str, Any], int]]:
    """The attributes of each row, and how many texts of it are left out, as they are in no character set of the format."""
    try:
        yield from ((row, 0) for row in batch.to_pylist())
    except UnicodeDecodeError:
        for i in range(len(batch)):
            row = {name: _value(batch.column(k)[i]) for k, name in enumerate(batch.schema.names)}
            lost = [name for name, value in row.items() if value is _LOST]
            yield {name: None if value is _LOST else value for name, value in row.items()}, len(lost)


_LOST = object()


def _value(cell: Any) -> Any:
    try:
        return cell.as_py()
    except UnicodeDecodeError:
        return _LOST


def _features(batch: Any, geometry_name: str, encoding: str) -> Iterator[Feature]:
    shapes = shapes_in(batch.column(geometry_name), encoding)
    for (row, n_lost), read in zip(_attributes(batch.drop_columns([geometry_name])), shapes, strict=True):
        remarks = [STRAIGHTENED] if read.curved else []
        if n_lost:
            remarks.append(fact("text-unread", n_texts=n_lost))
        yield Feature(
            attributes=row,
            geometry=None if read.geometry is None else shapely.force_2d(read.geometry),
            ring_unclosed=read.unclosed,
            unreadable=read.unreadable or "",
            remarks=tuple(remarks),
        )


def _primary(geo: bytes, path: Path) -> tuple[str, Mapping[str, Any], set[str]]:
    """Name and description of the column of outlines, and the names of other columns of geometries.

    Raises
    ------
    BoundaryError
        If the file does not describe it, or its geometries are in no known encoding.
    """
    try:
        said = json.loads(geo)
        name = str(said["primary_column"])
        about = said["columns"][name]
        encoding = about["encoding"].upper()
        others = {str(other) for other in said["columns"]} - {name}
    except (ValueError, KeyError, TypeError, AttributeError):
        raise BoundaryError.of("format-unknown/parquet", file=str(path)) from None
    if encoding != BINARY and about["encoding"] not in AS_LISTS:
        raise BoundaryError.of("parquet-encoding", file=str(path), encoding=about["encoding"])
    return name, about, others


def _covering(about: Mapping[str, Any]) -> set[str]:
    """Columns that hold the box of each geometry."""
    try:
        boxes = (about.get("covering") or {}).get("bbox") or {}
        return {str(side[0]) for side in boxes.values() if side}
    except (AttributeError, TypeError, KeyError):  # not as the standard has it: they are attributes, then
        return set()


def _crs_text(about: Mapping[str, Any]) -> str | None:
    """The reference system as text: longitude and latitude if the file says nothing, ``None`` if it says none."""
    if "crs" not in about:
        return "OGC:CRS84"
    said = about["crs"]
    if isinstance(said, Mapping):
        try:
            return str(CRS.from_json_dict(dict(said)).to_wkt())
        except CRSError:
            return str(said.get("name") or said.get("type") or "")
    return None if said is None else str(said)


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """What tells one file from another: its name, size and a digest of its content."""

    name: str
    n_bytes: int
    sha256: str


def identity_of(source: str) -> Identity:
    """The identity of a file or object, or of the files of a folder together."""
    path, digest, n_bytes = Path(source), hashlib.sha256(), 0
    inside = [str(file) for file in sorted(path.iterdir())] if path.is_dir() else [source]
    for file in inside:
        with _stream(file) as stream:
            while chunk := stream.read(_BUFFER_BYTES):
                digest.update(chunk)
                n_bytes += len(chunk)
    return Identity(name=path.name, n_bytes=n_bytes, sha256=digest.hexdigest())


def repeated_rows(dataset: Dataset, terms: ReadingTerms) -> Rows:
    """The rows whose id an earlier row has, in ascending order; 8 bytes of memory a row."""
    digests = np.fromiter(
        (
            _id_digest(attributes, number, terms)
            for number, attributes in enumerate(dataset.named(), start=1)
        ),
        dtype=np.uint64,
    )
    order = np.argsort(digests, kind="stable")
    again = np.flatnonzero(digests[order][1:] == digests[order][:-1]) + 1
    return np.sort(order[again]).astype(np.int64)


def _id_digest(attributes: Mapping[str, Any], number: int, terms: ReadingTerms) -> int:
    field_id, _ = id_and_name(attributes, number, "", Counter(), terms, [])
    return int.from_bytes(hashlib.blake2b(field_id.encode(), digest_size=8).digest(), "big")


def values_of(dataset: Dataset, name: str) -> Iterable[str]:
    """The values of an attribute, row by row, as sums have them; empty where there is none."""
    return (text_of(plain(dict(attributes)), name) or "" for attributes in dataset.named())
