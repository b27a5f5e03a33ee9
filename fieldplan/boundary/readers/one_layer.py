"""One layer of a file through fiona, with an allow-list of one driver: nothing virtual or remote can be
opened.

The file is handed over under a name of our own in a temporary folder, for some drivers write beside what
they read, and take parts of a name for commands.
"""

from __future__ import annotations

import logging
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import shapely

from fieldplan.boundary.guard import (
    BOUNDARY_FILE,
    COMPANION,
    MAX_FEATURES,
    MAX_FILE_VERTICES,
    refuse_features,
    refuse_vertices,
)
from fieldplan.boundary.layer import Feature, Layer, declared_crs, feature_of
from fieldplan.boundary.readers.curves import STEP_DEG
from fieldplan.errors import BoundaryError, Problem, problem
from fieldplan.facts import Fact, fact
from fieldplan.files import content_of, is_there, opened

_SETTINGS = {"OGR_ARC_STEPSIZE": str(STEP_DEG)}
_COUNTED = ("OpenFileGDB",)
"""Drivers that take the number of features from a header, without reading them."""
_HOT_JOURNAL = b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7"
"""How a journal begins that must be rolled back (SQLite file format, section 3)."""
_WAL_MARK = slice(18, 20)
_NOT_ATTRIBUTES = ("lowerCorner", "upperCorner")


def read_layer(path: Path, driver: str, layer: str | None, name: str, **options: Any) -> Layer | None:
    """One layer, record by record; ``None`` for a table without geometry. ``options`` go to the driver."""
    import fiona

    with (
        fiona.Env(**_SETTINGS),
        complaints() as heard,
        fiona.open(path, layer=layer, enabled_drivers=[driver], **options) as source,
    ):
        if not _has_geometry(source):
            return None
        try:
            crs, statement = declared_crs(source.crs_wkt)
        except Exception:  # of a class that the library keeps to itself
            crs, statement = None, fact("crs-said/unclear")
        features = tuple(_within_limits(source, heard))
        n_stated = len(source) if driver in _COUNTED else len(features)
    losses: tuple[Problem, ...] = ()
    if n_stated != len(features):
        losses = (problem("features-lost/readable", n_stated=n_stated, n_read=len(features)),)
    return Layer(name=name, crs=crs, crs_statement=statement, features=features, losses=losses)


def _has_geometry(source: Any) -> bool:
    """Whether a layer is more than a table; of mixed kinds with heights the library has no name."""
    from fiona.errors import UnsupportedGeometryTypeError

    try:
        return bool(source.schema["geometry"] != "None")
    except UnsupportedGeometryTypeError:
        return True


@contextmanager
def complaints() -> Iterator[list[Fact | str]]:
    """What the library says of a record that it cannot make out; it then goes on as if the record had no
    geometry.
    """
    heard: list[Fact | str] = []

    class Ear(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            heard.append(record.getMessage().splitlines()[0][:200])

    ear, log = Ear(level=logging.ERROR), logging.getLogger("fiona")
    log.addHandler(ear)
    before = sys.unraisablehook
    sys.unraisablehook = lambda _: heard.append(
        fact("unread/text-damaged")
    )  # what the library cannot even say
    try:
        yield heard
    finally:
        sys.unraisablehook = before
        log.removeHandler(ear)


def _within_limits(source: Any, heard: list[Fact | str]) -> Iterator[Feature]:
    """The features of a layer; reading stops where they are too many, or have too many vertices
    together.
    """
    n_vertices = 0
    for number, record in enumerate(source):
        feature = _feature(record)
        if heard and feature.geometry is None and not feature.unreadable:
            feature = replace(feature, unreadable=heard[-1])
        heard.clear()
        if feature.geometry is not None:
            n_vertices += int(shapely.get_num_coordinates(feature.geometry))
        if n_vertices > MAX_FILE_VERTICES:
            refuse_vertices()
        if number >= MAX_FEATURES:
            refuse_features()
        yield feature


def _feature(record: Any) -> Feature:
    attributes = {key: value for key, value in record.properties.items() if key not in _NOT_ATTRIBUTES}
    geometry = None if record.geometry is None else record.geometry.__geo_interface__
    return feature_of(attributes, geometry)


def under_our_name(path: Path, place: Path) -> Path:
    """The file or folder at ``place``, as a link or copy."""
    place.parent.mkdir(parents=True, exist_ok=True)
    half_done = path.with_name(path.name + "-journal")
    if is_there(half_done, COMPANION) and content_of(half_done, COMPANION).startswith(_HOT_JOURNAL):
        raise BoundaryError.of("file-unreadable/half-done", beside=half_done.name)
    if path.is_dir():
        place.mkdir()
        for member in path.iterdir():
            shutil.copyfile(member, place / member.name, follow_symlinks=False)
    elif _writes_ahead(
        path
    ):  # reading such a GeoPackage writes beside it, and its newest edits may stand in a journal
        shutil.copyfile(path, place)
        _take_along(path, place, "-wal")
    else:
        try:
            place.symlink_to(path)
        except OSError:  # where links need a privilege
            shutil.copyfile(path, place)
    return place


def _take_along(path: Path, place: Path, ending: str) -> None:
    """Copy what stands beside a file under its name and an ending."""
    beside = path.with_name(path.name + ending)
    if is_there(beside, COMPANION):
        place.with_name(place.name + ending).write_bytes(content_of(beside, COMPANION))


def _writes_ahead(path: Path) -> bool:
    """Whether a file is a database with a write-ahead log (SQLite file format, section 1.3.3)."""
    if path.is_dir():
        return False
    with opened(path, BOUNDARY_FILE) as stream:
        head = stream.read(_WAL_MARK.stop)
    return head.startswith(b"SQLite format 3") and 2 in head[_WAL_MARK]
