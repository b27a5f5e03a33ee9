"""Words: turns to the left and right, straights, and straights in reverse, from one pose to another.

A pose is (x, y, angle): meters and radians counter-clockwise from +x. A car that only drives forward
reaches any pose from any other on one of six words of three parts (L. E. Dubins, On curves of minimal length
with a constraint on average curvature, American Journal of Mathematics 79, 1957). Their lengths follow from the
way from the center of the first arc to that of the last one. Two words more have their straight driven in
reverse, between two turns to the same side: the three-point turn with a straight back.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.model.coverage import Array

WORDS = ("LSL", "RSR", "LSR", "RSL", "RLR", "LRL", "LBL", "RBR")
"""Turns to the left and right, straights, and straights back; the shortest path forward is one of the first six."""
N_FORWARD = 6
LSR, RSL, RLR, LRL = range(2, N_FORWARD)
LEAST_TURNED = LSR
"""No word of which the first and the last arc turn to one side turns less with them than those that turn to both."""
_TURN = {"L": 1.0, "R": -1.0, "S": 0.0, "B": 0.0}
TURNS = np.array([[_TURN[letter] for letter in word] for word in WORDS])
"""(8, 3): 1 where a part of a word turns left, -1 where it turns right, 0 where it is straight."""
_FULL = 2 * np.pi
ONE_CIRCLE = 1e-6
"""A straight of less, in radii, is rounding: squares of it are of the size of the last digit."""
_NO_ARC, _NO_BEND = 1e-9, 1e-8
ALL_BENDS, BEND_OFF = 5.0, 0.0712
"""More than the `bend` of any angle, and by how much angles are less than it says at most."""


class Angles(NamedTuple):
    """The angles of the poses at both ends, and the unit vectors along them."""

    a: float
    b: float
    along_a: tuple[float, float]
    along_b: tuple[float, float]


@compiled_leaf
def angles_of(a: float, b: float) -> Angles:
    """The angles a and b with their unit vectors."""
    return Angles(a, b, (np.cos(a), np.sin(a)), (np.cos(b), np.sin(b)))


@compiled_leaf
def aside_m(word: int, angles: Angles, radius_m: float) -> tuple[float, float]:
    """What is added to the way from pose to pose for that from the center of a word's first arc to that of its last."""
    first, last = TURNS[word, 0] * radius_m, TURNS[word, 2] * radius_m
    x = first * angles.along_a[1] - last * angles.along_b[1]
    return x, last * angles.along_b[0] - first * angles.along_a[0]


@compiled_leaf
def words_of(start: Array, end: Array, radius_m: float, parts: Array) -> None:
    """Write the lengths of the parts of all words from a pose to a pose, (3,) each, into ``parts``, (8, 3)."""
    angles = angles_of(start[2], end[2])
    for word in range(len(TURNS)):
        x, y = aside_m(word, angles, radius_m)
        write_word(word, x + end[0] - start[0], y + end[1] - start[1], angles, radius_m, parts[word])


@compiled_leaf
def write_word(word: int, x: float, y: float, angles: Angles, radius_m: float, parts: Array) -> None:
    """Write the lengths of the parts of a word between poses at two angles into ``parts``, (3,).

    Parameters
    ----------
    x, y
        From the center of its first arc to that of its last one, meters.
    """
    side, apart_m = TURNS[word, 0], np.sqrt(x * x + y * y)
    middle_m = straight_m(word, apart_m, radius_m)
    if word in (RLR, LRL):
        middle = middle_m / radius_m
        first = side * (np.arctan2(y, x) - angles.a) + middle / 2
        last = side * (angles.b - angles.a) - first + middle
        middle_m = radius_m * turned(middle)
    else:
        ahead_x, ahead_y = faced(word, x, y, apart_m, middle_m, angles, radius_m)
        (along_x, along_y) = angles.along_a
        first = side * np.arctan2(
            along_x * ahead_y - along_y * ahead_x, along_x * ahead_x + along_y * ahead_y
        )
        last = TURNS[word, 2] * (angles.b - angles.a - side * first)
    parts[0], parts[1], parts[2] = radius_m * turned(first), middle_m, radius_m * turned(last)


