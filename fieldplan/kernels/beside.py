"""Poses before and behind another on its line, and how far arcs from them stay inside.

Many turns have the same arcs: each is looked at once, and only as far as a turn needs it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.paths import straight_inside_until
from fieldplan.kernels.region import Region, cell_clear_m, inside
from fieldplan.kernels.words import ALL_BENDS, bend_of
from fieldplan.model.coverage import Array, BoolArray, IntArray

_SIEVED = 2.0
"""Arcs are looked at in so many times longer steps before a turn is judged."""


class Beside(NamedTuple):
    """Poses on the line of another: their places, (k,), whether the way there is inside, (k,), and what all face: the
    angle and the unit vector along it, (3,).

    Of the arcs from them to the left and to the right, (k, 2) each: how many points of the drill's middle and of the
    tractor's front were looked at, and where the first that is outside lies, in meters and as a `bend`; infinite and
    more than any as far as that is known.
    """

    x: Array
    y: Array
    pose: Array
    facing: Array
    inside: BoolArray
    n_drill: IntArray
    n_front: IntArray
    until_m: Array
    until: Array


@compiled
def none_beside(n: int) -> Beside:
    """Room for n poses beside another."""
    counts, until_m = np.zeros((2, n, 2), dtype=np.int64), np.zeros((2, n, 2))
    held = np.empty(n, dtype=np.bool_)
    return Beside(
        np.empty(n),
        np.empty(n),
        np.full(3, np.nan),
        np.empty(3),
        held,
        counts[0],
        counts[1],
        until_m[0],
        until_m[1],
    )


@compiled_leaf
def look_beside(
    beside: Beside, pose: Array, straights: Array, sign: float, region: Region, rig: Handling
) -> None:
    """Write poses so far ahead of another, or behind it with the sign -1, (k,), of whose arcs nothing is known; where
    they are those written last, all that is known of them stays.
    """
    if beside.pose[0] == pose[0] and beside.pose[1] == pose[1] and beside.pose[2] == pose[2]:
        return
    beside.pose[0], beside.pose[1], beside.pose[2] = pose[0], pose[1], pose[2]
    x, y, angle = pose[0], pose[1], pose[2]
    ahead_x, ahead_y = np.cos(angle), np.sin(angle)
    beside.facing[0], beside.facing[1], beside.facing[2] = angle, ahead_x, ahead_y
    for k in range(len(straights)):
        at_m = sign * straights[k]
        at_x, at_y = x + ahead_x * at_m, y + ahead_y * at_m
        beside.x[k], beside.y[k] = at_x, at_y
        until_m = 0.0  # most lead outside at their ends
        if inside(region, at_x, at_y):
            facing = np.sign(at_m)
            until_m = straight_inside_until(
                region, x, y, facing * ahead_x, facing * ahead_y, abs(at_m), rig.look_m
            )
        beside.inside[k] = np.isinf(until_m)
        for side in range(2):
            beside.n_drill[k, side], beside.n_front[k, side] = 0, 0
            beside.until_m[k, side], beside.until[k, side] = np.inf, ALL_BENDS


class Circle(NamedTuple):
    """Points on a circle to the left, ahead of a pose and to its left, (k, 2): after how much of the drill's arc the
    first is, how much apart they are, and from how far from an edge on the next one need not be looked at.
    """

    points: Array
    since_m: float
    step_m: float
    clear_m: float
    radius_m: float


@compiled
def _circle(since_m: float, wait_m: float, step_m: float, beyond_m: float, rig: Handling) -> Circle:
    """Points so far beyond the drill's arc, from so far along it on; that an arc has them is known so much later."""
    points = np.empty((int((2 * np.pi * rig.radius_m - since_m) / step_m) + 1, 2))
    for k in range(len(points)):
        points[k, 0], points[k, 1] = _to_the_left(since_m + k * step_m, beyond_m, rig.radius_m)
    return Circle(points, since_m + wait_m, step_m, step_m * (1 + beyond_m / rig.radius_m), rig.radius_m)


