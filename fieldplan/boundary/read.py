"""Boundary files → layers as they stand in the file: the guard first, then one reader a format."""

from __future__ import annotations

import importlib
import re
import warnings
from collections import Counter
from dataclasses import replace
from pathlib import Path

from fieldplan.boundary.archive import boundary_members
from fieldplan.boundary.guard import BOUNDARY_FILE, Format, recognise
from fieldplan.boundary.layer import Layer
from fieldplan.errors import BoundaryError, MissingExtra, disk_full, unwritable
from fieldplan.scratch import working_folder

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
"""Module of ``readers/`` for each format; loaded when needed, for the libraries behind them are slow to load."""


def read_layers(path: Path, encoding: str | None = None, what: str = "boundary file") -> tuple[str, tuple[Layer, ...]]:
    """What format a file is, and every layer of it that has geometry; ``what`` says what it is for, in messages.

    Raises
    ------
    BoundaryError
        If the file is refused by the guard or cannot be read.
    MissingExtra
        If it is GeoParquet and the reader for that is not installed.
    """
    kind = recognise(path, replace(BOUNDARY_FILE, what=what))
    with warnings.catch_warnings(), working_folder() as folder:
        warnings.simplefilter("ignore")
        try:
            if kind != "zip":
                return kind, _layers(path, str(path), path.stem, kind, folder, encoding)
            return _zipped_layers(path, folder, encoding)
        except OSError as problem:
            raise unwritable("The folder for temporary files", problem, "set TMPDIR to a folder on another disk") from None


def _zipped_layers(path: Path, folder: Path, encoding: str | None) -> tuple[str, tuple[Layer, ...]]:
    """Layers of every boundary file in a zip; a member of no format that is read is left out, and said."""
    kinds: set[str] = set()
    found: list[tuple[str, Layer]] = []
    unread: list[BoundaryError] = []
    for member in boundary_members(path, folder):
        shown = f"{path}, {member.name}"
        try:
            inner = _recognise_member(member.path, shown)
        except BoundaryError as error:
            if error.problems[0].code != "format-unknown":
                raise
            unread.append(error)
            continue
        kinds.add(inner)
        found += [
            (member.name, layer)
            for layer in _layers(member.path, shown, Path(member.name).stem, inner, member.path.parent, encoding)
        ]
    if not found and unread:
        raise unread[0]
    names = Counter(layer.name for _, layer in found)
    layers = [layer if names[layer.name] == 1 else replace(layer, name=f"{member}: {layer.name}") for member, layer in found]
    if unread and layers:
        left_out = tuple(("member-left-out", f"Left out: {error.problems[0].text}") for error in unread)
        layers[0] = replace(layers[0], remarks=layers[0].remarks + left_out)
    return f"zip of {', '.join(sorted(kinds))}", tuple(layers)


def _layers(path: Path, shown: str, name: str, kind: Format, folder: Path, encoding: str | None) -> tuple[Layer, ...]:
    """The layers of one file, errors naming it as the user knows it."""
    reader = importlib.import_module(f"fieldplan.boundary.readers.{_READERS[kind]}")
    try:
        return tuple(reader.layers(path.resolve(), name, kind, folder, encoding))
    except (MissingExtra, MemoryError, AssertionError, NameError, ImportError):
        raise
    except BoundaryError as error:
        raise _renamed(error, path, shown, folder) from None
    except OSError as problem:
        if disk_full(problem):
            raise
        raise _damaged(problem, path, shown, folder) from None
    except Exception as problem:  # the readers raise many kinds for broken files, none of them ours
        raise _damaged(problem, path, shown, folder) from None


def _damaged(problem: Exception, path: Path, shown: str, folder: Path) -> BoundaryError:
    reason = str(problem).strip().splitlines()[0] if str(problem).strip() else type(problem).__name__
    reason = reason.replace(str(folder), "").replace(str(path.resolve()), path.name)
    return BoundaryError.of("file-unreadable", f"{shown}: the file is damaged or incomplete ({reason}).", "export it again")


def _recognise_member(path: Path, shown: str) -> Format:
    try:
        return recognise(path)
    except BoundaryError as error:
        raise _renamed(error, path, shown) from None


def _renamed(error: BoundaryError, path: Path, shown: str, folder: Path | None = None) -> BoundaryError:
    """The same error, the place of a copy replaced by the name of the user's own file."""
    copies = [re.escape(str(place)) for place in (path.resolve(), path)]
    if folder is not None:
        copies.insert(0, re.escape(str(folder / "read")) + r"[^\s:,]*")
    named = re.compile("|".join(copies))
    return BoundaryError(tuple(replace(problem, told=named.sub(lambda _: shown, problem.text)) for problem in error.problems))
