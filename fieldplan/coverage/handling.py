"""What kernels are told of a rig: how it turns, and how turns are ranked."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from fieldplan.coverage.terms import Rig
from fieldplan.kernels.handling import Handling
from fieldplan.model.machine import Reverse

LOOK_M = 0.6
"""Paths are looked at in steps of this; the room is smaller by what arcs bulge between."""
SWING_FROM_RAD = float(np.radians(35))
"""The tractor swings out where it has followed an arc for so long (stand-in for its transients, assumed)."""
PARALLEL = float(np.sin(np.radians(5)))
"""Lines are not joined by one arc where the sine of their angle is less."""
SLOW_S = 5.0
"""A turn that takes so much longer than the quickest that would do without edges is looked at again."""
_BACKING_RANKS_S: dict[Reverse, Callable[[Rig], float]] = {
    "where needed": lambda rig: rig.reverse_saves_s,
    "free": lambda _: 0.0,
    "never": lambda _: np.inf,
}
"""By how much later a turn with backing ranks than the time it takes."""


@lru_cache(maxsize=256)
def handling(rig: Rig) -> Handling:
    """What kernels are told of a rig."""
    return Handling(
        radius_m=float(rig.radius_m),
        ahead_m_per_s=float(rig.turn_speed_m_per_s),
        backing_m_per_s=float(rig.backing_speed_m_per_s),
        change_s=float(rig.change_s),
        backing_ranks_s=float(_BACKING_RANKS_S[rig.reverse](rig)),
        front_beyond_m=float(rig.front_beyond_m),
        look_m=LOOK_M,
        swing_from_rad=SWING_FROM_RAD,
        parallel=PARALLEL,
        slow_s=SLOW_S,
    )
