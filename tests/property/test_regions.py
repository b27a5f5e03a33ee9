"""Ground as edges in slabs against a geometry library."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon
from strategies import notched_fields, slowly, star_fields

from fieldplan.kernels.region import Region, all_seen


@slowly(30)
@given(field=st.one_of(star_fields(), notched_fields()), seed=st.integers(0, 999))
def test_points_are_inside_where_the_library_has_them(field: MultiPolygon, seed: int) -> None:
    """GEOS (`shapely.contains_xy`), on points in and about the field; none lies on an edge."""
    points = _points(field, 500, seed)
    assert (
        Region.of(field).contains(points) == shapely.contains_xy(field, points[:, 0], points[:, 1])
    ).all()


@slowly(30)
@given(field=st.one_of(star_fields(), notched_fields()), seed=st.integers(0, 999))
def test_points_see_each_other_where_the_line_between_stays_inside(field: MultiPolygon, seed: int) -> None:
    """GEOS (`shapely.covers`), from one point inside to all others."""
    points = _points(field, 200, seed)
    inside = points[shapely.contains_xy(field, points[:, 0], points[:, 1])]
    if len(inside) < 2:
        return
    lines = shapely.linestrings(np.stack([np.broadcast_to(inside[0], inside.shape), inside], axis=1)[1:])
    seen = all_seen(Region.of(field), *inside[0].tolist(), inside[1:].copy())
    assert (seen == shapely.covers(field, lines)).all()


def test_nothing_is_inside_of_no_ground() -> None:
    """An empty polygon has no edges."""
    assert not Region.of(MultiPolygon()).contains(np.zeros((3, 2))).any()


def _points(field: MultiPolygon, n: int, seed: int) -> np.ndarray:
    low, high = np.array(field.bounds).reshape(2, 2)
    return np.random.default_rng(seed).uniform(low - 20, high + 20, (n, 2))
