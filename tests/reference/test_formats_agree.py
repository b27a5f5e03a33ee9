"""The same field in every format measures the same, whatever a format does to it on the way.

Authority: the formats' own standards as the general-purpose libraries write them; the acres are those of
the one ring in degrees, measured by geographiclib (C. F. F. Karney, Algorithms for geodesics, Journal of
Geodesy 87, 2013).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import boundary_builders as s
import pytest
import shapely
from boundary_builders import POND, SQUARE
from geographiclib.geodesic import Geodesic

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.units import ACRE_M2

HUNDREDTH_ACRE = 0.01
WITH_POND = SQUARE.difference(POND)
RINGS = [list(SQUARE.exterior.coords), list(POND.exterior.coords)]
FORMATS: dict[str, tuple[Callable[[Path], Path], str | None]] = {
    "GeoJSON": (lambda f: s.geojson(f / "a.geojson", WITH_POND), None),
    "GeoPackage": (lambda f: s.vector(f / "a.gpkg", WITH_POND, driver="GPKG"), None),
    "Shapefile": (lambda f: s.shapefile(f / "a.shp", WITH_POND), None),
    "Shapefile in UTM": (lambda f: s.shapefile(f / "a.shp", s.in_crs(WITH_POND, 32615), crs=32615), None),
    "Shapefile in survey feet": (
        lambda f: s.shapefile(f / "a.shp", s.in_crs(WITH_POND, 26851), crs=26851),
        None,
    ),
    "zipped Shapefile": (
        lambda f: s.zipped(f / "a.zip", {"deep/er/b.shp": s.shapefile(f / "b.shp", WITH_POND)}),
        None,
    ),
    "KML": (lambda f: s.vector(f / "a.kml", WITH_POND, driver="KML"), None),
    "KMZ": (
        lambda f: s.zipped(f / "a.kmz", {"farm.kml": s.vector(f / "b.kml", WITH_POND, driver="KML")}),
        None,
    ),
    "FlatGeobuf": (lambda f: s.vector(f / "a.fgb", WITH_POND, driver="FlatGeobuf"), None),
    "GML": (lambda f: s.vector(f / "a.gml", WITH_POND, driver="GML"), None),
    "GPX": (lambda f: s.gpx(f / "a.gpx", RINGS[0]), None),
    "DXF": (lambda f: s.dxf(f / "a.dxf", RINGS[0]), "EPSG:4326"),
    "CSV": (lambda f: s.table(f / "a.csv", f"SRID=4326;{WITH_POND.wkt}"), None),
    "File Geodatabase": (lambda f: s.vector(f / "a.gdb", WITH_POND, driver="OpenFileGDB"), None),
}


def _parquet(folder: Path) -> Path:
    s.frame([WITH_POND]).to_parquet(folder / "a.parquet")
    return folder / "a.parquet"


FORMATS["GeoParquet"] = (_parquet, None)


LINES_ONLY = ("GPX", "DXF")
"""These draw lines: the pond is left out of them, for a second line is a second field."""


def _known_acres(name: str) -> float:
    total = 0.0
    for ring, sign in zip(RINGS[: 1 if name in LINES_ONLY else 2], (1, -1), strict=False):
        polygon = Geodesic.WGS84.Polygon()
        for lon, lat in ring[:-1]:
            polygon.AddPoint(lat, lon)
        total += sign * abs(polygon.Compute()[2])
    return total / ACRE_M2


@pytest.mark.parametrize("name", FORMATS)
def test_every_format_gives_the_same_acres(name: str, tmp_path: Path) -> None:
    """Fifteen ways to bring one field with a pond agree to a hundredth of an acre."""
    make, crs = FORMATS[name]
    path = make(tmp_path)
    fields = load_fields(path, ReadingTerms(crs=crs)).fields
    assert sum(field.mapped_m2 for field in fields) / ACRE_M2 == pytest.approx(
        _known_acres(name), abs=HUNDREDTH_ACRE
    )
    assert shapely.hausdorff_distance(fields[0].ground.geoms[0].exterior, SQUARE.exterior) < 1e-6
