"""The area that one polygon alone covers, on squares and triangles that can be reckoned on paper."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from fieldplan.kernels.overlaid import alone_m2
from fieldplan.plane.overlaid import Outlines, Overlaid

FIELD = box(-50, -50, 50, 50)


def _alone_m2(one: Polygon, *others: Polygon | MultiPolygon, within: Polygon = FIELD) -> float:
    """The area of ``one`` within a field, without the others; turned, so that no edge is level."""
    polygons = np.array([one, *others, within], dtype=object)
    turned = np.array([shapely.affinity.rotate(each, 17.0, origin=(0, 0)) for each in polygons])
    kind, along = np.array([0, *(1 for _ in others), 2]), np.array([1.0, 0.0])
    found = [Overlaid.of([Outlines.of(each, kind)], along, 3).only_m2(0, 2) for each in (polygons, turned)]
    each = [Outlines.of(some, np.arange(len(some))) for some in (polygons, turned)]
    found += [alone_m2(one.ends, one.kind, 0, np.ones(len(polygons), dtype=bool)) for one in each]
    assert found == pytest.approx([found[0]] * 4, abs=1e-9)
    return found[0]


def test_nothing_else_there_leaves_all() -> None:
    """Within the field, and with what lies beside it on either hand."""
    assert _alone_m2(box(0, 0, 10, 10), box(-9, 0, -1, 10), box(11, 0, 20, 10)) == pytest.approx(100)


def test_what_others_cover_counts_once_where_they_overlap() -> None:
    """Two strips that cross take 20 + 20 - 4 of 100."""
    assert _alone_m2(box(0, 0, 10, 10), box(-5, 4, 15, 6), box(4, -5, 6, 15)) == pytest.approx(64)


def test_others_that_reach_in_from_afar_count() -> None:
    """A frame with the square in its hole takes nothing, and the hole's rim what it covers."""
    frame = box(-30, -30, 30, 30).difference(box(-1, -1, 8, 11))
    assert _alone_m2(box(0, 0, 10, 10), frame) == pytest.approx(80)


def test_edges_that_cross_obliquely_bound_what_is_left() -> None:
    """A triangle that covers all beyond the diagonal leaves half; a second one across leaves a quarter."""
    beyond = Polygon([(-10, -10), (20, 20), (20, -10)])
    across = Polygon([(20, -10), (-10, 20), (20, 20)])
    assert _alone_m2(box(0, 0, 10, 10), beyond) == pytest.approx(50)
    assert _alone_m2(box(0, 0, 10, 10), beyond, across) == pytest.approx(25)


def test_edges_in_common_leave_nothing_between() -> None:
    """Two halves that meet on a line, and one of two parts that repeats the same edges."""
    halves = MultiPolygon([box(0, 0, 10, 3), box(0, 7, 10, 10)])
    assert _alone_m2(box(0, 0, 10, 10), halves, box(0, 3, 10, 7)) == pytest.approx(0, abs=1e-9)


def test_what_lies_outside_the_field_does_not_count() -> None:
    """A regular polygon of 60 corners and radius 5, half of it in the field: 30·25·sin 6° m²/2."""
    angle = np.radians(np.arange(60) * 6.0)
    round_one = Polygon(np.column_stack([50 + 5 * np.cos(angle), 5 * np.sin(angle)]))
    expected_m2 = 30 * 25 * math.sin(math.radians(6)) / 2
    assert _alone_m2(round_one) == pytest.approx(expected_m2)


def test_others_that_are_not_kept_cover_nothing() -> None:
    """One of two strips that cross is left out: the other takes 20 of 100."""
    polygons = np.array([box(0, 0, 10, 10), box(-5, 4, 15, 6), box(4, -5, 6, 15), FIELD])
    edges = Outlines.of(polygons, np.arange(4))
    assert alone_m2(edges.ends, edges.kind, 0, np.array([True, True, False, True])) == pytest.approx(80)
