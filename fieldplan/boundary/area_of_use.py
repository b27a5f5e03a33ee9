"""Where a reference system is used, and how far places lie outside that area."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from pyproj import CRS

from fieldplan.boundary.acreage import distance_m
from fieldplan.boundary.conversion import once_a_system

FARTHEST_FIELD_DEG = 72.0
"""Nothing is drilled nearer to a pole; coordinates there have been misread."""
Points = npt.NDArray[np.float64]
Place = tuple[float, float]
Bounds = tuple[float, float, float, float]
_MIDDLE_MERIDIAN = ("Longitude of natural origin", "Longitude of false origin")
_NARROW_DEG = 6.0


def horizontal(crs: CRS) -> CRS:
    """A reference system without its heights.

    Examples
    --------
    >>> horizontal(CRS("EPSG:26915+5703")).name
    'NAD83 / UTM zone 15N'
    """
    return crs.sub_crs_list[0] if crs.is_compound else crs


@once_a_system
def unit_m(crs: CRS) -> float:
    """Meters in one unit of the horizontal axes; radians for a system in degrees.

    Examples
    --------
    >>> unit_m(CRS("EPSG:26915")), round(unit_m(CRS("EPSG:4326")), 6)
    (1.0, 0.017453)
    """
    flat = horizontal(crs)
    axes = flat.axis_info or (flat.source_crs.axis_info if flat.source_crs else [])
    return float(axes[0].unit_conversion_factor) if axes else 1.0


@once_a_system
def area_of_use(crs: CRS) -> Bounds | None:
    """West, south, east and north, in degrees, of the area where a system is used.

    ``None`` if unknown. West is the larger number if the area lies across the date line.
    """
    flat = horizontal(crs)
    for system in (crs, flat, *([flat.source_crs] if flat.is_bound and flat.source_crs else [])):
        if system.area_of_use is not None:
            return system.area_of_use.bounds
        known = system.to_authority(min_confidence=70)
        if known is not None and (use := CRS.from_authority(*known).area_of_use) is not None:
            return use.bounds
    if flat.utm_zone is not None:
        west = -186.0 + 6 * int(flat.utm_zone[:-1])
        return (west, 0.0, west + 6, 84.0) if flat.utm_zone.endswith("N") else (west, -80.0, west + 6, 0.0)
    return _drawn_for(flat)


def _drawn_for(crs: CRS) -> Bounds | None:
    """About where a projection without a name is used: around its central meridian, and its parallels if it
    has two.
    """
    if not crs.is_projected or crs.coordinate_operation is None:
        return None
    values = {
        param.name: float(param.value) * param.unit_conversion_factor * 180 / np.pi
        for param in crs.coordinate_operation.params
        if param.name.startswith(("Latitude", "Longitude"))
    }
    lon = next((value for name, value in values.items() if name in _MIDDLE_MERIDIAN), None)
    if lon is None:
        return None
    parallels = [value for name, value in values.items() if "standard parallel" in name]
    if len(parallels) != 2:
        return lon - _NARROW_DEG, -90.0, lon + _NARROW_DEG, 90.0
    high = max(_NARROW_DEG / 2, max(parallels) - min(parallels))
    wide = max(_NARROW_DEG, 2 * high)
    return lon - wide, max(-90.0, min(parallels) - high), lon + wide, min(90.0, max(parallels) + high)


def outside(use: Bounds, lonlat: Points) -> Points:
    """How far places lie outside an area, in widths (or heights) of that area.

    Parameters
    ----------
    use
        West, south, east and north of the area, in degrees; west is the larger across the date line.
    lonlat
        Longitude and latitude, shape (n, 2).

    Returns
    -------
    ndarray
        Shape (n,): 0 inside, infinite where nothing is drilled.

    Examples
    --------
    >>> outside((-96.0, 40.0, -92.0, 44.0), np.array([[-95.0, 42.0], [-88.0, 42.0], [0.0, 89.0]])).tolist()
    [0.0, 1.0, inf]
    """
    west, south, east, north = use
    wide = (east - west) % 360.0 or 360.0
    lon = (lonlat[:, 0] - west) % 360.0  # east of the western edge, so the date line needs no care
    across = np.where(lon <= wide, 0.0, np.minimum(lon - wide, 360.0 - lon)) / max(1.0, wide)
    up = np.maximum(np.maximum(south - lonlat[:, 1], lonlat[:, 1] - north), 0.0) / max(1.0, north - south)
    off = np.where(np.abs(lonlat[:, 1]) > FARTHEST_FIELD_DEG, np.inf, np.maximum(across, up))
    return np.where(np.isfinite(off), off, np.inf)


def beyond_m(use: Bounds, place: Place) -> float:
    """Distance in m from a place (longitude, latitude) to the nearest edge of an area of use; 0 inside."""
    west, south, east, north = use
    lon, lat = place
    wide = (east - west) % 360.0 or 360.0
    off = (lon - west) % 360.0
    edge = lon if off <= wide else east if off - wide < 360.0 - off else west
    return distance_m(place, (edge, min(max(lat, south), north)))
