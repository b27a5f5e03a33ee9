"""Kernels of `coverage.drive_time`: the passes of swath layouts, their columns, and how long it takes to drive them.

The strips of each layout run along x, in axes of its own.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.kernels.in_turn import columns_of
from fieldplan.kernels.level import LevelTurns, slanting_turn_s
from fieldplan.kernels.words import shortest_of
from fieldplan.model.coverage import Array, BoolArray, IntArray


class Driving(NamedTuple):
    """What passes and turns take.

    Parameters
    ----------
    width_m, lift_over_m
        Width of a strip, and the gaps that the drill is lifted over.
    field_m_per_s, turn_m_per_s
        The pace in the ground and on turns.
    u_turn_s, turn_extra_s
        The time of a U turn, and what each turn takes besides its length.
    skip, most_m
        Over how many strips a U turn leads, and the longest stagger of ends that counts.
    radius_m, reach_m
        The radius of turns, and how far they reach.
    beside
        Time of turns to passes beside.
    """

    width_m: float
    lift_over_m: float
    field_m_per_s: float
    turn_m_per_s: float
    u_turn_s: float
    turn_extra_s: float
    skip: int
    most_m: float
    radius_m: float
    reach_m: float
    beside: LevelTurns


class SwathPasses(NamedTuple):
    """Passes of swath layouts, sorted by layout, strip and start.

    Parameters
    ----------
    start_m, end_m, y_m, column
        (n,) where each pass starts and ends, the middle of its strip, and its column, counted on from layout to layout.
    n_passes, n_columns, sown_m, about_s
        (k,) of each layout: its passes and columns, the sown length, and about the time to drive it.
    size
        (c,) passes of each column.
    """

    start_m: Array
    end_m: Array
    y_m: Array
    column: IntArray
    n_passes: IntArray
    n_columns: IntArray
    sown_m: Array
    about_s: Array
    size: IntArray


class LevelOrders(NamedTuple):
    """Orders of passes side by side, one after the other: that of n passes begins at ``since[n]``."""

    since: IntArray
    position: IntArray


class Ways(NamedTuple):
    """Where the drill comes from before the passes and goes after them, as `coverage.drive_time.Surroundings` has them.

    ``comes_from`` (3,) is a pose, or empty; ``gates`` (k, 2) are empty if the way to the gate does not count.
    """

    comes_from: Array
    sowing_starts: Array
    gates: Array


@compiled
def passes_along(
    layout_of: IntArray,
    strip: IntArray,
    start_m: Array,
    end_m: Array,
    base_m: Array,
    first_strip: IntArray,
    rig: Driving,
) -> SwathPasses:
    """The passes that runs make, as `plane.strips.SwathLayouts` has them: a pass goes on over short gaps.

    The estimate counts the length of passes at field speed, and one U turn per pass, longer where the ends of neighbors
    are staggered.
    """
    k, n, i = len(base_m), 0, 0
    count, n_columns = np.zeros(k, dtype=np.int64), np.zeros(k, dtype=np.int64)
    sown_m, about_s = np.zeros(k), np.zeros(k)
    layout_of_pass, on = np.empty(len(strip), dtype=np.int64), np.empty(len(strip), dtype=np.int64)
    begin_m, until_m, y_m = np.empty(len(strip)), np.empty(len(strip)), np.empty(len(strip))
    while i < len(strip):
        layout, last = layout_of[i], i
        sown_m[layout] += end_m[i] - start_m[i]
        while last + 1 < len(strip) and strip[last + 1] == strip[i]:
            if start_m[last + 1] - end_m[last] > rig.lift_over_m:
                break
            last += 1
            sown_m[layout] += end_m[last] - start_m[last]
        layout_of_pass[n], on[n], begin_m[n], until_m[n] = layout, strip[i], start_m[i], end_m[last]
        y_m[n] = base_m[layout] + (strip[i] - first_strip[layout] + 0.5) * rig.width_m
        spent_s = (until_m[n] - begin_m[n]) * (1 / rig.field_m_per_s)
        if count[layout] > 0:
            spent_s += rig.u_turn_s
            if on[n] == on[n - 1] + 1:
                apart_m = min(abs(begin_m[n] - begin_m[n - 1]), rig.most_m)
                apart_m += min(abs(until_m[n] - until_m[n - 1]), rig.most_m)
                spent_s += apart_m / 2 * rig.skip * (1 / rig.turn_m_per_s)
        about_s[layout] += spent_s
        count[layout] += 1
        n, i = n + 1, last + 1
    column = columns_of(on[:n], begin_m, until_m)
    n_all = column.max() + 1 if n else 0
    size = np.zeros(n_all, dtype=np.int64)
    for i in range(n):
        n_columns[layout_of_pass[i]] += size[column[i]] == 0
        size[column[i]] += 1
    return SwathPasses(begin_m[:n], until_m[:n], y_m[:n], column, count, n_columns, sown_m, about_s, size)


@compiled
def layouts_driven_s(
    passes: SwathPasses, which: IntArray, along: Array, orders: LevelOrders, ways: Ways, rig: Driving
) -> Array:
    """What `coverage.drive_time.Passes.driven_s` says of some layouts, (m,).

    Parameters
    ----------
    which, along
        (m,) indices of the layouts, rising, and (m, 2) the heading of each.
    """
    driven_s = np.empty(len(which))
    first_pass = passes.n_passes.cumsum() - passes.n_passes
    first_column = passes.n_columns.cumsum() - passes.n_columns
    before, parts = np.empty(3), np.empty((8, 3))
    from_gates_m = np.hypot(
        ways.gates[:, 0] - ways.sowing_starts[0], ways.gates[:, 1] - ways.sowing_starts[1]
    )
    for m in range(len(which)):
        of = which[m]
        cos, sin = along[m, 0], along[m, 1]
        known = len(ways.comes_from) > 0
        if known:
            x, y = ways.comes_from[0], ways.comes_from[1]
            before[0], before[1] = cos * x + sin * y, cos * y - sin * x
            before[2] = ways.comes_from[2] - np.arctan2(sin, cos)
        first, columns = first_pass[of], first_column[of]
        turns_s = _turns_s(
            passes,
            first,
            passes.n_passes[of],
            columns,
            passes.n_columns[of],
            known,
            orders,
            rig,
            before,
            parts,
        )
        passes_m = 0.0
        for i in range(first, first + passes.n_passes[of]):
            passes_m += passes.end_m[i] - passes.start_m[i]
        driven_s[m] = turns_s + (passes_m - passes.sown_m[of]) / rig.turn_m_per_s
        driven_s[m] += passes.sown_m[of] / rig.field_m_per_s
        if passes.n_passes[of] and len(ways.gates):
            x, y = before[0] * cos - before[1] * sin, before[0] * sin + before[1] * cos
            driven_s[m] += _home_m(ways, from_gates_m, x, y) / rig.turn_m_per_s
    return driven_s


@compiled
def _turns_s(
    passes: SwathPasses,
    first: int,
    count: int,
    first_column: int,
    n_columns: int,
    known: bool,
    orders: LevelOrders,
    rig: Driving,
    before: Array,
    parts: Array,
) -> float:
    """Time of the turns and transfers between the passes of a layout, the nearest column next, begun at its nearest
    corner.

    ``before`` is the pose before its first pass, if that is ``known``, and takes the one after its last.
    """
    since = np.zeros(n_columns + 1, dtype=np.int64)
    for nth in range(n_columns):
        since[nth + 1] = since[nth] + passes.size[first_column + nth]
    members, filled = np.empty(count, dtype=np.int64), since[:-1].copy()
    for i in range(first, first + count):
        nth = passes.column[i] - first_column
        members[filled[nth]] = i
        filled[nth] += 1
    ahead, enter, turns_s = np.ones(n_columns, dtype=np.bool_), np.empty(3), 0.0
    for driven in range(n_columns):
        nth, corner = 0, 0
        if known or driven > 0:
            nth, corner = _nearest_corner(passes, members, since, ahead, before)
        ahead[nth], n = False, since[nth + 1] - since[nth]
        for k in range(n):
            position = orders.position[orders.since[n] + k]
            i = members[since[nth] + (n - 1 - position if corner >= 2 else position)]
            backward = (k % 2 == 0) == (corner % 2 == 1)
            enter[0], leave_x = passes.start_m[i], passes.end_m[i]
            if backward:
                enter[0], leave_x = passes.end_m[i], passes.start_m[i]
            enter[1], enter[2] = passes.y_m[i], np.pi if backward else 0.0
            if known or driven > 0 or k > 0:
                turns_s += _turn_s(before, enter, k > 0, rig, parts)
            before[:] = enter
            before[0] = leave_x
    return turns_s


@compiled_leaf
def _nearest_corner(
    passes: SwathPasses, members: IntArray, since: IntArray, ahead: BoolArray, here: Array
) -> tuple[int, int]:
    """The column ahead that is nearest, and the nearest of its corners: the ends of its first and of its last pass."""
    nearest, corner, least_m = 0, 0, np.inf
    for nth in range(len(ahead)):
        for at in range(4 if ahead[nth] else 0):
            i = members[since[nth] if at < 2 else since[nth + 1] - 1]
            x = passes.start_m[i] if at % 2 == 0 else passes.end_m[i]
            away_m = np.hypot(x - here[0], passes.y_m[i] - here[1])
            if away_m < least_m:
                nearest, corner, least_m = nth, at, away_m
    return nearest, corner


@compiled_leaf
def _turn_s(before: Array, enter: Array, beside: bool, rig: Driving, parts: Array) -> float:
    """Time from a pose to that at which the next pass is entered: of a turn, or straight on where none reaches it."""
    ahead_m, across_m = abs(enter[0] - before[0]), abs(enter[1] - before[1])
    if beside:
        return slanting_turn_s(rig.beside, across_m, ahead_m)
    path_m = np.hypot(ahead_m, across_m)
    if path_m > rig.reach_m:
        return float(path_m / rig.turn_m_per_s)
    word = shortest_of(before, enter, rig.radius_m, parts)
    path_m = abs(parts[word, 0]) + abs(parts[word, 1]) + abs(parts[word, 2])
    return float(path_m / rig.turn_m_per_s + rig.turn_extra_s)


@compiled_leaf
def _home_m(ways: Ways, from_gates_m: Array, x: float, y: float) -> float:
    """Straight from a place to the gate, and from there to where sowing starts: over the gate for which that is least."""
    least_m = np.inf
    for i in range(len(ways.gates)):
        by_x, by_y = ways.gates[i, 0] - x, ways.gates[i, 1] - y
        if from_gates_m[i] + max(abs(by_x), abs(by_y)) <= least_m:
            least_m = min(least_m, np.hypot(by_x, by_y) + from_gates_m[i])
    return least_m
