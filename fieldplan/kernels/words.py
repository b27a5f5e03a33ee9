"""Words: turns to the left and right, straights, and straights in reverse, from one pose to another.

A pose is (x, y, angle): meters and radians counter-clockwise from +x. A car that only drives forward
reaches any pose from any other on one of six words of three parts (L. E. Dubins, On curves of minimal length
with a constraint on average curvature, American Journal of Mathematics 79, 1957). The lengths below follow
the normalized form in which the start lies at the origin and the radius is 1. Two words more have their
straight driven in reverse, between two turns to the same side: the three-point turn with a straight back.
"""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.model.coverage import Array

WORDS = ("LSL", "RSR", "LSR", "RSL", "RLR", "LRL", "LBL", "RBR")
"""Turns to the left and right, straights, and straights back; the shortest path forward is one of the first six."""
N_FORWARD = 6
_TURN = {"L": 1.0, "R": -1.0, "S": 0.0, "B": 0.0}
TURNS = np.array([[_TURN[letter] for letter in word] for word in WORDS])
"""(8, 3): 1 where a part of a word turns left, -1 where it turns right, 0 where it is straight."""
_FULL = 2 * np.pi
_ONE_CIRCLE = 1e-6
"""A straight of less, in radii, is rounding: squares of it are of the size of the last digit."""
_NO_ARC = 1e-9


@compiled_leaf
def words_of(start: Array, end: Array, radius_m: float, parts: Array) -> None:
    """Write the lengths of the parts of all words from a pose to a pose, (3,) each, into ``parts``, (8, 3)."""
    d_x, d_y = (end[0] - start[0]) / radius_m, (end[1] - start[1]) / radius_m
    d = np.hypot(d_x, d_y)
    bearing = np.arctan2(d_y, d_x) if d > 0 else start[2]
    a, b = start[2] - bearing, end[2] - bearing
    sin_a, sin_b, cos_a, cos_b, cos_ab = np.sin(a), np.sin(b), np.cos(a), np.cos(b), np.cos(a - b)

    # one circle for both turns: the straight has no length, and its direction is any
    p = np.sqrt(max(2 + d * d - 2 * cos_ab + 2 * d * (sin_a - sin_b), 0.0))
    t = a if p < _ONE_CIRCLE else np.arctan2(cos_b - cos_a, d + sin_a - sin_b)
    parts[0, 0], parts[0, 1], parts[0, 2] = _turn(t - a), p, _turn(b - t)
    # the same straight, faced the other way
    parts[6, 0], parts[6, 1], parts[6, 2] = _turn(t + np.pi - a), -p, _turn(b - t - np.pi)

    p = np.sqrt(max(2 + d * d - 2 * cos_ab + 2 * d * (sin_b - sin_a), 0.0))
    t = a if p < _ONE_CIRCLE else np.arctan2(cos_a - cos_b, d - sin_a + sin_b)
    parts[1, 0], parts[1, 1], parts[1, 2] = _turn(a - t), p, _turn(t - b)
    parts[7, 0], parts[7, 1], parts[7, 2] = _turn(a - t - np.pi), -p, _turn(t + np.pi - b)

    square = -2 + d * d + 2 * cos_ab + 2 * d * (sin_a + sin_b)
    p = np.sqrt(square) if square >= 0 else np.nan
    t = np.arctan2(-cos_a - cos_b, d + sin_a + sin_b) - np.arctan2(-2.0, p)
    parts[2, 0], parts[2, 1], parts[2, 2] = _turn(t - a), p, _turn(t - b)

    square = -2 + d * d + 2 * cos_ab - 2 * d * (sin_a + sin_b)
    p = np.sqrt(square) if square >= 0 else np.nan
    t = np.arctan2(cos_a + cos_b, d - sin_a - sin_b) - np.arctan2(2.0, p)
    parts[3, 0], parts[3, 1], parts[3, 2] = _turn(a - t), p, _turn(b - t)

    cosine = (6 - d * d + 2 * cos_ab + 2 * d * (sin_a - sin_b)) / 8
    p = _FULL - np.arccos(cosine) if abs(cosine) <= 1 else np.nan
    t = a - np.arctan2(cos_a - cos_b, d - sin_a + sin_b) + p / 2
    parts[4, 0], parts[4, 1], parts[4, 2] = _turn(t), _turn(p), _turn(a - b - t + p)

    cosine = (6 - d * d + 2 * cos_ab + 2 * d * (sin_b - sin_a)) / 8
    p = _FULL - np.arccos(cosine) if abs(cosine) <= 1 else np.nan
    t = -a + np.arctan2(cos_b - cos_a, d + sin_a - sin_b) + p / 2
    parts[5, 0], parts[5, 1], parts[5, 2] = _turn(t), _turn(p), _turn(b - a - t + p)
    for word in range(8):
        for part in range(3):
            parts[word, part] *= radius_m


@compiled_leaf
def shortest_of(start: Array, end: Array, radius_m: float, parts: Array) -> int:
    """The word of the shortest forward path; ``parts``, (8, 3), takes the lengths of all words."""
    words_of(start, end, radius_m, parts)
    best, least = 0, np.inf
    for word in range(N_FORWARD):
        total = parts[word, 0] + parts[word, 1] + parts[word, 2]
        if total < least:
            best, least = word, total
    return best


@compiled_leaf
def tangent_arc(leave: Array, enter: Array, radius_m: float, parallel: float, parts: Array) -> float:
    """One arc that touches the lines of two poses, with straights along them before and after.

    The arc touches the lines R·tan(θ/2) from where they cross, for a turn of θ.

    Parameters
    ----------
    parallel
        Lines whose angle has no larger sine do not cross.
    parts
        (5,) takes the lengths: of the straight before, 0, of the arc, 0, and of the straight after; NaN
        where the lines do not cross, negative for a straight in reverse.

    Returns
    -------
    float
        1 for an arc to the left, -1 for one to the right.
    """
    theta = np.arctan2(np.sin(enter[2] - leave[2]), np.cos(enter[2] - leave[2]))
    sin_theta = np.sin(theta)
    if abs(sin_theta) < parallel:
        sin_theta = np.nan
    d_x, d_y = enter[0] - leave[0], enter[1] - leave[1]
    crossing_m = (d_x * np.sin(enter[2]) - d_y * np.cos(enter[2])) / sin_theta
    behind_m = (d_x * np.sin(leave[2]) - d_y * np.cos(leave[2])) / sin_theta
    tangent_m = radius_m * np.tan(abs(theta) / 2)
    parts[1], parts[3] = 0.0, 0.0
    parts[0], parts[2], parts[4] = crossing_m - tangent_m, radius_m * abs(theta), -behind_m - tangent_m
    return float(np.sign(theta))


@compiled
def tangent_arcs(leave: Array, enter: Array, radius_m: float, parallel: float) -> tuple[Array, Array]:
    """`tangent_arc` of every pair of poses, (n, 3) each: turns and lengths, (n, 5) each."""
    turns, parts = np.zeros((len(leave), 5)), np.zeros((len(leave), 5))
    for i in range(len(leave)):
        turns[i, 2] = tangent_arc(leave[i], enter[i], radius_m, parallel, parts[i])
    return turns, parts


@compiled_leaf
def _turn(angle: float) -> float:
    """An angle in [0, 2π); what is a rounding below a full circle is none."""
    turned = angle - _FULL * np.floor(angle / _FULL)
    return 0.0 if _FULL - turned < _NO_ARC else turned
