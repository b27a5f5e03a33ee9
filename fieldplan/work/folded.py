"""Moves in as few steps as can be said: what repeats is one step."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fieldplan.kernels.repeated import most_repeated
from fieldplan.model.sequence import Again, Step


def folded(moves: Sequence[int]) -> tuple[Step, ...]:
    """The moves with what repeats said once, from the repetition that saves most on.

    Parameters
    ----------
    moves
        Strips from each pass to the next.

    Examples
    --------
    >>> folded([4, 4, 4])
    (Again(times=3, steps=(4,)),)
    >>> folded([4, 4, -5, 4, -5, 4])
    (4, Again(times=2, steps=(4, -5)), 4)
    """
    values = np.asarray(moves, dtype=np.int64)
    start, period, times = most_repeated(values)
    if not times:
        return tuple(values.tolist())
    end = start + period * times
    again = Again(times=times, steps=folded(values[start : start + period].tolist()))
    return (*folded(values[:start].tolist()), again, *folded(values[end:].tolist()))
