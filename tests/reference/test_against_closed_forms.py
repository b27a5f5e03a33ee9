"""Coverage against closed forms, and the published overlap of a quarter section cut by a diagonal road."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import MultiPolygon, Polygon, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.order import level_turn_m, min_turning, pass_order, turning_m
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.paths import shortest_paths
from fieldplan.units import ACRE_M2


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
    """Ring 2r(a + b) − 4r²w; passes ceil((b − 2rw)/w); double-sown (nw − (b − 2rw))(a − 2rw)."""
    got = cover(
        Site(
            field_id="f",
            ground=MultiPolygon([box(0, 0, a, b)]),
            rig=replace(rig, width_m=w),
            working=replace(working, headland_rounds=r),
        )
    )
    assert got.length_m("headland") == pytest.approx(ring_m, abs=0.005)
    assert got.n_passes == passes
    assert got.length_m("pass") == pytest.approx(inner_m, abs=0.005)
    twice = (passes * w - (b - 2 * r * w)) * (a - 2 * r * w)
    assert got.audit.overlap_m2 == pytest.approx(twice, abs=0.05)
    assert got.audit.missed_m2 == pytest.approx(0, abs=0.05)
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
    field = MultiPolygon([Polygon([(0, 0), (300, 0), (300 + lean, w), (lean, w)])])
    terms = replace(working, headland_rounds=0, heading_deg=90.0)
    got = cover(Site(field_id="f", ground=field, rig=replace(rig, width_m=w), working=terms))
    assert got.audit.outside_m2 == pytest.approx(2 * triangle_m2, abs=0.002)


def test_quarter_section_cut_by_a_diagonal(rig: Rig, working: WorkingTerms) -> None:
    """NDSU, 24 May 2010: 12 rows of 30 in overlap nearly two acres (1.82 ac) along a diagonal through a
    quarter section.
    """
    segment = 804.672
    halves = [[(0, 0), (segment, 0), (segment, segment)], [(0, 0), (segment, segment), (0, segment)]]
    terms = replace(working, headland_rounds=0, heading_deg=90.0)
    past = sum(
        cover(
            Site(
                field_id="f",
                ground=MultiPolygon([Polygon(half)]),
                rig=replace(rig, width_m=9.144),
                working=terms,
            )
        ).audit.outside_m2
        for half in halves
    )
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
    assert level_turn_m(d, radius) == pytest.approx(length, abs=0.0005)
    path = shortest_paths(np.array([[0, 0, np.pi / 2]]), np.array([[d, 0, -np.pi / 2]]), radius)
    assert path.length_m[0] == pytest.approx(length, abs=0.0005)


@pytest.mark.parametrize(("radius", "w"), [(6, 3.05), (7.5, 3.66)])
def test_backing_round_a_corner_keeps_inside_the_fence(radius: float, w: float, rig: Rig) -> None:
    """Back up w/2 + R from the fence, a quarter circle, back up R − w/2 to the other fence: 2R + πR/2,
    nothing past either fence.
    """
    leave, enter = np.array([[100, w / 2, 0]]), np.array([[100 - w / 2, w, np.pi / 2]])
    turn = turns_between(leave, enter, replace(rig, width_m=w, radius_m=radius, reverse_turns=True))
    assert turn.length_m[0] == pytest.approx(2 * radius + np.pi * radius / 2, abs=1e-9)
    _, south, east, _ = turn.lines[0].bounds
    assert east <= 100
    assert south >= 0
    assert turn.lines[0].length == pytest.approx(turn.length_m[0], rel=0.005)
    assert (
        turns_between(leave, enter, replace(rig, width_m=w, radius_m=radius)).lines[0].bounds[2]
        > 100 + radius
    )


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
    assert turning_m(tuple(range(16)), 6, 3.05, may_back_up=True) == pytest.approx(416.99, abs=0.005)
    assert turning_m(
        min_turning(16, 6, 3.05, may_back_up=True), 6, 3.05, may_back_up=True
    ) == pytest.approx(299.39, abs=0.005)
    assert turning_m(pass_order(16, 6, 3.05, may_back_up=True), 6, 3.05, may_back_up=True) <= 1.01 * 299.39


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
        assert turning_m(tuple(range(n)), radius, width) == pytest.approx(adjacent, abs=0.005)
        assert turning_m(min_turning(n, radius, width), radius, width) == pytest.approx(optimum, abs=0.005)
        assert turning_m(pass_order(n, radius, width), radius, width) <= 1.01 * optimum


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
    order = pass_order(n, 6, 3.05)
    assert sorted(order) == list(range(n))
    assert turning_m(order, 6, 3.05) <= 1.01 * best_known_m
    assert turning_m(tuple(range(n)), 6, 3.05) == pytest.approx(adjacent_m, abs=0.5)
    assert 0.45 < 1 - turning_m(order, 6, 3.05) / adjacent_m < 0.55


def test_plain_order_repeats_the_pattern_of_u_turns() -> None:
    """1 5 9 4 8 3 7 2 6 and again: n = 81 takes 1,606.3 m of turning (R 6 m, w 3.05 m)."""
    order = pass_order(81, 6, 3.05, plain=True)
    assert tuple(k + 1 for k in order[:9]) == (1, 5, 9, 4, 8, 3, 7, 2, 6)
    assert turning_m(order, 6, 3.05) == pytest.approx(1606.3, abs=0.05)
