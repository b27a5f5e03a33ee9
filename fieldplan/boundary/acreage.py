"""Acres on the ellipsoid, and the wrong acres that a map projection gives for the same outline."""

from __future__ import annotations

import numpy as np
import shapely
from pyproj import CRS, Geod, Transformer
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.conversion import once_a_system
from fieldplan.model.field import Acreage
from fieldplan.plane.date_line import past

_WGS84 = Geod(ellps="WGS84")
_WEB_MERCATOR = CRS.from_epsg(3857)


def geodesic_area_m2(ground: BaseGeometry) -> float:
    """Area of polygons on the WGS84 ellipsoid, in m².

    Each ring is measured by itself and the sign of its area dropped; holes are subtracted because they are
    holes, whatever their winding. Height above the ellipsoid and slope are left out: ground at 1,500 m is
    0.05 % larger, ground at 5 % slope 0.125 %.

    Parameters
    ----------
    ground
        Polygons in degrees of longitude and latitude, with geodesics as edges; anything else counts as 0.

    Returns
    -------
    float
        Area of the outer rings less that of the holes, in m².

    Notes
    -----
    Source: C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87, 2013.

    Examples
    --------
    >>> square = shapely.box(-95.01, 44.0, -95.0, 44.01)
    >>> hole = shapely.box(-95.008, 44.002, -95.006, 44.004)
    >>> with_hole = shapely.Polygon(square.exterior, [hole.exterior])
    >>> round(geodesic_area_m2(square) - geodesic_area_m2(hole) - geodesic_area_m2(with_hole), 3)
    0.0
    """
    total = 0.0
    for polygon in shapely.get_parts(ground):
        if isinstance(polygon, shapely.Polygon) and not polygon.is_empty:
            total += ring_area_m2(polygon.exterior) - sum(ring_area_m2(hole) for hole in polygon.interiors)
    return total


def ring_area_m2(ring: shapely.LinearRing) -> float:
    """Area inside one ring of longitudes and latitudes, whatever its winding, in m²."""
    lon, lat = np.asarray(ring.coords)[:, :2].T
    area, _ = _WGS84.polygon_area_perimeter(lon, lat)
    return abs(float(area))


def distance_m(start: tuple[float, float], end: tuple[float, float]) -> float:
    """Length of the geodesic between two places on WGS84, in m.

    Parameters
    ----------
    start, end
        Longitude and latitude of each place, in degrees.

    Examples
    --------
    A degree along the equator is a 360th of the ellipsoid's equator, 2π · 6,378,137 m.

    >>> round(distance_m((0.0, 0.0), (1.0, 0.0)), 3)
    111319.491
    """
    _, _, distance = _WGS84.inv(*start, *end)
    return float(distance)


def acreage_of(ground: MultiPolygon, file_crs: CRS) -> Acreage:
    """The same outline measured in Web Mercator and in the coordinates of its file, in m².

    Parameters
    ----------
    ground
        The outline in degrees of longitude and latitude.
    file_crs
        The reference system of the file it came from.

    Returns
    -------
    Acreage
        ``own_coordinates_m2`` is ``None`` for a file in degrees, which have no area.
    """
    in_file_m2 = None
    if file_crs.is_projected:
        in_file_m2 = _projected(ground, file_crs).area * file_crs.axis_info[0].unit_conversion_factor ** 2
    return Acreage(
        web_mercator_m2=float(_projected(ground, _WEB_MERCATOR).area),
        own_coordinates_m2=in_file_m2,
        own_coordinates_name=file_crs.name,
    )


def _projected(ground: MultiPolygon, crs: CRS) -> MultiPolygon:
    project = _from_lonlat(crs).transform
    if past(ground) and crs.to_epsg() == 3857:
        # half way around the Earth areas are the same, and no edge of the map is near
        ground = shapely.transform(ground, lambda xy: xy - (180.0, 0.0))
    return shapely.transform(ground, lambda xy: np.column_stack(project(xy[:, 0], xy[:, 1])))


@once_a_system
def _from_lonlat(crs: CRS) -> Transformer:
    return Transformer.from_crs("EPSG:4326", crs, always_xy=True)
