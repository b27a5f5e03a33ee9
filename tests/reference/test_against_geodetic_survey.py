"""Feet against the US National Geodetic Survey.

Printed values: NGS coordinate conversion and transformation tool (NCAT), web service documentation, example
point 40° N 80° W: Pennsylvania South zone 3702, northing and easting in metres, US survey feet and
international feet. The two feet: 85 FR 62698 (document 2020-21902, NIST and NOAA).
"""

from __future__ import annotations

from pathlib import Path

import boundary_builders as s
import pytest
import shapely
from pyproj import Geod

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms

HALF_MM = 0.0005
FOOT_M, SURVEY_FOOT_M = 0.3048, 1200 / 3937
METRES, SURVEY_FEET, INTERNATIONAL_FEET = (
    (407886.482, 76470.584),
    (1338207.567, 250887.243),
    (1338210.244, 250887.744),
)
IN_SURVEY_FEET = "EPSG:2272"
IN_INTERNATIONAL_FEET = (
    "+proj=lcc +lat_0=39.33333333333334 +lon_0=-77.75 +lat_1=40.96666666666667 +lat_2=39.93333333333333 "
    "+x_0=600000 +y_0=0 +datum=NAD83 +units=ft +type=crs"
)


def _south_west_corner(
    path: Path, corner: tuple[float, float], side: float, crs: str
) -> tuple[float, float, float]:
    """Longitude and latitude of the first corner of a square read in that system, and the square's area in
    m².
    """
    x, y = corner
    s.geojson(path, shapely.box(x, y, x + side, y + side))
    (field,) = load_fields(path, ReadingTerms(crs=crs)).fields
    west, south = min(shapely.get_coordinates(field.ground).tolist(), key=sum)
    return west, south, field.mapped_m2


@pytest.mark.parametrize(
    ("corner", "side", "crs"),
    [
        (METRES, 400.0, "EPSG:32129"),
        (SURVEY_FEET, 400 / SURVEY_FOOT_M, IN_SURVEY_FEET),
        (INTERNATIONAL_FEET, 400 / FOOT_M, IN_INTERNATIONAL_FEET),
    ],
)
def test_printed_point_lies_where_it_is_printed(
    corner: tuple[float, float], side: float, crs: str, tmp_path: Path
) -> None:
    """The same point in metres and either foot lands on 40° N 80° W, to the millimetre printed."""
    lon, lat, area_m2 = _south_west_corner(tmp_path / "a.geojson", corner, side, crs)
    _, _, off_m = Geod(ellps="GRS80").inv(lon, lat, -80, 40)
    assert off_m < 2 * HALF_MM + FOOT_M * HALF_MM
    assert area_m2 == pytest.approx(400 * 400, rel=1e-4)


def test_the_two_feet_differ_where_it_matters(tmp_path: Path) -> None:
    """International feet read as survey feet move this point 0.82 m: harmless for acres, not for a
    boundary.
    """
    lon, lat, area_m2 = _south_west_corner(
        tmp_path / "a.geojson", INTERNATIONAL_FEET, 400 / FOOT_M, IN_SURVEY_FEET
    )
    _, _, off_m = Geod(ellps="GRS80").inv(lon, lat, -80, 40)
    east = (INTERNATIONAL_FEET[0] - SURVEY_FEET[0]) * SURVEY_FOOT_M
    north = (INTERNATIONAL_FEET[1] - SURVEY_FEET[1]) * SURVEY_FOOT_M
    assert off_m == pytest.approx((east**2 + north**2) ** 0.5, abs=0.001)
    _, _, right_m2 = _south_west_corner(
        tmp_path / "b.geojson", SURVEY_FEET, 400 / SURVEY_FOOT_M, IN_SURVEY_FEET
    )
    assert area_m2 / right_m2 == pytest.approx((SURVEY_FOOT_M / FOOT_M) ** 2, rel=1e-8)
