"""Conversions that are remembered are those that a search at each place finds."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from pyproj import CRS, Transformer
from pyproj.transformer import AreaOfInterest, TransformerGroup

from fieldplan.boundary import conversion
from fieldplan.boundary.conversion import Bounds, Conversion, conversion_for, is_wgs84

_SIDE_DEG = 0.005


def _placed(crs: CRS, lon: float, lat: float) -> Bounds | None:
    """The bounds of a small field there, in the coordinates of a system."""
    to_system = Transformer.from_crs("OGC:CRS84", crs, always_xy=True)
    x, y = np.array(
        [
            to_system.transform(lon + east, lat + north)
            for east in (0, _SIDE_DEG)
            for north in (0, _SIDE_DEG)
        ]
    ).T
    return (x.min(), y.min(), x.max(), y.max()) if np.isfinite([*x, *y]).all() else None


def _searched(crs: CRS, bounds: Bounds) -> tuple[object, ...] | None:
    """What the library finds best for one place, asked anew."""
    rough = Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
    place = rough.transform_bounds(*bounds)
    if not np.isfinite(place).all():
        return None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        group = TransformerGroup(
            crs, CRS("EPSG:4326"), always_xy=True, area_of_interest=AreaOfInterest(*place)
        )
    best = group.transformers[0] if group.transformers else rough
    return best.definition, best.description, best.accuracy, group.best_available


def _told(found: Conversion) -> tuple[object, ...]:
    best = found.transformer
    return best.definition, best.description, best.accuracy, found.is_best


@pytest.mark.parametrize("code", [26915, 2811, 2227, 5070, 4269, 4267, 27700, 31467, 2193, 32615])
def test_what_is_remembered_is_what_a_search_finds(code: int) -> None:
    """At places all over the area where a system is used, and a little beyond: zones, grids of states, old datums."""
    crs, chance = CRS(code), np.random.default_rng(code)
    west, south, east, north = crs.area_of_use.bounds
    wide = (east - west) % 360.0
    for _ in range(12):
        lon = west + wide * chance.uniform(-0.1, 1.1)
        lat = south + (north - south) * chance.uniform(-0.1, 1.1)
        bounds = _placed(crs, lon, lat) if abs(lat) < 75 else None
        wanted = None if bounds is None else _searched(crs, bounds)
        if wanted is not None:
            assert _told(conversion_for(crs, bounds)) == wanted, (lon, lat)


def test_the_edge_of_an_area_is_looked_at_anew() -> None:
    """A field across the edge of an area, or outside the system's own, is like no other: the library weighs shares."""
    areas = ((-100.0, 40.0, -90.0, 50.0), (-96.0, 40.0, -90.0, 50.0))
    assert conversion._choice(areas, (-97.1, 44.0, -97.0, 44.1)) == (True, False)
    assert conversion._choice(areas, (-95.1, 44.0, -95.0, 44.1)) == (True, True)
    assert conversion._choice(areas, (-96.1, 44.0, -95.9, 44.1)) is None
    assert conversion._choice(areas, (-80.1, 44.0, -80.0, 44.1)) is None
    assert conversion._choice(None, (-95.1, 44.0, -95.0, 44.1)) is None


def test_a_place_is_searched_for_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A second field nearby needs no search: it would take longer than all else that is done with its outline."""
    crs = CRS(26915)
    first, second = _placed(crs, -95.0, 44.1), _placed(crs, -94.9, 44.2)
    assert first is not None
    assert second is not None
    found = conversion_for(crs, first)
    monkeypatch.setattr(conversion, "TransformerGroup", None)
    assert conversion_for(crs, second) is found


def test_longitude_and_latitude_on_wgs84_stay_as_they_are() -> None:
    """By any of their names; and another datum is another place."""
    assert all(is_wgs84(CRS(name)) for name in ("EPSG:4326", "EPSG:4979", "OGC:CRS84"))
    assert not any(is_wgs84(CRS(name)) for name in ("EPSG:4269", "OGC:CRS83", "EPSG:32615"))
