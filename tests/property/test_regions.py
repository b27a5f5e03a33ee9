"""Ground as edges in slabs against a geometry library."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse.csgraph import dijkstra
from shapely import MultiPolygon, affinity, box
from strategies import notched_fields, slowly, star_fields

from fieldplan.kernels.region import Region, cell_clear_m, sees, since_inside
from fieldplan.kernels.travel import over_corners, seen_between


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
def test_no_edge_is_nearer_than_cells_know(field: MultiPolygon, seed: int) -> None:
    """GEOS (`shapely.distance`); cells far inside know of most of the way to the edge."""
    points, region = _points(field, 300, seed), Region.of(field)
    known_m = np.array([cell_clear_m(region, x, y) for x, y in points.tolist()])
    apart_m = shapely.distance(shapely.boundary(field), shapely.points(points))
    assert (known_m <= apart_m + 1e-9).all()
    held = shapely.contains_xy(field, points[:, 0], points[:, 1])
    assert (held[known_m > 0]).all()
    assert not held[known_m < 0].any()
    deep = held & (apart_m > 10 / region.cells_per_m)
    assert (known_m[deep] > apart_m[deep] / 2).all()


@slowly(30)
@given(field=st.one_of(star_fields(), notched_fields()), seed=st.integers(0, 999))
def test_points_see_each_other_where_the_line_between_stays_inside(field: MultiPolygon, seed: int) -> None:
    """GEOS (`shapely.covers`), from one point inside to all others."""
    points = _points(field, 200, seed)
    inside = points[shapely.contains_xy(field, points[:, 0], points[:, 1])]
    if len(inside) < 2:
        return
    lines = shapely.linestrings(np.stack([np.broadcast_to(inside[0], inside.shape), inside], axis=1)[1:])
    region, covered = Region.of(field), shapely.covers(field, lines).tolist()
    for look in (sees, seen_between):
        assert [look(region, *inside[0].tolist(), *place) for place in inside[1:].tolist()] == covered


@slowly(20)
@given(field=st.one_of(star_fields(), notched_fields()), seed=st.integers(0, 999))
def test_the_way_over_corners_is_the_shortest_one(field: MultiPolygon, seed: int) -> None:
    """In fields with a bay or a pond."""
    _check_shortest(field, seed)


@pytest.mark.parametrize("seed", range(12))
def test_the_way_among_ponds_is_the_shortest_one(seed: int) -> None:
    """Past 20 turned ponds, many of which hide a corner from those that it would be nearest over."""
    random = np.random.default_rng(seed)
    ponds = [
        affinity.rotate(box(x, y, x + wide, y + high), turned)
        for x, y, wide, high, turned in random.uniform((20, 20, 5, 5, 0), (270, 170, 60, 20, 180), (20, 5))
    ]
    ground = box(0, 0, 330, 220).difference(shapely.union_all(ponds))
    _check_shortest(MultiPolygon([max(shapely.get_parts(ground), key=lambda part: part.area)]), seed)


def _check_shortest(field: MultiPolygon, seed: int) -> None:
    """Dijkstra's shortest path (`scipy.sparse.csgraph`) over places that GEOS finds to see each other; the way back and
    the same one asked for again, when it is known which corners do, are as long.
    """
    points = _points(field, 60, seed)
    ends = points[shapely.contains_xy(field, points[:, 0], points[:, 1])][:2]
    if len(ends) < 2:
        return
    corners = shapely.get_coordinates(shapely.buffer(field, -0.5, join_style="mitre"))
    places = np.vstack([corners, ends])
    i, k = np.triu_indices(len(places), 1)
    lines = shapely.linestrings(np.stack([places[i], places[k]], axis=1))
    length_m = np.zeros((len(places), len(places)))
    length_m[i, k] = np.where(shapely.covers(field, lines), shapely.length(lines), 0.0)
    shortest_m = dijkstra(length_m, directed=False, indices=len(corners))[-1]
    region, known = Region.of(field), np.zeros((len(corners), len(corners)), dtype=np.int8)
    none_known = np.zeros((0, 0), dtype=np.int8)
    for start, end, seen in ((0, 1, known), (1, 0, known), (0, 1, known), (0, 1, none_known)):
        found, path = over_corners(region, corners, seen, ends[start].copy(), ends[end].copy())
        way = np.vstack([ends[start], corners[path], ends[end]])
        assert found == np.isfinite(shortest_m)
        if found:
            assert np.hypot(*np.diff(way, axis=0).T).sum() == pytest.approx(shortest_m, abs=1e-9)


@slowly(30)
@given(field=st.one_of(star_fields(), notched_fields()), seed=st.integers(0, 999))
def test_a_line_comes_inside_where_it_first_crosses_the_edge(field: MultiPolygon, seed: int) -> None:
    """GEOS (`shapely.intersection`), on lines of three points; stretches shorter than a step may be passed over."""
    points = _points(field, 300, seed).reshape(-1, 3, 2)
    since_m = since_inside(Region.of(field), points.reshape(-1, 2), 3 * np.arange(len(points) + 1), 0.1)
    for line, found_m in zip(shapely.linestrings(points), since_m.tolist(), strict=True):
        inside = shapely.get_parts(shapely.intersection(line, field))
        long = inside[shapely.length(inside) > 0.2]
        stations_m = shapely.line_locate_point(line, shapely.get_point(long, 0))
        other_m = shapely.line_locate_point(line, shapely.get_point(long, -1))
        first_m = float(np.minimum(stations_m, other_m).min(initial=np.inf))
        short = inside[(shapely.length(inside) <= 0.2) & (shapely.length(inside) > 0)]
        assert abs(found_m - first_m) < 1e-3 or found_m == first_m or len(short)


def test_nothing_is_inside_of_no_ground() -> None:
    """An empty polygon has no edges."""
    assert not Region.of(MultiPolygon()).contains(np.zeros((3, 2))).any()


def _points(field: MultiPolygon, n: int, seed: int) -> np.ndarray:
    low, high = np.array(field.bounds).reshape(2, 2)
    return np.random.default_rng(seed).uniform(low - 20, high + 20, (n, 2))
