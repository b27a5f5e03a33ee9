"""GeoPackage, FlatGeobuf, GML, GPX, DXF and File Geodatabase through fiona, each with an allow-list of one driver.

With that list nothing virtual or remote can be opened. The file is handed over under a name of our own in a temporary
folder, for some drivers write beside what they read, and take parts of a name for commands.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import shapely

from fieldplan.boundary.guard import MOST_FEATURES, MOST_FILE_VERTICES, refuse_features, refuse_vertices
from fieldplan.boundary.layer import Feature, Layer, declared_crs, feature_of
from fieldplan.boundary.readers.curves import STEP_DEG
from fieldplan.boundary.readers.listing import layer_names
from fieldplan.errors import BoundaryError

_DRIVERS = {
    "GeoPackage": ("GPKG", ".gpkg"),
    "FlatGeobuf": ("FlatGeobuf", ".fgb"),
    "GML": ("GML", ".gml"),
    "GPX": ("GPX", ".gpx"),
    "DXF": ("DXF", ".dxf"),
    "File Geodatabase": ("OpenFileGDB", ".gdb"),
}
_GPX_LAYERS = ("tracks", "routes", "waypoints")
_OPTIONS = {"GML": {"DOWNLOAD_SCHEMA": "NO"}}
"""The GML driver would fetch the schema that a file names."""
_SETTINGS = {"OGR_ARC_STEPSIZE": str(STEP_DEG)}
_WAL_MARK = slice(18, 20)
_NOT_ATTRIBUTES = ("lowerCorner", "upperCorner")


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """Every layer that has geometry."""
    del encoding
    driver, suffix = _DRIVERS[kind]
    place = under_our_name(path, folder / "read" / f"boundary{suffix}")
    for layer in _layer_names(place, kind):
        shown = name if layer in (None, "boundary", "entities") else str(layer)
        found = read_layer(place, driver, layer, shown, **_OPTIONS.get(kind, {}))
        if found is not None and (found.features or kind != "GPX"):
            yield found


def read_layer(path: Path, driver: str, layer: str | None, name: str, **options: Any) -> Layer | None:
    """One layer, record by record; ``None`` for a table without geometry. ``options`` go to the driver."""
    import fiona

    with fiona.Env(**_SETTINGS), fiona.open(path, layer=layer, enabled_drivers=[driver], **options) as source:
        if source.schema["geometry"] == "None":
            return None
        try:
            crs, said = declared_crs(source.crs_wkt)
        except Exception:  # of a class that the library keeps to itself
            crs, said = None, "declares a reference system that cannot be understood"
        features = tuple(_within_limits(source, path))
    return Layer(name=name, crs=crs, crs_said=said, features=features)


def _within_limits(source: Any, path: Path) -> Iterator[Feature]:
    """The features of a layer; reading stops where they are too many, or have too many vertices together."""
    n_vertices = 0
    for number, record in enumerate(source):
        feature = _feature(record)
        if feature.geometry is not None:
            n_vertices += shapely.get_num_coordinates(feature.geometry)
        if n_vertices > MOST_FILE_VERTICES:
            refuse_vertices(path)
        if number >= MOST_FEATURES:
            refuse_features(path)
        yield feature


def _feature(record: Any) -> Feature:
    attributes = {key: value for key, value in record.properties.items() if key not in _NOT_ATTRIBUTES}
    geometry = None if record.geometry is None else record.geometry.__geo_interface__
    return feature_of(attributes, geometry)


def under_our_name(path: Path, place: Path) -> Path:
    """The file or folder at ``place``, as a link or copy."""
    place.parent.mkdir(parents=True, exist_ok=True)
    if path.is_dir():
        place.mkdir()
        for member in path.iterdir():
            shutil.copyfile(member, place / member.name, follow_symlinks=False)
    elif _writes_ahead(path):  # reading such a GeoPackage writes beside it, and its newest edits may stand in a journal
        shutil.copyfile(path, place)
        journal = path.with_name(path.name + "-wal")
        if journal.is_file() and not journal.is_symlink():
            shutil.copyfile(journal, place.with_name(place.name + "-wal"))
    else:
        try:
            place.symlink_to(path)
        except OSError:  # where links need a privilege
            shutil.copyfile(path, place)
    return place


def _writes_ahead(path: Path) -> bool:
    """Whether a file is a database with a write-ahead log (SQLite file format, section 1.3.3)."""
    with path.open("rb") as stream:
        head = stream.read(_WAL_MARK.stop)
    return head.startswith(b"SQLite format 3") and 2 in head[_WAL_MARK]


def _layer_names(path: Path, kind: str) -> list[str | None]:
    if kind == "GeoPackage":
        return list(_geopackage_layers(path))
    if kind == "GPX":
        return list(_GPX_LAYERS)
    if kind == "DXF":
        return ["entities"]
    if kind == "FlatGeobuf":
        return [None]
    return list(layer_names(path))  # fiona's own list of layers knows no allow-list of drivers


def _geopackage_layers(path: Path) -> list[str]:
    """Layers of features, from the table of contents that the standard prescribes.

    The libraries' own listing crashes the whole program on some damaged files.
    """
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as database:
        try:
            if not database.execute("SELECT 1 FROM sqlite_master WHERE name = 'gpkg_contents' AND type = 'table'").fetchone():
                raise sqlite3.OperationalError("no table of contents")
            found = database.execute("SELECT table_name FROM gpkg_contents WHERE data_type = 'features' ORDER BY rowid")
            return [str(name) for (name,) in found]
        except sqlite3.OperationalError:
            raise BoundaryError.of(
                "format-unknown", f"{path}: is a database, but no GeoPackage.", "export it as GeoPackage"
            ) from None
