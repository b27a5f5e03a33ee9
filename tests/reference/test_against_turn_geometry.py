"""Turns against lengths and depths worked out by hand for two passes on a straight headland: arcs of radius R = 6 m,
strips of w = 3.05 m, passes d = 1, 2, 3 … strips apart, a headland that lies φ off square. The figures are computed
from circles and tangents, and checked there against paths in small steps; times take 1.341 m/s turning, 0.8 m/s backing
and 4 s a change of direction (assumed).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import pytest
from shapely import MultiPolygon, box

from fieldplan.coverage.room import InsideFence, clearance_m
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.kernels.region import Region
from fieldplan.kernels.words import TURNS, WORDS, words_of
from fieldplan.model.coverage import Array
from fieldplan.plane.paths import Paths

R_M, W_M = 6.0, 3.05
FAR_M = 1e5


@dataclass(frozen=True)
class _Room:
    """Where the middle of the drill may be."""

    region: Region
    known: dict[bytes, Array] = field(default_factory=dict)


def _beside_edge(rig: Rig) -> _Room:
    """A straight hard edge at the far side of the headland, where passes along +y end at y = 0."""
    clear_m = rig.headland_m + rig.beyond_edge_m - clearance_m(rig)
    return _Room(Region.of(box(-FAR_M, -FAR_M, FAR_M, min(clear_m, FAR_M) + 1e-9)))


def _poses(strips: int, phi_deg: float) -> tuple[np.ndarray, np.ndarray]:
    d = strips * W_M
    leave = np.array([[0.0, 0.0, np.pi / 2]])
    return leave, np.array([[d, d * np.tan(np.radians(phi_deg)), -np.pi / 2]])


def _word(word: str, strips: int, phi_deg: float) -> Paths:
    leave, enter = _poses(strips, phi_deg)
    k = WORDS.index(word)
    parts = np.empty((len(WORDS), 3))
    words_of(leave[0], enter[0], R_M, parts)
    return Paths(leave, R_M, TURNS[[k]], parts[[k]])


def _depth_m(path: Paths, phi_deg: float) -> float:
    """The farthest that the middle of the drill comes beyond the line through both ends."""
    phi = np.radians(phi_deg)
    return float((path.points(0.01)[0] @ [-np.sin(phi), np.cos(phi)]).max())


@pytest.mark.parametrize(
    ("phi_deg", "strips", "length_m", "depth_m"),
    [
        (0, 1, 40.2814, 15.3474),
        (0, 2, 36.0434, 13.8802),
        (0, 3, 30.6647, 11.6718),
        (30, 1, 40.1493, 14.5452),
        (30, 2, 35.5199, 13.2629),
        (30, 3, 29.2065, 10.8254),
        (45, 1, 39.8860, 13.6864),
        (45, 2, 34.4591, 12.5096),
    ],
)
def test_bulb_is_as_long_and_as_deep_as_its_circles(
    phi_deg: float, strips: int, length_m: float, depth_m: float
) -> None:
    """R(π + 4·acos(D/4R)) with D from center to center."""
    path = _word("LRL", strips, phi_deg)
    assert path.length_m[0] == pytest.approx(length_m, abs=5e-5)
    assert _depth_m(path, phi_deg) == pytest.approx(depth_m, abs=1e-4)


@pytest.mark.parametrize(
    ("phi_deg", "strips", "length_m", "reverse_m", "depth_m"),
    [
        (0, 1, 27.7996, 8.9500, 6.0),
        (0, 2, 24.7496, 5.9000, 6.0),
        (0, 3, 21.6996, 2.8500, 6.0),
        (30, 1, 27.9711, 9.1216, 7.5193),
        (30, 2, 25.7208, 6.8712, 5.9241),
        (30, 3, 24.8521, 6.0025, 3.0000),
        (45, 1, 28.3050, 9.4554, 6.8900),
        (45, 2, 27.3360, 8.4865, 4.1427),
        (45, 3, 28.4331, 9.5836, 1.7574),
    ],
)
def test_three_point_turn_backs_straight_from_arc_to_arc(
    phi_deg: float, strips: int, length_m: float, reverse_m: float, depth_m: float
) -> None:
    """πR + hypot(2R − d, s), of which the straight is driven in reverse."""
    path = _word("RBR", strips, phi_deg)
    assert path.length_m[0] == pytest.approx(length_m, abs=5e-5)
    assert path.reverse_m[0] == pytest.approx(reverse_m, abs=5e-5)
    assert _depth_m(path, phi_deg) == pytest.approx(depth_m, abs=1e-4)


@pytest.mark.parametrize(
    ("phi_deg", "strips", "length_m", "depth_m"),
    [
        (0, 4, 19.0496, 6.0),
        (0, 5, 22.0996, 6.0),
        (30, 4, 25.8961, 9.0),
        (30, 5, 28.2348, 9.0),
        (45, 4, 31.0512, 10.2426),
        (45, 5, 34.4420, 10.2426),
    ],
)
def test_u_turn_is_deeper_on_a_slanting_headland(
    phi_deg: float, strips: int, length_m: float, depth_m: float
) -> None:
    """πR + hypot(d − 2R, s), R(1 + sin φ) deep."""
    path = _word("RSR", strips, phi_deg)
    assert path.length_m[0] == pytest.approx(length_m, abs=5e-5)
    assert _depth_m(path, phi_deg) == pytest.approx(depth_m, abs=1e-4)


@pytest.mark.parametrize(
    ("rounds", "strips", "turn_s", "shape"),
    [
        (3, 1, 33.2, "backing"),
        (3, 2, 29.4, "backing"),
        (3, 3, 25.6, "backing"),
        (3, 4, 14.2, "U"),
        (3, 5, 16.5, "U"),
        (5, 2, 26.9, "bulb"),
        (5, 3, 22.9, "bulb"),
        (6, 1, 30.0, "bulb"),
        (6, 2, 26.9, "bulb"),
    ],
)
def test_the_shortest_turn_that_fits_by_the_rounds_of_the_headland(
    rig: Rig, rounds: int, strips: int, turn_s: float, shape: str
) -> None:
    """Beside a straight fence, square to it, half a meter over it allowed, the drill alone."""
    own = replace(rig, width_m=W_M, radius_m=R_M, headland_m=rounds * W_M, front_reach_m=0.0)
    own = replace(own, turn_speed_m_per_s=1.341, backing_speed_m_per_s=0.8, change_s=4.0)
    turn = turns_between(*_poses(strips, 0), own, _beside_edge(own))
    assert turn.turn_s[0] == pytest.approx(turn_s, abs=0.05)
    assert turn.shapes == [shape]


def test_never_in_reverse_means_a_double_loop_where_nothing_else_fits(rig: Rig) -> None:
    """Three rounds, the next pass: 65.4987 m of loops, or nothing with the front of the tractor counted."""
    own = replace(rig, width_m=W_M, radius_m=R_M, headland_m=3 * W_M, reverse="never", front_reach_m=0.0)
    turn = turns_between(*_poses(1, 0), own, _beside_edge(own))
    assert turn.paths.length_m[0] == pytest.approx(65.4987, abs=5e-5)
    assert turn.paths.reverse_m[0] == 0
    assert turn.shapes == ["loop"]


def test_without_edges_the_turn_is_the_quickest_of_all(rig: Rig) -> None:
    """The bulb is never chosen over a U turn; nothing is driven in reverse if it must save ten minutes."""
    own = replace(rig, width_m=W_M, radius_m=R_M, reverse_saves_s=600.0)
    assert [
        turns_between(*_poses(k, 0), own, _Room(Region.of(box(-FAR_M, -FAR_M, FAR_M, FAR_M)))).shapes[0]
        for k in (1, 3, 4)
    ] == [
        "bulb",
        "bulb",
        "U",
    ]


@pytest.mark.parametrize(
    ("begin_m", "turn_s"), [(R_M + W_M / 2, 9.425 / 1.341), (1.2, 9.425 / 1.341 + 6.325 / 0.8 + 8)]
)
def test_a_square_corner_is_turned_in_one_arc_and_backed_into(
    rig: Rig, begin_m: float, turn_s: float
) -> None:
    """An arc that touches both lines, 9.425 m at R = 6; then straight back along the line just entered."""
    own = replace(
        rig, width_m=W_M, radius_m=R_M, turn_speed_m_per_s=1.341, backing_speed_m_per_s=0.8, change_s=4.0
    )
    room = InsideFence(MultiPolygon([box(0, 0, 100, 100)]), own)
    leave = np.array([[100 - R_M - W_M / 2, W_M / 2, 0.0]])
    turn = turns_between(leave, np.array([[100 - W_M / 2, begin_m, np.pi / 2]]), own, room)
    assert turn.turn_s[0] == pytest.approx(turn_s, abs=0.01)


@pytest.mark.parametrize(("radius_m", "front_m"), [(6.0, 9.18), (9.0, 11.645), (12.0, 14.335)])
def test_the_front_of_the_tractor_runs_outside_the_drill(radius_m: float, front_m: float) -> None:
    """The steady turn of a drawn drill: 4 m of tongue, hitched 0.9 m behind the axle, 3.8 m from axle to nose, 2.4 m
    wide.
    """
    from fieldplan.coverage.terms import front_reach_m

    assert radius_m + front_reach_m(radius_m) == pytest.approx(front_m, abs=0.006)
