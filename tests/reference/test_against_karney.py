"""Geodesic areas against GeographicLib: its printed examples and the library itself.

Printed values: GeographicLib Python doc/examples.rst (Antarctica) and geographiclib/test/test_geodesic.py
(Planimeter0, Planimeter15), C. F. F. Karney.
"""

from __future__ import annotations

import geopandas
import pytest
import shapely
from conftest import PRACTICE, SAMPLES
from geographiclib.geodesic import Geodesic
from pyproj import Geod, Transformer
from shapely import MultiPolygon, Polygon

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.plane.frame import frame_near

ANTARCTICA = [
    (-63.1, -58),
    (-72.9, -74),
    (-71.9, -102),
    (-74.9, -102),
    (-74.3, -131),
    (-77.5, -163),
    (-77.4, 163),
    (-71.7, 172),
    (-65.9, 140),
    (-65.7, 113),
    (-66.6, 88),
    (-66.9, 59),
    (-69.8, 25),
    (-70.0, -4),
    (-71.0, -14),
    (-77.3, -33),
    (-77.9, -46),
    (-74.7, -61),
]


@pytest.mark.parametrize(
    ("lat_lon", "area_m2", "half_digit"),
    [
        (ANTARCTICA, 13662703680020.1, 0.05),
        ([(89, 0), (89, 90), (89, 180), (89, 270)], 24952305678.0, 1),
        ([(0, -1), (-1, 0), (0, 1), (1, 0)], 24619419146, 1),
        ([(90, 0), (0, 0), (0, 90)], 63758202715511, 1),
        ([(2, 1), (1, 2), (3, 3)], 18454562325.45119, 1e-3),
    ],
)
def test_printed_polygons_come_out(
    lat_lon: list[tuple[float, float]], area_m2: float, half_digit: float
) -> None:
    """Every printed polygon, to its last digit or the print's own tolerance."""
    ring = Polygon([(lon, lat) for lat, lon in lat_lon])
    assert geodesic_area_m2(ring) == pytest.approx(area_m2, abs=half_digit)


def test_military_grid_square() -> None:
    """MGRS 18SWK, 100 km: 10007388597.2 m² (GeographicLib man page of Planimeter), corners in UTM zone
    18N.
    """
    to_lonlat = Transformer.from_crs("EPSG:32618", "EPSG:4326", always_xy=True).transform
    corners = [(500000, 4400000), (600000, 4400000), (600000, 4500000), (500000, 4500000)]
    assert geodesic_area_m2(Polygon([to_lonlat(*corner) for corner in corners])) == pytest.approx(
        10007388597.2, abs=0.05
    )


def test_kilometre_square_by_edges() -> None:
    """From (0, 0) 1,000 m at 90°, 0° and −90°: 1,000,000 m² ± 0.01 (GeographicLib test suite,
    Planimeter29).
    """
    lon, lat, corners = 0.0, 0.0, [(0.0, 0.0)]
    for azimuth in (90, 0, -90):
        lon, lat, _ = Geod(ellps="WGS84").fwd(lon, lat, azimuth, 1000)
        corners.append((lon, lat))
    assert geodesic_area_m2(Polygon(corners)) == pytest.approx(1_000_000, abs=0.01)


def _oracle_m2(ground: MultiPolygon | Polygon) -> float:
    total = 0.0
    for part in shapely.get_parts(ground):
        for i, ring in enumerate([part.exterior, *part.interiors]):
            polygon = Geodesic.WGS84.Polygon()
            for lon, lat in ring.coords[:-1]:
                polygon.AddPoint(lat, lon)
            area = abs(polygon.Compute()[2])
            total += area if i == 0 else -area
    return total


@pytest.mark.parametrize("flip_shell", [False, True])
@pytest.mark.parametrize("flip_hole", [False, True])
def test_hole_is_subtracted_whatever_its_winding(flip_shell: bool, flip_hole: bool) -> None:
    """A hole wound like its shell is still a hole."""
    shell = [(10.0, 45.0), (10.01, 45.0), (10.01, 45.01), (10.0, 45.01)]
    hole = [(10.002, 45.002), (10.004, 45.002), (10.004, 45.004), (10.002, 45.004)]
    field = Polygon(shell[::-1] if flip_shell else shell, [hole[::-1] if flip_hole else hole])
    assert geodesic_area_m2(field) == pytest.approx(_oracle_m2(field), rel=1e-9)
    assert geodesic_area_m2(field) < geodesic_area_m2(Polygon(shell))


@pytest.mark.parametrize("name", ["farm.geojson", "ponds.gpkg", "pivot.kml", "restoration.zip"])
def test_sample_fields_agree_with_the_library(name: str) -> None:
    """Acres of every sample field within one part in a million of GeographicLib."""
    for field in load_fields(SAMPLES / name).fields:
        assert field.mapped_m2 == pytest.approx(_oracle_m2(field.ground), rel=1e-6)


@pytest.mark.skipif(not PRACTICE.exists(), reason="the practice fields are not on this machine")
def test_practice_fields_agree_with_the_library_and_the_plane() -> None:
    """Acres as published vertices give them, and the layout frame's shoelace, within one part in a
    million.
    """
    raw = geopandas.read_file(PRACTICE).set_index("field_id").geometry
    fields = load_fields(PRACTICE, ReadingTerms(place_is_right=True)).fields
    assert len(fields) == len(raw)
    for field in fields:
        assert field.mapped_m2 == pytest.approx(_oracle_m2(raw[field.field_id]), rel=1e-6)
        assert frame_near(field.ground).to_plane(field.ground).area == pytest.approx(
            field.mapped_m2, rel=1e-6
        )
