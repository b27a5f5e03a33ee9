"""Coverage against closed forms, and the published overlap of a quarter section cut by a diagonal road."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.heading import best_swath_layout
from fieldplan.coverage.order import Turning, min_turning, pass_order, total_turning
from fieldplan.coverage.passes import block_of
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.paths import shortest_paths
from fieldplan.units import ACRE_M2


def _level_turn_m(d: float, radius: float) -> float:
    """U turn πR + d − 2R; nearer than 2R a bulb, R(3π − 4·asin((2R + d)/4R))."""
    if d >= 2 * radius:
        return np.pi * radius + d - 2 * radius
    return float(radius * (3 * np.pi - 4 * np.arcsin((2 * radius + d) / (4 * radius))))


def _backing_turn_m(d: float, radius: float) -> float:
    """Two arcs with a straight between them, in reverse where the passes are nearer than 2R: πR + |2R − d|."""
    return np.pi * radius + abs(2 * radius - d)


def _turning(turn_m: Callable[[float, float], float], radius: float, width: float) -> Turning:
    """Lengths of the turns to the pass 1, 2, 3, … on, until they grow by the same width each."""
    return tuple(turn_m(k * width, radius) for k in range(1, int(2 * radius / width) + 4))


def _outside_m2(ground: Polygon, rig: Rig, working: WorkingTerms) -> float:
    """What passes to the east cover outside ground whose own edge is no fence."""
    site = Site(field_id="f", ground=MultiPolygon([ground]), rig=rig, working=working)
    fence = InsideFence(MultiPolygon([ground.buffer(100)]), rig)
    layout = best_swath_layout(ground, rig, np.array([1.0, 0.0]))
    swept = shapely.union_all(block_of(1, ground, layout, site, fence).runs.grounds)
    return float(swept.difference(ground).area)


@pytest.mark.parametrize(
    ("a", "b", "w", "r", "ring_m", "passes", "inner_m"),
    [
        (804.672, 804.672, 3.048, 2, 6388.61, 260, 206044.80),
        (804.672, 100.584, 3.048, 2, 3572.26, 29, 22981.92),
        (400, 250, 3.66, 2, 2541.44, 65, 25048.40),
        (400, 250, 3.05, 1, 1287.80, 80, 31512.00),
        (100, 60, 3.05, 2, 591.20, 16, 1404.80),
    ],
)
def test_rectangles(
    a: float,
    b: float,
    w: float,
    r: int,
    ring_m: float,
    passes: int,
    inner_m: float,
    rig: Rig,
    working: WorkingTerms,
) -> None:
    """Mitered ring 2r(a + b) − 4r²w less R on both sides of each corner, where the drill is lifted on an arc;
    ceil((b − 2rw)/w) passes, of which the last laps by h. Missed are 2Rw a corner and round, less what the last
    pass sows of the gaps of the innermost round beside it, h(R − w/2) at either end.
    """
    got = cover(
        Site(
            field_id="f",
            ground=MultiPolygon([box(0, 0, a, b)]),
            rig=replace(rig, width_m=w, reverse="never"),
            working=replace(working, headland_rounds=r, heading_deg=90.0),
        )
    )
    radius = rig.radius_m
    assert got.length_m("headland") == pytest.approx(ring_m - 8 * r * radius, abs=0.005)
    assert got.n_passes == passes
    assert got.length_m("pass") == pytest.approx(inner_m, abs=0.005)
    laps = passes * w - (b - 2 * r * w)
    resown = 2 * laps * (radius - w / 2)
    assert got.audit.overlap_m2 == pytest.approx(laps * (a - 2 * r * w) - resown, abs=0.05)
    assert got.audit.missed_m2 == pytest.approx(8 * r * radius * w - resown, abs=0.05)
    assert got.audit.outside_m2 == pytest.approx(0, abs=0.05)


@pytest.mark.parametrize(
    ("w", "phi_deg", "triangle_m2"),
    [
        (3.048, 15, 17.336),
        (3.048, 30, 8.046),
        (3.048, 45, 4.645),
        (3.048, 60, 2.682),
        (3.048, 75, 1.245),
        (3.048, 90, 0),
        (3.05, 30, 8.056),
        (3.66, 30, 11.601),
        (3.66, 75, 1.795),
    ],
)
def test_oblique_pass_end(
    w: float, phi_deg: float, triangle_m2: float, rig: Rig, working: WorkingTerms
) -> None:
    """A parallelogram of one strip: each end overshoots by w²|cot φ|/2."""
    lean = w / np.tan(np.radians(phi_deg))
    field = Polygon([(0, 0), (300, 0), (300 + lean, w), (lean, w)])
    outside = _outside_m2(field, replace(rig, width_m=w), working)
    assert outside == pytest.approx(2 * triangle_m2, abs=0.002)


def test_quarter_section_cut_by_a_diagonal(rig: Rig, working: WorkingTerms) -> None:
    """NDSU, 24 May 2010: 12 rows of 30 in overlap nearly two acres (1.82 ac) along a diagonal through a
    quarter section.
    """
    segment = 804.672
    halves = [[(0, 0), (segment, 0), (segment, segment)], [(0, 0), (segment, segment), (0, segment)]]
    wide = replace(rig, width_m=9.144)
    past = sum(_outside_m2(Polygon(half), wide, working) for half in halves)
    assert past == pytest.approx(7358, abs=1)
    assert past / ACRE_M2 == pytest.approx(1.82, abs=0.005)


@pytest.mark.parametrize(
    ("radius", "d", "length"),
    [
        (6, 3.05, 40.281),
        (6, 6.10, 36.043),
        (6, 9.15, 30.665),
        (6, 12.20, 19.050),
        (5, 3.05, 32.906),
        (7.5, 3.66, 50.547),
    ],
)
def test_turns_between_level_passes(radius: float, d: float, length: float) -> None:
    """U and bulb turns by formula and by the shortest path of bounded curvature."""
    assert _level_turn_m(d, radius) == pytest.approx(length, abs=0.0005)
    path = shortest_paths(np.array([[0, 0, np.pi / 2]]), np.array([[d, 0, -np.pi / 2]]), radius)
    assert path.length_m[0] == pytest.approx(length, abs=0.0005)


@pytest.mark.parametrize(("radius", "w"), [(6, 3.05), (7.5, 3.66)])
def test_backing_into_a_corner_keeps_inside_the_fence(radius: float, w: float, rig: Rig) -> None:
    """A quarter circle πR/2 that ends R + w/2 from the fence behind, then straight back until the drill is w/2
    from it.
    """
    own = replace(rig, width_m=w, radius_m=radius)
    leave, enter = np.array([[100 - w / 2 - radius, w / 2, 0]]), np.array([[100 - w / 2, w / 2, np.pi / 2]])
    turn = turns_between(leave, enter, own, InsideFence(MultiPolygon([box(0, 0, 100, 100)]), own))
    assert turn.fits.all()
    assert turn.paths.length_m[0] == pytest.approx(radius + np.pi * radius / 2, abs=1e-9)
    assert turn.paths.reverse_m[0] == pytest.approx(radius, abs=1e-9)
    _, south, east, _ = turn.paths.lines(0.1)[0].bounds
    assert (south, east) == pytest.approx((w / 2, 100 - w / 2), abs=1e-6)


@pytest.mark.parametrize(
    ("start", "end", "radius", "length"),
    [
        ((0, 0, np.pi / 2), (0, 0, -np.pi / 2), 1, 7 * np.pi / 3),
        ((0, 0, np.pi / 2), (1, 0, -np.pi / 2), 1, 6.032530),
        ((0, 0, 0), (4, 4, np.pi / 2), 1, 5.813437),
        ((0, 0, 0), (0, 4, np.pi), 1, np.pi + 2),
        ((0, 0, 0), (10, 5, np.pi / 2), 3, 11.992499),
        ((0, 0, np.pi / 2), (3.05, 5, -np.pi / 2), 6, 39.223941),
        ((0, 0, np.pi / 2), (6.1, -4, -np.pi / 2), 6, 35.367383),
    ],
)
def test_shortest_paths(
    start: tuple[float, ...], end: tuple[float, ...], radius: float, length: float
) -> None:
    """Computed goldens, and the drawn line reaches the wanted pose."""
    path = shortest_paths(np.array([start], float), np.array([end], float), radius)
    assert path.length_m[0] == pytest.approx(length, abs=5e-7)
    assert path.points()[0][-1] == pytest.approx(end[:2], abs=1e-9)


def test_min_turning_order_of_a_rig_that_backs_up() -> None:
    """16 passes, R 6, w 3.05 m: side by side 416.99 m, at least 299.39 m (Held and Karp's method with πR +
    |2R − d| a turn).
    """
    turning = _turning(_backing_turn_m, 6, 3.05)
    assert total_turning(tuple(range(16)), turning) == pytest.approx(416.99, abs=0.005)
    assert total_turning(min_turning(16, turning), turning) == pytest.approx(299.39, abs=0.005)
    assert total_turning(pass_order(16, turning), turning) <= 1.01 * 299.39


@pytest.mark.parametrize(
    ("n", "adjacent_m", "optimum_m", "adjacent_other_m", "optimum_other_m"),
    [
        (5, 161.13, 126.04, 128.35, 85.74),
        (8, 281.97, 160.68, 224.61, 124.14),
        (9, 322.25, 161.55, 256.69, 148.14),
        (10, 362.53, 180.60, 288.78, 170.66),
        (12, 443.10, 237.00, 352.95, 206.21),
        (13, 483.38, 262.14, 385.04, 220.73),
        (15, 563.94, 303.29, 449.21, 248.27),
        (16, 604.22, 319.29, 481.30, 270.79),
    ],
)
def test_min_turning_orders(
    n: int, adjacent_m: float, optimum_m: float, adjacent_other_m: float, optimum_other_m: float
) -> None:
    """Exact optima, computed once by another programme, for R 6 m, w 3.05 m and for R 5 m, w 3.66 m; the
    plan's order is within 1 %.
    """
    for radius, width, adjacent, optimum in (
        (6, 3.05, adjacent_m, optimum_m),
        (5, 3.66, adjacent_other_m, optimum_other_m),
    ):
        turning = _turning(_level_turn_m, radius, width)
        assert total_turning(tuple(range(n)), turning) == pytest.approx(adjacent, abs=0.005)
        assert total_turning(min_turning(n, turning), turning) == pytest.approx(optimum, abs=0.005)
        assert total_turning(pass_order(n, turning), turning) <= 1.01 * optimum


@pytest.mark.parametrize(
    ("n", "best_known_m", "adjacent_m"), [(40, 779.5, 1571), (80, 1541.5, 3182), (260, 4970.3, 10433)]
)
def test_long_orders_are_within_a_percent_of_the_best_known(
    n: int, best_known_m: float, adjacent_m: float
) -> None:
    """Best known by a routing solver (R 6 m, w 3.05 m); half the turning of driving next to the last pass
    is saved.

    The published saving is up to 50 % (D. D. Bochtis and S. G. Vougioukas, Biosystems Engineering 101,
    2008).
    """
    turning = _turning(_level_turn_m, 6, 3.05)
    order = pass_order(n, turning)
    assert sorted(order) == list(range(n))
    assert total_turning(order, turning) <= 1.01 * best_known_m
    assert total_turning(tuple(range(n)), turning) == pytest.approx(adjacent_m, abs=0.5)
    assert 0.45 < 1 - total_turning(order, turning) / adjacent_m < 0.55


def test_plain_order_repeats_the_pattern_of_u_turns() -> None:
    """1 5 9 4 8 3 7 2 6 and again: n = 81 takes 1,606.3 m of turning (R 6 m, w 3.05 m)."""
    turning = _turning(_level_turn_m, 6, 3.05)
    order = pass_order(81, turning, plain=True)
    assert tuple(k + 1 for k in order[:9]) == (1, 5, 9, 4, 8, 3, 7, 2, 6)
    assert total_turning(order, turning) == pytest.approx(1606.3, abs=0.05)
