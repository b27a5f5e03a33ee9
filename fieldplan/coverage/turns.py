"""Lifted turns between the end of one sown line and the start of the next.

A U turn is π·R + d − 2R long when the lines are d >= 2R apart. Nearer lines take a bulb, R·(3π − 4·asin((2R
+ d)/4R)), or, for a rig that may back up, π·R + (2R − d) of which 2R − d is driven in reverse. Ends that
are staggered, as on an oblique headland, take the shortest path of bounded curvature (forward) or the same
manoeuvre after a straight (with reverse). Round a corner of the headland such a rig backs up, turns in one
arc and backs up to the fence.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.paths import shortest_paths

_STEP_RAD = np.radians(15)
"""Turns are drawn by points so far apart: the arc lies within 1 % of the radius from the line."""
_CORNER_RAD = (np.radians(20), np.radians(150))


@dataclass(frozen=True, slots=True)
class Turns:
    """``length_m`` (n,) and a line for each turn."""

    length_m: Array
    lines: npt.NDArray[np.object_]


def turns_between(leave: Array, enter: Array, rig: Rig) -> Turns:
    """Turns from leaving poses to entering poses, both (n, 3): x, y in metres and angle counter-clockwise
    from +x.
    """
    if len(leave) == 0:
        return Turns(np.zeros(0), np.zeros(0, dtype=object))
    forward = shortest_paths(leave, enter, rig.radius_m)
    length = forward.length_m.copy()
    points, path = forward.points(_STEP_RAD * rig.radius_m)
    lonely = (np.bincount(path, minlength=len(length)) == 1).nonzero()[
        0
    ]  # a turn that ends at once where it began
    if len(lonely):
        points, path = np.vstack([points, leave[lonely, :2]]), np.concatenate([path, lonely])
        order = path.argsort(kind="stable")
        points, path = points[order], path[order]
    lines = np.array(shapely.linestrings(points, indices=path), dtype=object)
    if rig.reverse_turns:
        for i in range(len(length)):
            backed = _backing_turn(leave[i], enter[i], rig.radius_m) or _backing_corner(
                leave[i], enter[i], rig.radius_m
            )
            if backed is not None and backed[0] < length[i]:
                length[i], lines[i] = backed
    return Turns(length, lines)


def _backing_turn(leave: Array, enter: Array, radius_m: float) -> tuple[float, LineString] | None:
    """A quarter turn, back up across, a quarter turn: for opposite headings less than 2R apart."""
    along = np.array([np.cos(leave[2]), np.sin(leave[2])])
    if np.cos(enter[2] - leave[2]) > -0.999:
        return None
    offset = enter[:2] - leave[:2]
    ahead = float(offset @ along)
    across = np.array([-along[1], along[0]])
    side = float(offset @ across)
    d = abs(side)
    if d < 1e-6 or d >= 2 * radius_m:
        return None
    across = across * np.sign(side)
    base = leave[:2] + along * max(0.0, ahead)
    arc = np.linspace(0, np.pi / 2, 8)
    out = base + radius_m * (np.outer(np.sin(arc), along) + np.outer(1 - np.cos(arc), across))
    back = base + across * d + radius_m * (np.outer(np.cos(arc), along) - np.outer(1 - np.sin(arc), across))
    points = np.vstack([leave[:2], out, back, enter[:2]])
    return np.pi * radius_m + (2 * radius_m - d) + abs(ahead), LineString(points)


def _backing_corner(leave: Array, enter: Array, radius_m: float) -> tuple[float, LineString] | None:
    """Back up along the line that was sown, round the corner in one arc, back up to where the next line
    starts.

    The arc touches both lines R·tan(θ/2) from where they cross; so at a corner of the field nothing swings
    past the fence. Straights that lie ahead are driven forward.
    """
    turn = float(np.arctan2(np.sin(enter[2] - leave[2]), np.cos(enter[2] - leave[2])))
    if not _CORNER_RAD[0] <= abs(turn) <= _CORNER_RAD[1]:
        return None
    a = np.array([np.cos(leave[2]), np.sin(leave[2])])
    b = np.array([np.cos(enter[2]), np.sin(enter[2])])
    offset = enter[:2] - leave[:2]
    crossing_m = (offset[0] * b[1] - offset[1] * b[0]) / (a[0] * b[1] - a[1] * b[0])
    tangent_m = radius_m * np.tan(abs(turn) / 2)
    first_m = crossing_m - tangent_m
    at = leave[:2] + first_m * a
    arc = np.linspace(0, abs(turn), 8)
    left = np.array([-a[1], a[0]]) * np.sign(turn)
    bend = at + radius_m * (np.outer(np.sin(arc), a) + np.outer(1 - np.cos(arc), left))
    last_m = float((enter[:2] - bend[-1]) @ b)
    return abs(first_m) + radius_m * abs(turn) + abs(last_m), LineString(
        np.vstack([leave[:2], bend, enter[:2]])
    )
