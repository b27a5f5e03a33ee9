"""Boundary files → layers as the file has them: the guard first, then a reader for each format."""

from __future__ import annotations

import importlib
import warnings
from collections import Counter
from dataclasses import replace
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

from fieldplan.boundary.archive import boundary_members
from fieldplan.boundary.guard import BOUNDARY_FILE, Format, recognized_format
from fieldplan.boundary.layer import Layer
from fieldplan.boundary.source import layer_of, name_of
from fieldplan.errors import BoundaryError, MissingExtra, Problem, disk_full, unwritable
from fieldplan.facts import Value, fact
from fieldplan.scratch import working_folder

if TYPE_CHECKING:
    from fieldplan.boundary.source import Source

_READERS: dict[Format, str] = {
    "GeoJSON": "geojson",
    "GeoPackage": "geopackage",
    "Shapefile": "shapefile",
    "FlatGeobuf": "flatgeobuf",
    "GML": "gml",
    "GPX": "gpx",
    "DXF": "dxf",
    "File Geodatabase": "geodatabase",
    "KML": "kml",
    "GeoParquet": "geoparquet",
    "CSV": "wkt_table",
}
"""Module of ``readers/`` for each format; loaded when needed, because their libraries load slowly."""


def layers_in(
    source: Source, name: str, encoding: str | None = None, what: Value = BOUNDARY_FILE.what
) -> tuple[str, tuple[Layer, ...]]:
    """The layers of a file, as `read_layers`, or the one that a GeoDataFrame is, called ``name``.

    Raises
    ------
    BoundaryError
        If it cannot be read.
    """
    path = name_of(source, name)
    if isinstance(source, str | PathLike):
        return read_layers(path, encoding, what)
    try:
        return "GeoDataFrame", (layer_of(source, name),)
    except BoundaryError as error:
        raise BoundaryError.from_other(error, file=str(path)) from None


def read_layers(
    path: Path, encoding: str | None = None, what: Value = BOUNDARY_FILE.what
) -> tuple[str, tuple[Layer, ...]]:
    """The format of a file, and every layer of it that has geometry.

    Parameters
    ----------
    encoding
        Character set of attribute text, where the format leaves it open.
    what
        What the file is called in errors.

    Raises
    ------
    BoundaryError
        If the file is refused by the guard or cannot be read.
    MissingExtra
        If it is GeoParquet and the reader for that is not installed.
    """
    kind = recognized_format(path, replace(BOUNDARY_FILE, what=what))
    with warnings.catch_warnings(), working_folder() as folder:
        warnings.simplefilter("ignore")
        try:
            if kind != "zip":
                return kind, _layers(path, str(path), path.stem, kind, folder, encoding)
            return _zipped_layers(path, folder, encoding)
        except OSError as problem:
            raise unwritable(problem) from None


def _zipped_layers(path: Path, folder: Path, encoding: str | None) -> tuple[str, tuple[Layer, ...]]:
    """Layers of every boundary file in a zip; members of unknown format are left out, with a note."""
    kinds: set[str] = set()
    found: list[tuple[str, Layer]] = []
    unread: list[tuple[str, BoundaryError]] = []
    for member in boundary_members(path, folder):
        file_label = f"{path}, {member.name}"
        try:
            inner = _format_of_member(member.path, file_label)
        except BoundaryError as error:
            if error.problems[0].code != "format-unknown":
                raise
            unread.append((file_label, error))
            continue
        kinds.add(inner)
        found += [
            (member.name, layer)
            for layer in _layers(
                member.path, file_label, Path(member.name).stem, inner, member.path.parent, encoding
            )
        ]
    if not found and unread:
        raise unread[0][1]
    names = Counter(layer.name for _, layer in found)
    layers = [
        layer if names[layer.name] == 1 else replace(layer, name=f"{member}: {layer.name}")
        for member, layer in found
    ]
    if unread and layers:
        left_out = tuple(
            fact("member-left-out", member=member, why=error.problems[0].as_fact())
            for member, error in unread
        )
        layers[0] = replace(layers[0], remarks=layers[0].remarks + left_out)
    return f"zip of {', '.join(sorted(kinds))}", tuple(layers)


def _layers(
    path: Path, file_label: str, name: str, kind: Format, folder: Path, encoding: str | None
) -> tuple[Layer, ...]:
    """The layers of one file; errors name it as the user knows it."""
    reader = importlib.import_module(f"fieldplan.boundary.readers.{_READERS[kind]}")
    try:
        return tuple(reader.layers(path.resolve(), name, folder, encoding))
    except (MissingExtra, MemoryError, AssertionError, NameError, ImportError):
        raise
    except BoundaryError as error:
        raise _labeled(error, file_label, path, folder) from None
    except OSError as problem:
        if disk_full(problem):
            raise
        raise _damaged(problem, path, file_label, folder) from None
    except Exception as problem:  # libraries raise many kinds of their own for broken files
        raise _damaged(problem, path, file_label, folder) from None


def _damaged(problem: Exception, path: Path, file_label: str, folder: Path) -> BoundaryError:
    reason = str(problem).strip().splitlines()[0] if str(problem).strip() else type(problem).__name__
    reason = reason.replace(str(folder), "").replace(str(path.resolve()), path.name)
    return BoundaryError.of("file-unreadable/damaged", file=file_label, reason=reason)


def _format_of_member(path: Path, file_label: str) -> Format:
    try:
        return recognized_format(path)
    except BoundaryError as error:
        raise _labeled(error, file_label, path, path.parent) from None


def _labeled(error: BoundaryError, file_label: str, path: Path, folder: Path) -> BoundaryError:
    """The error with the file as the user knows it, where it names none, or a copy in ``folder``."""
    copies = (path.resolve(), folder, folder.resolve())

    def names_copy(problem: Problem) -> bool:
        return not problem.file or any(Path(problem.file).is_relative_to(copy) for copy in copies)

    return BoundaryError(
        tuple(
            replace(problem, file=file_label) if names_copy(problem) else problem
            for problem in error.problems
        )
    )
