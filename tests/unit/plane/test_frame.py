"""Frames of fields all over a country."""

from __future__ import annotations

import gc

from pyproj import Proj
from shapely import Point

from fieldplan.plane.frame import frame_near

_HELD_KB, _MOST_KB = 30, 10_000


def test_projections_of_a_country_are_not_all_kept() -> None:
    """A process that plans it part by part would grow with every cell that it comes to."""
    for k in range(1_000):
        field = Point(-100.0 + 0.05 * (k % 40), 40.0 + 0.05 * (k // 40))
        frame_near(field).to_plane(field)
    gc.collect()
    kept = sum(type(thing) is Proj for thing in gc.get_objects())  # others may be proxies
    assert kept * _HELD_KB < _MOST_KB
    assert kept > 0
