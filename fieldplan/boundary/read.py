"""Boundary files → features as they stand in the file: a layer, attributes, a geometry and a reference system."""

from __future__ import annotations

import sqlite3
import tempfile
import warnings
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path, PurePosixPath
from typing import Any

import shapely
from pyproj import CRS
from pyproj.exceptions import CRSError
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.guard import Format, recognise
from fieldplan.errors import BoundaryError, MissingExtra

_DRIVERS = {"geojson": "GeoJSON", "gpkg": "GPKG", "shapefile": "ESRI Shapefile", "flatgeobuf": "FlatGeobuf"}
_SIDECARS = (".shp", ".shx", ".dbf", ".prj", ".cpg")


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """One feature of a boundary file. ``crs`` is ``None`` if the file declares none."""

    layer: str
    attributes: Mapping[str, Any]
    geometry: BaseGeometry | None
    crs: CRS | None


def read_features(path: Path) -> tuple[Feature, ...]:
    """Every feature of every layer that has geometry.

    Raises
    ------
    BoundaryError
        If the file is refused by the guard or cannot be read.
    MissingExtra
        If it is GeoParquet and the reader for that is not installed.
    """
    kind = recognise(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return tuple(_features(path.resolve(), kind))
    except (BoundaryError, MissingExtra):
        raise
    except Exception as problem:  # the readers raise many kinds for broken files, none of them ours
        reason = str(problem).strip().splitlines()[0] if str(problem).strip() else type(problem).__name__
        raise BoundaryError.of(
            "file-unreadable", f"{path}: the file is damaged or incomplete ({reason}).", "export it again"
        ) from None


def _features(path: Path, kind: Format) -> Iterator[Feature]:
    if kind == "zip":
        with tempfile.TemporaryDirectory() as folder:
            for shapefile in _unpack_shapefiles(path, Path(folder)):
                yield from _with_fiona(shapefile, "ESRI Shapefile")
    elif kind in ("kml", "kmz"):
        yield from _with_geopandas(path)
    elif kind == "parquet":
        yield from _with_pyarrow(path)
    else:
        if kind == "geojson":
            _require_utf8(path)
        yield from _with_fiona(path, _DRIVERS[kind])


def _require_utf8(path: Path) -> None:
    """GeoJSON is UTF-8 by its standard (RFC 7946); other bytes trip the reader's own log of errors."""
    with path.open(encoding="utf-8-sig") as stream:
        while stream.read(1 << 20):
            pass


def _with_fiona(path: Path, driver: str) -> Iterator[Feature]:
    """Read record by record with an allow-list of one driver: nothing virtual or remote can be opened."""
    import fiona

    for layer in _geopackage_layers(path) if driver == "GPKG" else [0]:
        with fiona.open(path, layer=layer, enabled_drivers=[driver]) as source:
            if source.schema["geometry"] == "None":
                continue
            crs = _crs(source.crs_wkt)
            for record in source:
                geometry = None if record.geometry is None else shapely.geometry.shape(record.geometry)
                yield Feature(layer=str(layer or path.stem), attributes=dict(record.properties), geometry=geometry, crs=crs)


def _geopackage_layers(path: Path) -> list[str]:
    """Layers of features, from the table of contents that the standard prescribes.

    The library's own listing knows no allow-list of drivers and crashes the whole program on some damaged files.
    """
    address = f"{path.as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(address, uri=True)) as database:
        found = database.execute("SELECT table_name FROM gpkg_contents WHERE data_type = 'features' ORDER BY rowid")
        return [str(name) for (name,) in found]


def _with_geopandas(path: Path) -> Iterator[Feature]:
    """Read KML and KMZ, every folder of them: a folder is a layer."""
    import geopandas
    import pyogrio

    # As bytes: neither the name of the file nor anything beside it can change what is opened.
    content = path.read_bytes()
    for layer, _ in pyogrio.list_layers(content):
        frame = geopandas.read_file(BytesIO(content), layer=layer, on_invalid="fix")
        yield from _rows(frame, str(layer))


def _with_pyarrow(path: Path) -> Iterator[Feature]:
    import geopandas

    try:
        import pyarrow  # noqa: F401  the reader needs it
    except ImportError:
        raise MissingExtra.named("scale", "Reading GeoParquet") from None
    yield from _rows(geopandas.read_parquet(path), path.stem)


def _rows(frame: Any, layer: str) -> Iterator[Feature]:
    crs = None if frame.crs is None else CRS(frame.crs)
    attributes = frame.drop(columns=frame.geometry.name).to_dict("records")
    for row, geometry in zip(attributes, frame.geometry, strict=True):
        yield Feature(layer=layer, attributes=row, geometry=geometry, crs=crs)


def _unpack_shapefiles(archive: Path, folder: Path) -> list[Path]:
    """Copy each shapefile of a zip, with its sidecars and under names of our own, into a folder."""
    found: list[Path] = []
    with zipfile.ZipFile(archive) as source:
        names = [n for n in source.namelist() if "__MACOSX" not in n and not n.endswith("/")]
        for shp in (name for name in names if name.lower().endswith(".shp")):
            stem = PurePosixPath(shp).with_suffix("")
            place = folder / str(len(found))
            place.mkdir()
            for name in names:
                suffix = PurePosixPath(name).suffix.lower()
                if suffix in _SIDECARS and PurePosixPath(name).with_suffix("") == stem:
                    (place / f"layer{suffix}").write_bytes(source.read(name))
            found.append(place / "layer.shp")
    return found


def _crs(wkt: str) -> CRS | None:
    try:
        return CRS.from_wkt(wkt) if wkt else None
    except CRSError:
        return None
