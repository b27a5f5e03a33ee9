"""Turns between passes side by side beside a straight edge, for weighing orders of passes and headland rounds before
any field is laid out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from fieldplan.coverage.handling import handling
from fieldplan.coverage.room import clearance_m
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.driven import depths_beyond
from fieldplan.kernels.level import LevelTurns
from fieldplan.kernels.turns import with_shifts
from fieldplan.model.coverage import Array

NO_TURN_S = 120.0
"""What a turn that does not fit is taken to cost, so that no order is built on it."""
_STEP_DEG, _N_STEPS = 7.5, 11
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
    # full cover takes half a width of a slanting headland before the drill is lifted
    room_m = rig.headland_m + rig.beyond_edge_m - rig.width_m / 2 * math.sin(math.radians(slant_deg))
    fans = _fans(replace(rig, headland_m=math.inf, beyond_edge_m=0.0), slant_deg)
    straight_s = rig.width_m / rig.turn_speed_m_per_s
    turn_s = [fan.quickest_s(room_m - clearance_m(rig)) for fan in fans]
    return tuple(
        (NO_TURN_S + strips * straight_s if math.isinf(s) else s) + rig.turn_extra_s
        for strips, s in enumerate(turn_s)
    )


@lru_cache(maxsize=256)
def slants_of(rig: Rig) -> LevelTurns:
    """`level_turns_s` of headlands that slant more and more."""
    turn_s = np.array([level_turns_s(rig, k * _STEP_DEG) for k in range(_N_STEPS)])
    return LevelTurns(turn_s, _STEP_DEG, float(rig.width_m), float(rig.turn_speed_m_per_s))


@dataclass(frozen=True, slots=True)
class _Fan:
    """Turns to one pass in the order by which they rank: their times, and how far beyond the line through the ends of
    the passes they lead; each less far than those before it.
    """

    turn_s: list[float]
    depth_m: list[float]

    def quickest_s(self, room_m: float) -> float:
        """The time of the best that needs no more room; infinite if none does."""
        found = zip(self.turn_s, self.depth_m, strict=True)
        return next((turn_s for turn_s, depth_m in found if depth_m <= room_m), math.inf)


@lru_cache(maxsize=256)
def _fans(rig: Rig, slant_deg: float) -> tuple[_Fan, ...]:
    return tuple(_fan(rig, slant_deg, strips * rig.width_m) for strips in range(1, rig.skip + 3))


def _fan(rig: Rig, slant_deg: float, across_m: float) -> _Fan:
    """Turns to the pass that lies so far to the side."""
    slant = math.radians(slant_deg)
    leave = np.array([0.0, 0.0, np.pi / 2])
    enter = np.array([across_m, across_m * math.tan(slant), -np.pi / 2])
    turns, parts, turn_s, rank_s = with_shifts(leave, enter, rig.radius_m * _pairs(rig), handling(rig))
    some = np.flatnonzero((turn_s <= NO_TURN_S) & np.isfinite(rank_s))
    some = some[rank_s[some].argsort(kind="stable")]
    depth_m = depths_beyond(
        leave, turns[some], parts[some], -math.sin(slant), math.cos(slant), handling(rig)
    )
    less = np.isfinite(depth_m)  # the others take longer and need no less room
    return _Fan(turn_s[some][less].tolist(), depth_m[less].tolist())


def _pairs(rig: Rig) -> Array:
    straights = [shift for shift in _SHIFTS_R if shift >= 0 or rig.reverse != "never"]
    return numbers(np.array([(before, after) for before in straights for after in straights]))
