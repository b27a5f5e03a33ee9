"""Outlines as people draw them, right and wrong, for tests: in metres about a place, to be written in any
reference system.

Every vertex keeps 1 cm from edges that are not its own and every edge is under 400 m, so that the same
outline means the same in degrees (edges are geodesics) and on a plane (edges are straight).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import shapely
from hypothesis import assume
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon

MIN_AWAY_M, LONGEST_EDGE_M = 0.01, 390.0
Ring = list[tuple[float, float]]
Parts = list[list[Ring]]
"""Parts of one field, each an outer ring and its holes."""


def rectangle(x: float, y: float, wide: float, high: float) -> Ring:
    """Closed, from its lower left corner."""
    return [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high), (x, y)]


def star(points: int, step: int, radius: float) -> Ring:
    """Corners of a regular polygon, joined ``step`` at a time: a pentagram is (5, 2)."""
    corners = [
        (
            radius * math.cos(2 * math.pi * k * step / points),
            radius * math.sin(2 * math.pi * k * step / points),
        )
        for k in range(points)
    ]
    return [*corners, corners[0]]


BODY = rectangle(0, 0, 300, 260)
FIXED: dict[str, Parts] = {
    "plain": [[BODY]],
    "bow-tie": [[[(0, 0), (250, 200), (250, 0), (0, 200), (0, 0)]]],
    "pentagram": [[star(5, 2, 150)]],
    "traced twice": [[[*BODY[:-1], *BODY]]],
    "figure eight at a corner": [
        [[(0, 0), (120, 0), (120, 120), (240, 120), (240, 240), (120, 240), (120, 120), (0, 120), (0, 0)]]
    ],
    "spike": [[[(0, 0), (200, 0), (200, 100), (390, 100), (200, 100), (200, 200), (0, 200), (0, 0)]]],
    "a square yard": [[[(0, 0), (-0.024, 1), (1, 0.024), (0, 0)]]],
    "hole": [[BODY, rectangle(50, 60, 80, 90)]],
    "hole outside": [[BODY, rectangle(350, 60, 80, 90)]],
    "hole across the edge": [[BODY, rectangle(250, 60, 80, 90)]],
    "holes across each other": [[BODY, rectangle(50, 60, 80, 90), rectangle(90, 100, 80, 90)]],
    "hole in a hole": [[BODY, rectangle(50, 60, 120, 120), rectangle(70, 80, 40, 40)]],
    "hole drawn as a part": [[BODY], [rectangle(50, 60, 80, 90)]],
    "nested rings": [[BODY], [rectangle(20, 20, 250, 200)], [rectangle(50, 60, 80, 90)]],
    "parts apart": [[BODY], [rectangle(350, 0, 80, 90)]],
    "parts overlap": [[BODY], [rectangle(200, 150, 200, 200)]],
    "parts overlap a little": [[BODY], [rectangle(299.5, 150, 200, 200)]],
    "parts touch at a corner": [[BODY], [rectangle(300, 260, 100, 100)]],
    "a part twice": [[BODY], [BODY]],
    "hole touches the edge at a corner": [[BODY, [(0, 0), (80, 50), (50, 80), (0, 0)]]],
    "rings touch at a corner": [[BODY, rectangle(50, 60, 80, 90), rectangle(130, 150, 40, 40)]],
    "island in a hole": [[BODY, rectangle(50, 60, 120, 120)], [rectangle(70, 80, 40, 40)]],
}


@st.composite
def _scribbles(draw: st.DrawFn) -> Parts:
    """A ring through places drawn at random: it crosses itself more often than not."""
    n = draw(st.integers(3, 9))
    ring = [(draw(st.integers(0, 2600)) / 10, draw(st.integers(0, 2600)) / 10) for _ in range(n)]
    return [[[*ring, ring[0]]]]


@st.composite
def _blots(draw: st.DrawFn) -> Parts:
    """One to three round outlines with uneven edges, each perhaps with a hole, over, in or beside each
    other.
    """
    parts: Parts = []
    for _ in range(draw(st.integers(1, 3))):
        x, y, r = draw(st.integers(0, 300)), draw(st.integers(0, 300)), draw(st.integers(30, 150))
        rings = [_round(draw, x, y, r)]
        if draw(st.booleans()):
            rings.append(_round(draw, x + draw(st.integers(-r, r)), y, draw(st.integers(5, r))))
        parts.append(rings)
    return parts


def _round(draw: st.DrawFn, x: float, y: float, radius: float) -> Ring:
    n = draw(st.integers(6, 14))
    ring = [
        (
            x + radius * share * math.cos(2 * math.pi * k / n),
            y + radius * share * math.sin(2 * math.pi * k / n),
        )
        for k, share in enumerate(
            draw(st.lists(st.integers(50, 100).map(lambda p: p / 100), min_size=n, max_size=n))
        )
    ]
    return [*ring, ring[0]]


@st.composite
def outlines(draw: st.DrawFn) -> MultiPolygon:
    """An outline in metres, valid or not, turned and wound as it comes."""
    parts = draw(st.one_of(st.sampled_from(sorted(FIXED)).map(FIXED.__getitem__), _scribbles(), _blots()))
    shape = polygons(parts, turned_deg=draw(st.integers(0, 359)) + 0.37, backward=draw(st.booleans()))
    assume(is_plain(shape))
    return shape


def polygons(parts: Parts, *, turned_deg: float = 0.0, backward: bool = False) -> MultiPolygon:
    """Parts as shapes, as they were drawn."""
    a = math.radians(turned_deg)
    turn = np.array([[math.cos(a), math.sin(a)], [-math.sin(a), math.cos(a)]])
    made = []
    for rings in parts:
        drawn = [(np.array(ring) @ turn)[:: -1 if backward else 1] for ring in rings]
        made.append(Polygon(drawn[0], drawn[1:]))
    return MultiPolygon(made)


def is_plain(shape: MultiPolygon) -> bool:
    """Whether edges are short and vertices away from edges that are not theirs."""
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(shape))]
    start, end = np.vstack([ring[:-1] for ring in rings]), np.vstack([ring[1:] for ring in rings])
    length = np.hypot(*(end - start).T)
    if (length < 1.0).any() or (length > LONGEST_EDGE_M).any():
        return False
    return bool(_min_away(start, start, end) >= MIN_AWAY_M)


def _min_away(
    points: npt.NDArray[np.float64], start: npt.NDArray[np.float64], end: npt.NDArray[np.float64]
) -> float:
    edge = (end - start)[None]
    along = np.clip(((points[:, None] - start[None]) * edge).sum(axis=2) / (edge**2).sum(axis=2), 0, 1)
    away = np.linalg.norm(points[:, None] - (start[None] + along[:, :, None] * edge), axis=2)
    ends = np.minimum(
        np.linalg.norm(points[:, None] - start[None], axis=2),
        np.linalg.norm(points[:, None] - end[None], axis=2),
    )
    return float(np.where(ends < 1e-9, np.inf, away).min())


Turn = Callable[[npt.NDArray[np.float64]], npt.NDArray[np.float64]]
