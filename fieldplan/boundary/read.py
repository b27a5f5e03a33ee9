"""Boundary files → layers as they stand in the file: the guard first, then one reader a format."""

from __future__ import annotations

import importlib
import tempfile
import warnings
from dataclasses import replace
from pathlib import Path

from fieldplan.boundary.archive import boundary_members
from fieldplan.boundary.guard import Format, recognise
from fieldplan.boundary.layer import Layer
from fieldplan.errors import BoundaryError, MissingExtra

_READERS: dict[Format, str] = {
    "GeoJSON": "geojson",
    "GeoPackage": "by_driver",
    "Shapefile": "shapefile",
    "FlatGeobuf": "by_driver",
    "GML": "by_driver",
    "GPX": "by_driver",
    "DXF": "by_driver",
    "File Geodatabase": "by_driver",
    "KML": "kml",
    "GeoParquet": "geoparquet",
    "CSV": "wkt_table",
}
"""Module of ``readers/`` for each format; loaded when needed, for the libraries behind them are slow to load."""


def read_layers(path: Path, encoding: str | None = None) -> tuple[str, tuple[Layer, ...]]:
    """What format a file is, and every layer of it that has geometry.

    Raises
    ------
    BoundaryError
        If the file is refused by the guard or cannot be read.
    MissingExtra
        If it is GeoParquet and the reader for that is not installed.
    """
    kind = recognise(path)
    with warnings.catch_warnings(), tempfile.TemporaryDirectory(prefix="fieldplan-") as folder:
        warnings.simplefilter("ignore")
        if kind != "zip":
            return kind, _layers(path, str(path), path.stem, kind, Path(folder), encoding)
        kinds: set[str] = set()
        layers: list[Layer] = []
        for member in boundary_members(path, Path(folder)):
            shown = f"{path}, {member.name}"
            inner = _recognise_member(member.path, shown)
            kinds.add(inner)
            layers += _layers(member.path, shown, Path(member.name).stem, inner, member.path.parent, encoding)
        return f"zip of {', '.join(sorted(kinds))}", tuple(layers)


def _layers(path: Path, shown: str, name: str, kind: Format, folder: Path, encoding: str | None) -> tuple[Layer, ...]:
    """The layers of one file, errors naming it as the user knows it."""
    reader = importlib.import_module(f"fieldplan.boundary.readers.{_READERS[kind]}")
    try:
        return tuple(reader.layers(path.resolve(), name, kind, folder, encoding))
    except MissingExtra:
        raise
    except BoundaryError as error:
        raise _renamed(error, path, shown) from None
    except Exception as problem:  # the readers raise many kinds for broken files, none of them ours
        reason = str(problem).strip().splitlines()[0] if str(problem).strip() else type(problem).__name__
        reason = reason.replace(str(folder), "").replace(str(path.resolve()), path.name)
        raise BoundaryError.of(
            "file-unreadable", f"{shown}: the file is damaged or incomplete ({reason}).", "export it again"
        ) from None


def _recognise_member(path: Path, shown: str) -> Format:
    try:
        return recognise(path)
    except BoundaryError as error:
        raise _renamed(error, path, shown) from None


def _renamed(error: BoundaryError, path: Path, shown: str) -> BoundaryError:
    """The same error, the place of a copy replaced by the name of the user's own file."""
    return BoundaryError(tuple(
        replace(problem, text=problem.text.replace(str(path.resolve()), shown).replace(str(path), shown))
        for problem in error.problems
    ))  # fmt: skip
