"""Where to stop for seed along a route: the stops that take the least time with no box too low."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled
from fieldplan.model.coverage import Array, IntArray


@compiled
def quickest_stops(sown_m2: Array, max_m2: Array, stop_s: Array) -> tuple[float, IntArray]:
    """The time of the best stops, and after which sown lines to stop, in driving order.

    The result is exact. With best[j] the least time to have sown the first j lines and stop there,
    best[j] = stop[j] + min best[i] over all i from which one fill reaches j. A sliding window holds these i.
    A fill that need not keep its minimum level reaches further by no more than what is sown meanwhile, so
    the window never moves back, and the time is linear in n.

    Parameters
    ----------
    sown_m2, max_m2
        Ground sown before the first and after each line, and the most that one fill may have sown by then:
        shape (n + 1,).
    stop_s
        Time of a stop after each line: shape (n,). It may be below 0, where a stop replaces a long way.
    """
    n = len(sown_m2) - 1
    best, came_from = np.zeros(n + 1), np.zeros(n + 1, dtype=np.int64)
    window = np.zeros(
        n + 1, dtype=np.int64
    )  # candidates by place, and so by rising time: the first is best
    first, last = 0, 0
    slack_m2 = max_m2[0] * 1e-9
    for j in range(1, n + 1):
        while sown_m2[j] - sown_m2[window[first]] > max_m2[j] + slack_m2:
            first += 1
        came_from[j] = window[first]
        best[j] = best[window[first]] + (stop_s[j - 1] if j < n else 0.0)
        while last >= first and best[window[last]] >= best[j]:
            last -= 1
        last += 1
        window[last] = j
    count, j = 0, came_from[n]
    while j > 0:
        count, j = count + 1, came_from[j]
    stops = np.zeros(count, dtype=np.int64)
    j = came_from[n]
    for k in range(count - 1, -1, -1):
        stops[k], j = j - 1, came_from[j]
    return best[n], stops


@compiled
def straight_trips_s(stands: Array, leave: Array, enter: Array, m_per_s: float) -> Array:
    """Time of a straight trip from where each line is left to the best of some stands, (k, 2), and on to where the
    next is entered: (n,).
    """
    trip_s = np.full(len(leave), np.inf)
    for i in range(len(leave)):
        for k in range(len(stands)):
            to_m = np.hypot(leave[i, 0] - stands[k, 0], leave[i, 1] - stands[k, 1])
            from_m = np.hypot(enter[i, 0] - stands[k, 0], enter[i, 1] - stands[k, 1])
            trip_s[i] = min(trip_s[i], (to_m + from_m) / m_per_s)
    return trip_s


@compiled
def seed_from_s(
    stands: Array,
    leave: Array,
    enter: Array,
    sown_m2: Array,
    max_m2: Array,
    joined_s: Array,
    stop_s: float,
    m_per_s: float,
) -> Array:
    """The least time for seed from each of some sets of stands, (k, s, 2), if all trips are straight: (k,).

    It counts stops and trips, less the ways from line to line that they replace.

    Parameters
    ----------
    leave, enter
        Where each line but the last is left, and where the next one is entered, (n - 1, 2) each.
    sown_m2, max_m2
        As in `quickest_stops`.
    joined_s
        Time from each line to the next: shape (n - 1,).
    stop_s, m_per_s
        Time of a stop, and the speed of driving lifted.
    """
    found = np.zeros(len(stands))
    each_s = np.zeros(len(sown_m2) - 1)
    for k in range(len(stands)):
        each_s[:-1] = straight_trips_s(stands[k], leave, enter, m_per_s) + stop_s - joined_s
        found[k], _ = quickest_stops(sown_m2, max_m2, each_s)
    return found
