"""What it takes to drive a path, whether the whole rig stays inside along it, and how deep it leads."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.paths import along_part, path_inside, swings, swings_inside, swung_point
from fieldplan.kernels.region import Region
from fieldplan.model.coverage import Array, BoolArray

NOWHERE_M = 1e-6
FIRST_STEP_RAD = 1.0
"""Few points of a path are looked at first: most that lead outside are seen to by these."""


@compiled
def all_fit(region: Region, start: Array, turns: Array, parts: Array, rig: Handling) -> BoolArray:
    """Whether the whole rig stays inside along each path, (n,): (n, 3), (n, k), (n, k)."""
    held = np.empty(len(start), dtype=np.bool_)
    for i in range(len(start)):
        held[i] = fits(region, start[i], turns[i], parts[i], rig)
    return held


@compiled
def depths_beyond(
    start: Array, turns: Array, parts: Array, beyond_x: float, beyond_y: float, rig: Handling
) -> Array:
    """How far paths from one pose, (3,), with the front of the tractor, lead in a direction from the origin.

    Parameters
    ----------
    turns, parts
        (n, 5) each.
    beyond_x, beyond_y
        The direction as a unit vector.

    Returns
    -------
    depth_m
        (n,) at least 0; infinite for paths that lead no less far than one before them.
    """
    depth_m, least_m = np.empty(len(parts)), np.inf
    for i in range(len(parts)):
        depth_m[i] = _depth_beyond(start, turns[i], parts[i], beyond_x, beyond_y, least_m, rig)
        least_m = min(least_m, depth_m[i])
    return depth_m


@compiled_leaf
def _depth_beyond(
    start: Array, turns: Array, parts: Array, beyond_x: float, beyond_y: float, most_m: float, rig: Handling
) -> float:
    """How far one path leads; infinite if that is no less than the most that counts."""
    x, y, angle, depth_m = start[0], start[1], start[2], 0.0
    for k in range(len(parts)):
        n = int(np.ceil(abs(parts[k]) / rig.look_m))
        for nth in range(1, n + 1):
            at_x, at_y, _ = along_part(x, y, angle, turns[k], parts[k] * nth / n, rig.radius_m)
            depth_m = max(depth_m, at_x * beyond_x + at_y * beyond_y)
            if depth_m >= most_m:
                return np.inf
        if rig.front_beyond_m > 0.0:
            n, since_m, apart_m = swings(turns, parts, k, rig.radius_m, rig.look_m, rig.swing_from_rad)
            for nth in range(n):
                at_m = since_m + nth * apart_m
                at_x, at_y = swung_point(x, y, angle, turns[k], at_m, rig.radius_m, rig.front_beyond_m)
                depth_m = max(depth_m, at_x * beyond_x + at_y * beyond_y)
        x, y, angle = along_part(x, y, angle, turns[k], parts[k], rig.radius_m)
    return depth_m if depth_m < most_m else np.inf


@compiled_leaf
def fits(region: Region, start: Array, turns: Array, parts: Array, rig: Handling) -> bool:
    """Whether the drill and the front of the tractor stay inside along a path."""
    if not path_inside(region, start, turns, parts, rig.radius_m, FIRST_STEP_RAD * rig.radius_m):
        return False
    step_m = rig.look_m
    if not path_inside(region, start, turns, parts, rig.radius_m, step_m):
        return False
    return rig.front_beyond_m <= 0.0 or swings_inside(
        region, start, turns, parts, rig.radius_m, step_m, rig.front_beyond_m, rig.swing_from_rad
    )


@compiled_leaf
def timed(parts: Array, rig: Handling) -> tuple[float, float]:
    """The time of a turn and that by which it ranks; infinite where it does not exist."""
    ahead_m, back_m, changes = 0.0, 0.0, 0
    for k in range(len(parts)):
        length_m = parts[k]
        if length_m < 0.0:
            back_m -= length_m
            if length_m < -NOWHERE_M:
                changes += 2
        else:
            ahead_m += length_m
    turn_s = ahead_m / rig.ahead_m_per_s + back_m / rig.backing_m_per_s + changes * rig.change_s
    if not np.isfinite(turn_s):
        return np.inf, np.inf
    return turn_s, turn_s + (rig.backing_ranks_s if changes else 0.0)
