"""What kernels are told of a rig."""

from __future__ import annotations

from typing import NamedTuple


class Handling(NamedTuple):
    """What a rig needs for a turn: see `coverage.terms.Rig` for what is not said here.

    Parameters
    ----------
    backing_ranks_s
        By how much later a turn with backing ranks than the time it takes.
    look_m
        Points of a path are looked at so far apart.
    swing_from_rad
        The front of the tractor swings out by ``front_beyond_m`` where an arc has been followed for so long.
    parallel
        Lines whose angle has no larger sine are not joined by one arc.
    slow_s
        A turn that takes so much longer than the quickest would without edges is looked at again.
    """

    radius_m: float
    ahead_m_per_s: float
    backing_m_per_s: float
    change_s: float
    backing_ranks_s: float
    front_beyond_m: float
    look_m: float
    swing_from_rad: float
    parallel: float
    slow_s: float
