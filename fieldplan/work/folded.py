"""Moves in as few steps as can be said: what repeats is one step."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

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
    best = (0, 0, 0, 0)
    for period in range(1, len(values) // 2 + 1):
        start, length = _longest_true(values[period:] == values[:-period])
        times = length // period + 1
        saved = period * (times - 1)
        if times > 1 and saved > best[0]:
            best = (saved, period, start, times)
    saved, period, start, times = best
    if not saved:
        return tuple(values.tolist())
    end = start + period * times
    again = Again(times=times, steps=folded(values[start : start + period].tolist()))
    return (*folded(values[:start].tolist()), again, *folded(values[end:].tolist()))


def _longest_true(flags: np.ndarray) -> tuple[int, int]:
    """Where the longest run of true begins, and how long it is; the first of equal ones."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    if not len(edges):
        return 0, 0
    starts, lengths = edges[::2], edges[1::2] - edges[::2]
    longest = int(lengths.argmax())
    return int(starts[longest]), int(lengths[longest])
