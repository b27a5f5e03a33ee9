"""One layer of a file, read with fiona and only one driver allowed: nothing virtual or remote opens.

The library gets the file under a fixed name in a temporary folder, because some drivers write beside what
they read, and take parts of a name for commands.
"""

from __future__ import annotations

import logging
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
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
"""Drivers that know the number of features from a header, without reading them."""
_HOT_JOURNAL = b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7"
"""How a journal begins that must be rolled back (SQLite file format, section 3)."""
_WAL_MARK = slice(18, 20)
_TEXT_LOST = "Failed to decode"
"""How the library begins its warning that it leaves a text out."""
_NOT_ATTRIBUTES = ("lowerCorner", "upperCorner")


def read_layer(path: Path, driver: str, layer: str | None, name: str, **options: Any) -> Layer | None:
    """One layer, read record by record; ``None`` for a table without geometry.

    Parameters
    ----------
    driver
        The only driver that may open the file.
    layer
        Its name in the file; ``None`` for the only one.
    name
        What to call it.
    options
        Open options of the driver.

    Raises
    ------
    BoundaryError
        If it has more features or vertices than are read.
    """
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
        except Exception:  # of a class that the library does not export
            crs, statement = None, fact("crs-said/unclear")
        features = tuple(_within_limits(source, heard.of_records))
        n_stated = len(source) if driver in _COUNTED else len(features)
    losses: tuple[Problem, ...] = ()
    if n_stated != len(features):
        losses = (problem("features-lost/readable", n_stated=n_stated, n_read=len(features)),)
    remarks = (fact("text-unread", n_texts=heard.n_texts),) if heard.n_texts else ()
    return Layer(
        name=name, crs=crs, crs_statement=statement, features=features, remarks=remarks, losses=losses
    )


def _has_geometry(source: Any) -> bool:
    """Whether a layer is more than a table; the library has no name for mixed geometries with heights."""
    from fiona.errors import UnsupportedGeometryTypeError

    try:
        return bool(source.schema["geometry"] != "None")
    except UnsupportedGeometryTypeError:
        return True


@dataclass(slots=True)
class _Heard:
    """What the library logs about the record that it reads, which is to be emptied between records; and how many texts it
    left out in all.
    """

    of_records: list[Fact | str] = field(default_factory=list)
    n_texts: int = 0


@contextmanager
def complaints() -> Iterator[_Heard]:
    """What the library logs about records it cannot read; it then goes on as if they had no geometry, or no text."""
    heard = _Heard()

    class Ear(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            said = record.getMessage()
            if record.levelno >= logging.ERROR:
                heard.of_records.append(said.splitlines()[0][:200])
            elif said.startswith(_TEXT_LOST):
                heard.n_texts += 1

    ear, log = Ear(level=logging.WARNING), logging.getLogger("fiona")
    log.addHandler(ear)
    before = sys.unraisablehook
    # errors while it logs an error
    sys.unraisablehook = lambda _: heard.of_records.append(fact("unread/text-damaged"))
    try:
        yield heard
    finally:
        sys.unraisablehook = before
        log.removeHandler(ear)


def _within_limits(source: Any, heard: list[Fact | str]) -> Iterator[Feature]:
    """The features of a layer; an error is raised once they, or their vertices, are too many."""
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


def under_fixed_name(path: Path, place: Path) -> Path:
    """Link or copy a file or folder to ``place``, which is returned.

    Raises
    ------
    BoundaryError
        If an unfinished change is saved beside the file.
    """
    place.parent.mkdir(parents=True, exist_ok=True)
    half_done = path.with_name(path.name + "-journal")
    if is_there(half_done, COMPANION) and content_of(half_done, COMPANION).startswith(_HOT_JOURNAL):
        raise BoundaryError.of("file-unreadable/half-done", beside=half_done.name)
    if path.is_dir():
        place.mkdir()
        for member in path.iterdir():
            shutil.copyfile(member, place / member.name, follow_symlinks=False)
    elif _writes_ahead(path):  # reading it writes beside it, and its newest edits may be in a journal
        shutil.copyfile(path, place)
        _take_along(path, place, "-wal")
    else:
        try:
            place.symlink_to(path)
        except OSError:  # where links need a privilege
            shutil.copyfile(path, place)
    return place


def _take_along(path: Path, place: Path, ending: str) -> None:
    """Copy the file beside another that has its name plus an ending, if there is one."""
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
