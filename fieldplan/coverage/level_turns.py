"""Turns between passes side by side beside a straight edge, for weighing orders of passes and headland rounds before
any field is laid out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from fieldplan.coverage.room import ARC_STEP_RAD, SWING_FROM_RAD, clearance_m
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import candidates
from fieldplan.model.coverage import Array
from fieldplan.plane.paths import Paths

NO_TURN_S = 120.0
"""What a turn that does not fit is taken to cost, so that no order is built on it."""
_SHIFTS_R = (0.0, 0.25, 0.5, 1.0, -0.25, -0.5, -1.0, -1.5)
"""Straights before and after, in turning radii: fewer than on a field, where turns are found one by one."""


@lru_cache(maxsize=4096)
def level_turns_s(rig: Rig, slant_deg: float = 0.0) -> tuple[float, ...]:
    """Time of the turn from a pass to the one 1, 2, 3, … strips on, on the headland of the rig beside a straight
    edge: seconds, for as many strips as a U turn needs and two more.

    Parameters
    ----------
    slant_deg
        How far the headland is from square to the passes.
    """
    fan = _fan(replace(rig, headland_m=math.inf, beyond_edge_m=0.0), slant_deg)
    # full cover takes half a width of a slanting headland before the drill is lifted
    room_m = rig.headland_m + rig.beyond_edge_m - rig.width_m / 2 * math.sin(math.radians(slant_deg))
    rank_s = np.where(fan.depth_m <= room_m - clearance_m(rig), fan.rank_s, np.inf)
    best = rank_s.argmin(axis=1)
    rows = np.arange(len(best))
    straight_s = rows * rig.width_m / rig.turn_speed_m_per_s
    turn_s = np.where(np.isfinite(rank_s[rows, best]), fan.turn_s[rows, best], NO_TURN_S + straight_s)
    return tuple((turn_s + rig.turn_extra_s).tolist())


@dataclass(frozen=True, slots=True)
class _Fan:
    """Turns to the next passes, (n, k) each: time, the time by which they rank, and how far beyond the line
    through the ends of the passes they lead.
    """

    turn_s: Array
    rank_s: Array
    depth_m: Array


@lru_cache(maxsize=256)
def _fan(rig: Rig, slant_deg: float) -> _Fan:
    slant = math.radians(slant_deg)
    across = np.arange(1, rig.skip + 3) * rig.width_m
    leave = np.tile([0.0, 0.0, np.pi / 2], (len(across), 1))
    enter = np.column_stack([across, across * math.tan(slant), np.full(len(across), -np.pi / 2)])
    tried = candidates(leave, enter, rig, rig.radius_m * _pairs(rig))
    depth_m = np.full(tried.rank_s.shape, np.inf)
    row, column = np.nonzero(tried.turn_s <= NO_TURN_S)
    depth_m[row, column] = _depth_m(tried.paths(row, column), rig, slant)
    return _Fan(tried.turn_s, tried.rank_s, depth_m)


def _pairs(rig: Rig) -> Array:
    straights = [shift for shift in _SHIFTS_R if shift >= 0 or rig.reverse != "never"]
    return np.array([(before, after) for before in straights for after in straights])


def _depth_m(paths: Paths, rig: Rig, slant: float) -> Array:
    """How far each path, with the front of the tractor, leads beyond the slanting line through the origin, (n,)."""
    beyond = np.array([-math.sin(slant), math.cos(slant)])
    depth_m = np.zeros(len(paths))
    every = [paths.points(ARC_STEP_RAD * rig.radius_m)]
    if rig.front_beyond_m > 0:
        every.append(paths.swings(ARC_STEP_RAD * rig.radius_m, rig.front_beyond_m, SWING_FROM_RAD))
    for points, of in every:
        np.maximum.at(depth_m, of, points @ beyond)
    return depth_m
