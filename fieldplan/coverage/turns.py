"""Lifted turns between the end of one sown line and the start of the next.

With turning radius R and two parallel lines a distance d apart whose ends are level:

- d >= 2R: a U turn, π·R + d − 2R long;
- d < 2R, forward only: a bulb turn, R·(3π − 4·asin((2R + d)/4R)) long;
- d < 2R, backing allowed: a turn with a stretch in reverse, π·R + (2R − d) long, of which 2R − d is driven
  backward.

Where the ends are staggered, as on an oblique headland, the forward turn is the shortest path of bounded
curvature (`fieldplan.plane.paths`); the turn with reverse drives the stagger as a straight before or after.
At a corner of the headland, a rig that may back up reverses, turns in one arc, and reverses to the fence.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, IntArray
from fieldplan.plane.paths import Paths, shortest_paths

_STEP_RAD = np.radians(15)
"""Spacing of the points that draw an arc: the drawn line stays within 1 % of the radius of the arc."""
_ARC_POINTS = 8
"""Points that draw each arc of a turn with reverse."""
_CORNER_RAD = (np.radians(20), np.radians(150))
"""Changes of direction that count as a corner of the headland."""
_OPPOSITE_COS = -0.999
"""Headings whose difference has at most this cosine are opposite."""
_SAME_LINE_M = 1e-6


@dataclass(frozen=True, slots=True)
class Turns:
    """Lengths, (n,), and drawn lines, (n,), of n turns."""

    length_m: Array
    lines: npt.NDArray[np.object_]


def turns_between(leave: Array, enter: Array, rig: Rig) -> Turns:
    """The shortest turn for each pair of a line that ends and a line that begins.

    Parameters
    ----------
    leave, enter
        (n, 3) poses at the end of one line and at the start of the next: x and y in meters, angle in
        radians counter-clockwise from +x.
    rig
        Gives the turning radius, and whether turns with reverse are tried besides forward ones.

    Notes
    -----
    Forward turns are the shortest paths of L. E. Dubins, American Journal of Mathematics 79 (1957). Whether
    a turn stays on the field is not checked here.

    Examples
    --------
    >>> rig = Rig(
    ...     width_m=3.0, radius_m=5.0, follows_bend_deg=20.0, reverse_turns=False, field_speed_m_per_s=2.0,
    ...     turn_speed_m_per_s=1.5, turn_extra_s=5.0, lift_over_m=20.0,
    ... )
    >>> north, south = np.array([[0.0, 0.0, np.pi / 2]]), np.array([[12.0, 0.0, -np.pi / 2]])
    >>> round(float(turns_between(north, south, rig).length_m[0]), 3)  # π·5 + 12 − 2·5
    17.708
    """
    if len(leave) == 0:
        return Turns(np.zeros(0), np.zeros(0, dtype=object))
    forward = shortest_paths(leave, enter, rig.radius_m)
    length_m = forward.length_m.copy()
    points, path = _points_of(forward, leave, rig.radius_m)
    lines = np.array(shapely.linestrings(points, indices=path), dtype=object)
    if rig.reverse_turns:
        for i in range(len(length_m)):
            backed = _turn_with_reverse(leave[i], enter[i], rig.radius_m)
            if backed is not None and backed[0] < length_m[i]:
                length_m[i], lines[i] = backed
    return Turns(length_m, lines)


def _points_of(forward: Paths, leave: Array, radius_m: float) -> tuple[Array, IntArray]:
    """Points along each path, (k, 2), and the path of each, (k,).

    A path of no length has one point only; it gets a second one, as a line needs two.
    """
    points, path = forward.points(_STEP_RAD * radius_m)
    lone = (np.bincount(path, minlength=len(leave)) == 1).nonzero()[0]
    if len(lone) == 0:
        return points, path
    points, path = np.vstack([points, leave[lone, :2]]), np.concatenate([path, lone])
    order = path.argsort(kind="stable")
    return points[order], path[order]


def _turn_with_reverse(leave: Array, enter: Array, radius_m: float) -> tuple[float, LineString] | None:
    """Length and line of a turn with reverse from pose to pose, (3,) each; ``None`` if none fits there."""
    return _backing_turn(leave, enter, radius_m) or _backing_corner(leave, enter, radius_m)


def _backing_turn(leave: Array, enter: Array, radius_m: float) -> tuple[float, LineString] | None:
    """A quarter turn, straight back across, a quarter turn: for opposite headings less than 2R apart."""
    along = np.array([np.cos(leave[2]), np.sin(leave[2])])
    if np.cos(enter[2] - leave[2]) > _OPPOSITE_COS:
        return None
    offset = enter[:2] - leave[:2]
    ahead_m = float(offset @ along)
    across = np.array([-along[1], along[0]])
    left_m = float(offset @ across)
    apart_m = abs(left_m)
    if apart_m < _SAME_LINE_M or apart_m >= 2 * radius_m:
        return None
    across = across * np.sign(left_m)  # toward the next line
    base = leave[:2] + along * max(0.0, ahead_m)  # level with whichever end lies farther ahead
    angle = np.linspace(0, np.pi / 2, _ARC_POINTS)
    first_arc = base + radius_m * (np.outer(np.sin(angle), along) + np.outer(1 - np.cos(angle), across))
    # reached by backing up 2R − d from the end of the first arc; it ends on the next line
    second_arc = (
        base
        + across * apart_m
        + radius_m * (np.outer(np.cos(angle), along) - np.outer(1 - np.sin(angle), across))
    )
    points = np.vstack([leave[:2], first_arc, second_arc, enter[:2]])
    return np.pi * radius_m + (2 * radius_m - apart_m) + abs(ahead_m), LineString(points)


def _backing_corner(leave: Array, enter: Array, radius_m: float) -> tuple[float, LineString] | None:
    """Reverse along the sown line, round the corner in one arc, reverse to where the next line starts.

    The arc touches both lines at R·tan(θ/2) from where they cross, so nothing swings past the fence at a
    corner of the field. A straight that lies ahead is driven forward instead.
    """
    turn_rad = float(np.arctan2(np.sin(enter[2] - leave[2]), np.cos(enter[2] - leave[2])))
    if not _CORNER_RAD[0] <= abs(turn_rad) <= _CORNER_RAD[1]:
        return None
    before = np.array([np.cos(leave[2]), np.sin(leave[2])])
    after = np.array([np.cos(enter[2]), np.sin(enter[2])])
    offset = enter[:2] - leave[:2]
    # where the two lines cross, along the first one: solved by cross products
    crossing_m = (offset[0] * after[1] - offset[1] * after[0]) / (
        before[0] * after[1] - before[1] * after[0]
    )
    tangent_m = radius_m * np.tan(abs(turn_rad) / 2)
    first_m = crossing_m - tangent_m
    arc_start = leave[:2] + first_m * before
    angle = np.linspace(0, abs(turn_rad), _ARC_POINTS)
    inward = np.array([-before[1], before[0]]) * np.sign(turn_rad)
    arc = arc_start + radius_m * (np.outer(np.sin(angle), before) + np.outer(1 - np.cos(angle), inward))
    last_m = float((enter[:2] - arc[-1]) @ after)
    points = np.vstack([leave[:2], arc, enter[:2]])
    return abs(first_m) + radius_m * abs(turn_rad) + abs(last_m), LineString(points)
