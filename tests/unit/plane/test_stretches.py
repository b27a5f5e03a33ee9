"""Parts of lines between two stations, beside those that a general library cuts out."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import LineString
from shapely.ops import substring

from fieldplan.plane.travel import stretch, stretches

NANOMETER = 1e-9


def _lines(n: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Random lines, and two stations on each; every third one is a vertex, every fifth the start of the line."""
    random = np.random.default_rng(7)
    lines = [LineString(random.normal(size=(k % 9 + 2, 2)).cumsum(axis=0) * 10) for k in range(n)]
    start_m, end_m = np.sort([random.uniform(0, line.length, 2) for line in lines]).T
    for k in range(0, n, 3):
        vertex_m = LineString(lines[k].coords[:2]).length
        start_m[k] = vertex_m if vertex_m + 0.001 < end_m[k] else start_m[k]
    start_m[::5] = 0.0
    return np.array(lines), start_m, end_m


def test_parts_of_lines_are_those_of_a_general_library() -> None:
    """Point for point."""
    lines, start_m, end_m = _lines(300)
    parts = stretches(lines, start_m, end_m)
    for line, since_m, until_m, part in zip(lines, start_m, end_m, parts, strict=True):
        wanted = substring(line, since_m, until_m)
        assert shapely.get_coordinates(part) == pytest.approx(
            shapely.get_coordinates(wanted), abs=NANOMETER
        )
        assert shapely.equals_exact(stretch(line, since_m, until_m), part, NANOMETER)


def test_a_station_beyond_an_end_is_that_end() -> None:
    """Twelve meters along a line of ten."""
    line = LineString([(0, 0), (10, 0)])
    assert stretch(line, 4.0, 12.0).wkt == "LINESTRING (4 0, 10 0)"
    assert stretches(np.array([line]), np.array([-1.0]), np.array([3.0]))[0].wkt == "LINESTRING (0 0, 3 0)"


def test_a_part_of_no_length_has_both_its_ends_in_one_place() -> None:
    """At a vertex."""
    corner = LineString([(0, 0), (10, 0), (10, 10)])
    assert stretch(corner, 10.0, 10.0).wkt == "LINESTRING (10 0, 10 0)"
