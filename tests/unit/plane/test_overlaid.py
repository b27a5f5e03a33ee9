"""Areas of grounds that lie over each other, against overlays of them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import shapely.affinity
from shapely import MultiPolygon, Polygon, box

from fieldplan.model.coverage import Array
from fieldplan.plane.overlaid import Outlines, Overlaid

AREA_FRAC = 1e-9


def _star(rng: np.random.Generator) -> Polygon:
    n = rng.integers(6, 30)
    angle, radius_m = (np.arange(n) + rng.uniform(0, 0.9, n)) * 2 * np.pi / n, rng.uniform(30, 200, n)
    place = np.stack([np.cos(angle), np.sin(angle)], axis=1) * radius_m[:, None] + rng.uniform(0, 400, 2)
    hole = shapely.Point(place.mean(axis=0)).buffer(9)
    return Polygon(place).difference(hole)


def _along(rng: np.random.Generator) -> Array:
    angle = rng.uniform(0, 2 * np.pi)
    return np.array([np.cos(angle), np.sin(angle)])


@pytest.mark.parametrize("seed", range(20))
def test_each_combination_has_the_area_that_an_overlay_has(seed: int) -> None:
    """Three kinds, three stars with a hole each, in whatever direction the sweep goes."""
    rng = np.random.default_rng(seed)
    kinds = [np.array([_star(rng) for _ in range(3)]) for _ in range(3)]
    outlines = [Outlines.of(grounds, kind) for kind, grounds in enumerate(kinds)]
    found = Overlaid.of(outlines, _along(rng), 3).m2
    unions = [shapely.union_all(grounds) for grounds in kinds]
    for mask in range(1, 8):
        some = shapely.intersection_all([unions[k] for k in range(3) if mask >> k & 1])
        rest = shapely.union_all([unions[k] for k in range(3) if not mask >> k & 1])
        expected_m2 = shapely.difference(some, rest).area
        assert found[mask] == pytest.approx(expected_m2, abs=AREA_FRAC * 400**2)


@pytest.mark.parametrize("turned_deg", [0.0, 1e-12, 1e-9, 1e-5, 30.0, 90.0])
def test_strips_edge_to_edge_leave_nothing_between_them(turned_deg: float) -> None:
    """A hundred strips whose borders coincide but for rounding, turned so that they are about level, and otherwise."""
    strips = np.array([box(0, 0.1 * k, 500, 0.1 * (k + 1)) for k in range(100)])
    field = MultiPolygon([box(0, 0, 500, 10)])
    turned = [shapely.affinity.rotate(each, turned_deg, origin=(0, 0)) for each in (*strips, field)]
    outlines = [Outlines.of(turned[-1], 0), Outlines.of(np.array(turned[:-1]), 1)]
    found = Overlaid.of(outlines, np.array([1.0, 0.0]), 2)
    assert found.on_m2([0], but_on=[1]) == pytest.approx(0.0, abs=1e-6)
    assert found.on_m2([1]) == pytest.approx(5000.0, abs=1e-6)


def test_ground_of_one_kind_counts_once_where_it_lies_over_itself() -> None:
    """Whatever way its outlines go round; a hole is none of it."""
    square, across = box(0, 0, 10, 10), Polygon([(4, -5), (4, 15), (6, 15), (6, -5)])
    frame = box(20, 0, 30, 10) - box(22, 2, 28, 8)
    found = Overlaid.of([Outlines.of(np.array([square, across, frame]), 0)], np.array([0.6, 0.8]), 1)
    assert found.on_m2([0]) == pytest.approx(100 + 20 + 64)


@pytest.mark.parametrize("outer_turned", [False, True])
@pytest.mark.parametrize("hole_turned", [False, True])
def test_edges_have_their_ground_on_the_left(outer_turned: bool, hole_turned: bool) -> None:
    """Whatever way the rings of two frames, with a part beside one of them, go round: half the sum of the cross products
    of what edges lead from and to is the area.
    """
    outer, hole = ([(0, 0), (9, 0), (9, 7), (0, 7)], [(2, 2), (2, 4), (5, 4), (5, 2)])
    frame = Polygon(outer[::-1] if outer_turned else outer, [hole[::-1] if hole_turned else hole])
    grounds = np.array([MultiPolygon([box(20, 0, 21, 1), frame]), frame])
    edges = Outlines.of(grounds, np.array([3, 5]))
    cross = edges.ends[:, 0] * edges.ends[:, 3] - edges.ends[:, 1] * edges.ends[:, 2]
    assert np.bincount(edges.kind, cross).tolist() == [0, 0, 0, 2 * 58, 0, 2 * 57]