@compiled_leaf
def straight_m(word: int, apart_m: float, radius_m: float) -> float:
    """The length of the middle part of a word, with the centers of its first and its last arc so far apart: negative
    where it is driven in reverse, not a number where there is no such word.
    """
    if word in (RLR, LRL):
        cosine = 1 - apart_m * apart_m / (8 * radius_m * radius_m)
        return (_FULL - np.arccos(cosine)) * radius_m if abs(cosine) <= 1 else np.nan
    if word in (LSR, RSL):
        square = apart_m * apart_m - 4 * radius_m * radius_m
        return float(np.sqrt(square)) if square >= 0 else np.nan
    return -apart_m if word >= N_FORWARD else apart_m


@compiled_leaf
def faced(
    word: int, x: float, y: float, apart_m: float, middle_m: float, angles: Angles, radius_m: float
) -> tuple[float, float]:
    """The direction that the tractor faces on the straight of a word, from ``x, y`` as `write_word` has them: a vector
    as long as its centers are apart.
    """
    if word in (LSR, RSL):
        across = TURNS[word, 0] * 2 * radius_m / apart_m
        along = middle_m / apart_m
        return x * along - y * across, x * across + y * along
    if apart_m < ONE_CIRCLE * radius_m:  # one circle for both turns: the direction is any
        x, y = angles.along_a
    return (-x, -y) if word >= N_FORWARD else (x, y)


@compiled_leaf
def least_turned(word: int, angles: Angles) -> float:
    """How far both arcs of a word between poses at two angles turn together at least."""
    if word in (RLR, LRL):
        return 0.0  # the middle one takes back what they turn
    turn = turned(TURNS[word, 0] * (angles.b - angles.a))
    return min(turn, _FULL - turn) if word in (LSR, RSL) else turn


@compiled_leaf
def bend(along: float, aside: float) -> float:
    """What grows with the angle from a direction to that of a vector, given along it and to its side: from 0 to 4 for
    0 to 2π, without a sine; what is a rounding below a full circle is none.
    """
    share = aside / (abs(along) + abs(aside))
    if along < 0.0:
        return 2.0 - share
    if aside >= 0.0:
        return share
    return 4.0 + share if share < -_NO_BEND else 0.0


@compiled_leaf
def bend_of(angle: float) -> float:
    """The `bend` of an angle from 0 on; more than all others for one of a full circle and more."""
    return bend(np.cos(angle), np.sin(angle)) if angle < _FULL - _NO_BEND else ALL_BENDS


@compiled_leaf
def bends_of(word: int, ahead_x: float, ahead_y: float, angles: Angles) -> tuple[float, float]:
    """The `bend` of the first and of the last arc of a word with a straight, from a vector that faces ahead on it."""
    (a_x, a_y), (b_x, b_y) = angles.along_a, angles.along_b
    first = bend(a_x * ahead_x + a_y * ahead_y, TURNS[word, 0] * (a_x * ahead_y - a_y * ahead_x))
    last = bend(b_x * ahead_x + b_y * ahead_y, TURNS[word, 2] * (ahead_x * b_y - ahead_y * b_x))
    return first, last


@compiled_leaf
def least_angle(bends: float, n: int) -> float:
    """The least that n angles sum up to, of which the `bend` do: each quarter of a circle, it is between them."""
    return bends * np.pi / 2 - n * BEND_OFF


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
def turned(angle: float) -> float:
    """An angle in [0, 2π); what is a rounding below a full circle is none."""
    within = angle - _FULL * np.floor(angle / _FULL)
    return 0.0 if _FULL - within < _NO_ARC else within
