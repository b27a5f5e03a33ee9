"""Which pass is driven, and whether one who is told the next strip finds the next: a look at each of them."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled
from fieldplan.model.coverage import Array, BoolArray, IntArray


@compiled
def found_next(
    passes: IntArray,
    driven: Array,
    ends: Array,
    strip: IntArray,
    unsown: BoolArray,
    lone: bool,
    near_m: float,
) -> BoolArray:
    """Whether the nearest end of an unsown pass is that at which the next one begins, (k - 1,).

    Parameters
    ----------
    passes
        (k,) which pass of the block each driven one is. They are marked as sown in ``unsown``.
    driven
        (k, 2, 2) where each begins and ends, as driven.
    ends
        (n, 2, 2) both ends of the passes of the block.
    strip
        (n,) their strips.
    unsown
        (n,) whether they are not sown yet.
    lone
        Whether all of them are looked at, and not only those on the next strip.
    near_m
        Places nearer to each other are one.
    """
    led = np.zeros(max(0, len(passes) - 1), dtype=np.bool_)
    for k in range(len(passes)):
        unsown[passes[k]] = False
        if k == len(led):
            break
        there, nearest_m, which, end = passes[k + 1], np.inf, -1, 0
        for nth in range(len(ends)):
            if not unsown[nth] or not (lone or strip[nth] == strip[there]):
                continue
            for side in range(2):
                away_m = np.hypot(
                    ends[nth, side, 0] - driven[k, 1, 0], ends[nth, side, 1] - driven[k, 1, 1]
                )
                if away_m < nearest_m:
                    nearest_m, which, end = away_m, nth, side
        if which == there:
            off = ends[there, end] - driven[k + 1, 0]
            led[k] = np.hypot(off[0], off[1]) < near_m
    return led


@compiled
def nearest_line(places: Array, points: Array, line: IntArray) -> IntArray:
    """The line that is nearest to each place, (k,); the first of equal ones.

    Parameters
    ----------
    places
        (k, 2).
    points, line
        (n, 2) the points of all lines, line after line, and the line of each, (n,).
    """
    found = np.zeros(len(places), dtype=np.int64)
    for k in range(len(places)):
        least_m2 = np.inf
        for i in range(len(points) - 1):
            if line[i] != line[i + 1]:
                continue
            x, y = points[i + 1, 0] - points[i, 0], points[i + 1, 1] - points[i, 1]
            to_x, to_y = places[k, 0] - points[i, 0], places[k, 1] - points[i, 1]
            length_m2 = x * x + y * y
            frac = (to_x * x + to_y * y) / length_m2 if length_m2 > 0 else 0.0
            frac = min(max(frac, 0.0), 1.0)
            away_m2 = (to_x - frac * x) ** 2 + (to_y - frac * y) ** 2
            if away_m2 < least_m2:
                least_m2, found[k] = away_m2, line[i]
    return found
