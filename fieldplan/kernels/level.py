"""About the time of turns between passes side by side, from a table of those beside a straight headland."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_within
from fieldplan.model.coverage import Array


class LevelTurns(NamedTuple):
    """Times of turns beside a straight headland.

    Parameters
    ----------
    turn_s
        (k, m) time of the turn to the pass 1, 2, … m strips on; rows are for headlands that slant ``step_deg`` more
        than the one before, the first of which is square to the passes.
    width_m, m_per_s
        Width of a strip, and the speed of turning.
    """

    turn_s: Array
    step_deg: float
    width_m: float
    m_per_s: float


@compiled_within
def slanting_turn_s(level: LevelTurns, across_m: float, ahead_m: float) -> float:
    """About the time of a turn between ends that lie so far across and ahead of each other.

    Slants between those of the table are interpolated; more strips than it has are straight on.
    """
    n_slants, n_strips = level.turn_s.shape
    strip = max(int(np.rint(across_m / level.width_m)), 1)
    beyond_m = 0.0
    if strip > n_strips:
        beyond_m = np.hypot(across_m, ahead_m) * (strip - n_strips) / strip
        strip = n_strips
    slant = np.degrees(np.arctan2(ahead_m, across_m)) / level.step_deg
    below = min(int(slant), n_slants - 2)
    share = min(slant - below, 1.0)
    turn_s = level.turn_s[below, strip - 1] * (1.0 - share) + level.turn_s[below + 1, strip - 1] * share
    return float(turn_s + beyond_m / level.m_per_s)


@compiled
def turns_about(ends: Array, side: int, level: LevelTurns, far_m: float, extra_s: float) -> Array:
    """About the time of the turns between n passes of a column, (2, n + 1, n + 1), as `kernels.orders` takes it, with
    ways before and after that take no time: over few strips as on a straight headland that slants as their ends do,
    over more a half circle, ``far_m`` long, and the straight way.

    Parameters
    ----------
    ends
        (n, 2, 3) poses at the start and the end of each pass.
    side
        The first one is begun at its start (0) or end (1).
    """
    n = len(ends)
    turn_s = np.zeros((2, n + 1, n + 1))
    for nth in range(2):
        at = 1 - side if nth == 0 else side
        for i in range(n):
            for k in range(i + 1):
                apart_m = np.hypot(ends[i, at, 0] - ends[k, at, 0], ends[i, at, 1] - ends[k, at, 1])
                about_s = (apart_m + far_m) / level.m_per_s + extra_s
                if i - k <= level.turn_s.shape[1]:
                    across_m = (i - k) * level.width_m
                    ahead_m = np.sqrt(max(0.0, apart_m**2 - across_m**2))
                    about_s = slanting_turn_s(level, across_m, ahead_m)
                turn_s[nth, i, k] = turn_s[nth, k, i] = about_s
    return turn_s