@compiled
def circles_of(rig: Handling) -> tuple[Circle, Circle]:
    """Points of the drill's middle and of the front of the tractor: fewer than those by which a turn is judged at the
    end, since those that pass this are.
    """
    step_m = _SIEVED * rig.look_m
    drill = _circle(0.0, 0.0, step_m, 0.0, rig)
    swing_m, beyond_m = rig.swing_from_rad * rig.radius_m, rig.front_beyond_m
    if not beyond_m > 0.0:
        return drill, Circle(np.empty((0, 2)), 0.0, step_m, step_m, rig.radius_m)
    # the front swings out neither where an arc begins nor where it ends
    return drill, _circle(swing_m, swing_m, step_m / (1 + beyond_m / rig.radius_m), beyond_m, rig)


@compiled_leaf
def _to_the_left(at_m: float, beyond_m: float, radius_m: float) -> tuple[float, float]:
    """The place so far along a circle to the left, and beyond it: ahead of the pose where it begins, and to its left."""
    outer_m, angle = radius_m + beyond_m, at_m / radius_m
    return outer_m * np.sin(angle), radius_m - outer_m * np.cos(angle)


@compiled_leaf
def arc_inside(
    beside: Beside,
    k: int,
    turn: float,
    arc_m: float,
    sign: float,
    circles: tuple[Circle, Circle],
    region: Region,
) -> bool:
    """Whether an arc so long from a pose, or back from it with the sign -1, may be inside."""
    side = 0 if turn > 0 else 1
    drill, front = circles
    if _n_ahead(drill, arc_m) > beside.n_drill[k, side]:
        _look_along(drill, beside, beside.n_drill, k, turn, arc_m, sign, region)
    if _n_ahead(front, arc_m) > beside.n_front[k, side]:
        _look_along(front, beside, beside.n_front, k, turn, arc_m, sign, region)
    return bool(arc_m < beside.until_m[k, side])


@compiled_leaf
def _n_ahead(circle: Circle, arc_m: float) -> int:
    """How many points of a circle an arc so long has."""
    if arc_m < circle.since_m:
        return 0
    return min(len(circle.points), int((arc_m - circle.since_m) / circle.step_m) + 1)


@compiled_leaf
def _look_along(
    circle: Circle,
    beside: Beside,
    n_seen: IntArray,
    k: int,
    turn: float,
    arc_m: float,
    sign: float,
    region: Region,
) -> None:
    """Look at the points of an arc that were not looked at yet, until one is outside, and write what is known then.

    From a point that is far from every edge the next one is as far.
    """
    side = 0 if turn > 0 else 1
    x, y, ahead_x, ahead_y = beside.x[k], beside.y[k], beside.facing[1], beside.facing[2]
    nth, n = n_seen[k, side], _n_ahead(circle, arc_m)
    while nth < n:
        ahead_m, left_m = sign * circle.points[nth, 0], turn * circle.points[nth, 1]
        at_x, at_y = x + ahead_m * ahead_x - left_m * ahead_y, y + ahead_m * ahead_y + left_m * ahead_x
        clear_m = cell_clear_m(region, at_x, at_y)
        if clear_m < 0.0 or (clear_m == 0.0 and not inside(region, at_x, at_y)):
            outside_m = circle.since_m + nth * circle.step_m
            if outside_m < beside.until_m[k, side]:
                beside.until_m[k, side] = outside_m
                beside.until[k, side] = bend_of(outside_m / circle.radius_m)
            break
        nth += max(1, int(clear_m / circle.clear_m))
    n_seen[k, side] = nth


@compiled_leaf
def shifted(pose: Array, ahead_m: float, shifted: Array) -> None:
    """Write a pose so far ahead of another; behind it if negative."""
    shifted[0] = pose[0] + np.cos(pose[2]) * ahead_m
    shifted[1] = pose[1] + np.sin(pose[2]) * ahead_m
    shifted[2] = pose[2]
