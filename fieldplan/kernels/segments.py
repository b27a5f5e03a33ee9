"""Lines in one array of points: segments of rings between their corners, bends as arcs, and stretches of lines."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.model.coverage import Array, BoolArray, IntArray

_SAME_M = 1e-6
"""Steps that are no longer have no direction."""


class Sweep(NamedTuple):
    """What openers follow in the ground: over any stretch of a line, a turn of so many radians, ``most_rad``, besides its
    length over the radius.
    """

    most_rad: float
    radius_m: float


class Chains(NamedTuple):
    """Lines: ``points`` (k, 2), line after line, and where each begins, ``first`` (n + 1,)."""

    points: Array
    first: IntArray


@compiled_leaf
def turn_rad(x: float, y: float, next_x: float, next_y: float) -> float:
    """The turn from one step to the next, left positive."""
    return float(np.arctan2(x * next_y - y * next_x, x * next_x + y * next_y))


@compiled_leaf
def _at_corner(turn: float, width_m: float, run_out_above: float, mitre: float) -> tuple[float, float]:
    """How far after a corner the arriving segment ends, and the leaving one begins.

    Distances are along the center line; negative is before the corner. Two bands that meet at a turn θ overlap in a
    parallelogram. At wide corners (θ up to 60°) the arriving segment ends w/2·tan(θ/2) after the corner of the center
    line, level with the corner of the fence, and the leaving one begins as much before it. At sharper ones the arriving
    segment runs on until its whole band has reached the fence, w/2·max(tan, cot)(θ/2), and the leaving one begins where
    its band leaves the other, w/2·min(tan, cot)(θ/2). At 90° the two cancel, so the length is that of a mitered ring.
    """
    tan = min(np.tan(abs(turn) / 2), mitre)
    if abs(turn) <= run_out_above:
        return width_m / 2 * tan, -width_m / 2 * tan
    cot = 1 / max(tan, 1e-9)
    return width_m / 2 * max(tan, cot), width_m / 2 * min(tan, cot)


@compiled
def between_corners(
    rings: Chains,
    width_m: float,
    corner_above: float,
    sweep: Sweep,
    run_out_above: float,
    mitre: float,
    least_m: float,
) -> tuple[Chains, IntArray]:
    """The center line of each segment of closed rings, without their closing points, and its ring, (n,).

    A line runs from corner to corner, lengthened or shortened at both; it is left out where no more than the least
    length remains. A ring without a corner is one closed line.

    Parameters
    ----------
    corner_above, run_out_above
        The turns above which a point is a corner, and a segment runs out past it, in radians.
    sweep
        A point is a corner, too, if a line that went on past it would bend more than this since the corner before.
    mitre
        The tangent of half a turn counts up to this.
    """
    n_points, n_rings = len(rings.points), len(rings.first) - 1
    turn, corner = _corners(rings, corner_above, sweep)
    n_corners = corner.sum()
    points = np.empty((n_points + n_corners + n_rings, 2))
    first = np.zeros(n_corners + n_rings + 1, dtype=np.int64)
    ring_of, n = np.empty(n_corners + n_rings, dtype=np.int64), 0
    for ring in range(n_rings):
        start, n_on = rings.first[ring], rings.first[ring + 1] - rings.first[ring]
        begin = 0
        while begin < n_on and not corner[start + begin]:
            begin += 1
        if begin == n_on:
            _write_ring(rings.points, start, 0, n_on, points, first[n])
            first[n + 1], ring_of[n] = first[n] + n_on + 1, ring
            n += 1
            continue
        at = begin
        while at < begin + n_on:
            steps = 1
            while not corner[start + (at + steps) % n_on]:
                steps += 1
            since = _at_corner(turn[start + at % n_on], width_m, run_out_above, mitre)[1]
            until = _at_corner(turn[start + (at + steps) % n_on], width_m, run_out_above, mitre)[0]
            _write_ring(rings.points, start, at, n_on, points[: first[n] + steps + 1], first[n])
            left = _moved_ends(points, first[n], steps, since, until, least_m)
            if left > 0:
                first[n + 1], ring_of[n] = first[n] + left, ring
                n += 1
            at += steps
    return Chains(points[: first[n]].copy(), first[: n + 1].copy()), ring_of[:n].copy()


@compiled
def _corners(rings: Chains, above: float, sweep: Sweep) -> tuple[Array, BoolArray]:
    """The turn at each point of closed rings, and whether it is a corner, (n,) each."""
    turn, ahead_m = np.empty(len(rings.points)), np.empty(len(rings.points))
    corner = np.zeros(len(rings.points), dtype=np.bool_)
    for ring in range(len(rings.first) - 1):
        start, n_on = rings.first[ring], rings.first[ring + 1] - rings.first[ring]
        for k in range(n_on):
            at, last, on = (
                rings.points[start + k],
                rings.points[start + (k - 1) % n_on],
                rings.points[start + (k + 1) % n_on],
            )
            turn[start + k] = turn_rad(at[0] - last[0], at[1] - last[1], on[0] - at[0], on[1] - at[1])
            ahead_m[start + k] = np.hypot(on[0] - at[0], on[1] - at[1])
        # a bend may begin before the first point: the first corner is looked for on two laps, the others from there on
        left, right, until, k = 0.0, 0.0, 2 * n_on, 0
        found = False
        while k < until:
            at_k = start + k % n_on
            left, right = max(left + turn[at_k], 0.0), max(right - turn[at_k], 0.0)
            if abs(turn[at_k]) > above or max(left, right) > sweep.most_rad:
                corner[at_k] = True
                left, right = 0.0, 0.0
                if not found:
                    found, until = True, k + n_on
            straight = ahead_m[at_k] / sweep.radius_m
            left, right, k = max(left - straight, 0.0), max(right - straight, 0.0), k + 1
    return turn, corner


@compiled
def tight_bends(points: Array, sweep: Sweep) -> IntArray:
    """The points of a line, (n, 2), at which it ends as a ring does at a corner: if it went on, it would bend more than a sweep
    since the one before, (k,).
    """
    found, n = np.empty(len(points), dtype=np.int64), 0
    left, right = 0.0, 0.0
    for k in range(1, len(points) - 1):
        before_x, before_y = points[k, 0] - points[k - 1, 0], points[k, 1] - points[k - 1, 1]
        straight = np.hypot(before_x, before_y) / sweep.radius_m
        turn = turn_rad(
            before_x, before_y, points[k + 1, 0] - points[k, 0], points[k + 1, 1] - points[k, 1]
        )
        left, right = max(left - straight, 0.0) + turn, max(right - straight, 0.0) - turn
        if max(left, right) > sweep.most_rad:
            found[n], n = k, n + 1
            left, right = 0.0, 0.0
    return found[:n].copy()


@compiled_leaf
def swept_rad(chains: Chains, line: int, side: float, from_end: bool, radius_m: float) -> float:
    """The most by which a line turns to one side, 1 left and −1 right, besides its length over a radius, over a stretch from
    its start, or up to its end.
    """
    first, last = chains.first[line], chains.first[line + 1] - 1
    most, swept = 0.0, 0.0
    for nth in range(1, last - first):
        at = last - nth if from_end else first + nth
        x, y = chains.points[at, 0], chains.points[at, 1]
        before_x, before_y = x - chains.points[at - 1, 0], y - chains.points[at - 1, 1]
        after_x, after_y = chains.points[at + 1, 0] - x, chains.points[at + 1, 1] - y
        step_m = np.hypot(after_x, after_y) if from_end else np.hypot(before_x, before_y)
        swept += side * turn_rad(before_x, before_y, after_x, after_y) - step_m / radius_m
        most = max(most, swept)
    return most


@compiled_leaf
def _write_ring(ring: Array, start: int, at: int, n_on: int, points: Array, since: int) -> None:
    """Write the points of a ring from one of them on, as many as there is room for, but no more than all round."""
    for k in range(min(len(points) - since, n_on + 1)):
        source = start + (at + k) % n_on
        points[since + k, 0], points[since + k, 1] = ring[source, 0], ring[source, 1]


@compiled_leaf
def _moved_ends(points: Array, since: int, steps: int, begin_m: float, end_m: float, least_m: float) -> int:
    """Begin a line of so many steps so far after its first point and end it so far after its last one, in place; how
    many points it has then, 0 where too little remains.

    The last point before it begins is moved to where it begins, and those before it are dropped.
    """
    last = since + steps
    begin, station_m, begin_station_m = since, 0.0, 0.0
    for k in range(since, last):
        step_m = np.hypot(points[k + 1, 0] - points[k, 0], points[k + 1, 1] - points[k, 1])
        if station_m <= begin_m + _SAME_M:
            begin, begin_station_m = k, station_m
        station_m += step_m
    if not station_m + end_m - begin_m > least_m:
        return 0
    end_x, end_y = points[last, 0] - points[last - 1, 0], points[last, 1] - points[last - 1, 1]
    by = end_m / max(np.hypot(end_x, end_y), _SAME_M)
    on_x, on_y = points[begin + 1, 0] - points[begin, 0], points[begin + 1, 1] - points[begin, 1]
    begin_by = (begin_m - begin_station_m) / max(np.hypot(on_x, on_y), _SAME_M)
    points[last, 0] += by * end_x
    points[last, 1] += by * end_y
    points[begin, 0] += begin_by * on_x
    points[begin, 1] += begin_by * on_y
    for k in range(begin, last + 1):
        points[since + k - begin, 0], points[since + k - begin, 1] = points[k, 0], points[k, 1]
    return last - begin + 1


@compiled
def with_arcs(
    chains: Chains, radius_m: float, bent_above: float, bent_up_to: float, cuts_m: float, step: float
) -> tuple[bool, Chains]:
    """Whether lines have bends that are drawn as arcs, and the same lines with those: where the steps before and after
    are long enough.

    Parameters
    ----------
    bent_above, bent_up_to
        The bends that are drawn so, in radians.
    cuts_m
        No bend to the right is whose arc leaves the line by more.
    step
        How far arcs turn from point to point, in radians.
    """
    points, n = chains.points, len(chains.points)
    turn, tangent_m = np.zeros(n), np.zeros(n)
    for line in range(len(chains.first) - 1):
        for k in range(chains.first[line] + 1, chains.first[line + 1] - 1):
            turn[k] = turn_rad(
                points[k, 0] - points[k - 1, 0],
                points[k, 1] - points[k - 1, 1],
                points[k + 1, 0] - points[k, 0],
                points[k + 1, 1] - points[k, 1],
            )
            half = abs(turn[k]) / 2
            cuts = turn[k] < 0.0 and radius_m * (1 / np.cos(half) - 1) > cuts_m
            if bent_above < abs(turn[k]) <= bent_up_to and not cuts:
                tangent_m[k] = radius_m * np.tan(min(half, 1.0))
    count = np.ones(n, dtype=np.int64)
    for k in range(n):
        if tangent_m[k] > 0:
            before_m = np.hypot(points[k, 0] - points[k - 1, 0], points[k, 1] - points[k - 1, 1])
            after_m = np.hypot(points[k + 1, 0] - points[k, 0], points[k + 1, 1] - points[k, 1])
            if tangent_m[k] <= min(before_m - tangent_m[k - 1], after_m - tangent_m[k + 1]):
                count[k] = int(np.ceil(abs(turn[k]) / step)) + 1
    total = count.sum()
    if total == n:
        return False, chains
    drawn, first, m = np.empty((total, 2)), np.zeros(len(chains.first), dtype=np.int64), 0
    for line in range(len(chains.first) - 1):
        for k in range(chains.first[line], chains.first[line + 1]):
            if count[k] == 1:
                drawn[m, 0], drawn[m, 1] = points[k, 0], points[k, 1]
            else:
                _write_arc(
                    drawn[m : m + count[k]], points[k - 1], points[k], tangent_m[k], turn[k], radius_m
                )
            m += count[k]
        first[line + 1] = m
    return True, Chains(drawn, first)


@compiled_leaf
def _write_arc(
    drawn: Array, before: Array, corner: Array, tangent_m: float, turn: float, radius_m: float
) -> None:
    """Write the points of the arc that begins so far before a corner, (k, 2)."""
    ahead_x, ahead_y = corner[0] - before[0], corner[1] - before[1]
    step_m = np.hypot(ahead_x, ahead_y)
    ahead_x, ahead_y = ahead_x / step_m, ahead_y / step_m
    start_x, start_y = corner[0] - ahead_x * tangent_m, corner[1] - ahead_y * tangent_m
    n_steps = len(drawn) - 1
    for nth in range(n_steps + 1):
        turned = turn * nth / n_steps
        ahead_m = radius_m * np.sin(abs(turned))
        left_m = radius_m * (1 - np.cos(turned)) * np.sign(turned)
        drawn[nth, 0] = start_x + ahead_x * ahead_m - ahead_y * left_m
        drawn[nth, 1] = start_y + ahead_y * ahead_m + ahead_x * left_m


@compiled
def poses_of(chains: Chains) -> tuple[Array, Array]:
    """The poses at which lines are entered and left, (n, 3) each."""
    n, points = len(chains.first) - 1, chains.points
    enter, leave = np.empty((n, 3)), np.empty((n, 3))
    for line in range(n):
        first, last = chains.first[line], chains.first[line + 1] - 1
        for axis in range(2):
            enter[line, axis], leave[line, axis] = points[first, axis], points[last, axis]
        enter[line, 2] = _angle(points[first], points[first + 1])
        leave[line, 2] = _angle(points[last - 1], points[last])
    return enter, leave


@compiled
def poses_either_way(chains: Chains) -> tuple[Array, Array]:
    """The poses at which lines that may be driven either way are entered and left at their starts and at their ends,
    (n, 2, 3) each, to the last bit those of `poses_of` for the lines and for the lines turned round.
    """
    n, points = len(chains.first) - 1, chains.points
    enter, leave = np.empty((n, 2, 3)), np.empty((n, 2, 3))
    for line in range(n):
        first, last = chains.first[line], chains.first[line + 1] - 1
        for axis in range(2):
            enter[line, 0, axis] = leave[line, 0, axis] = points[first, axis]
            enter[line, 1, axis] = leave[line, 1, axis] = points[last, axis]
        enter[line, 0, 2] = _angle(points[first], points[first + 1])
        enter[line, 1, 2] = _angle(points[last], points[last - 1])
        leave[line, 0, 2] = _angle(points[first + 1], points[first])
        leave[line, 1, 2] = _angle(points[last - 1], points[last])
    return enter, leave


@compiled_leaf
def _angle(start: Array, end: Array) -> float:
    """The angle of the step from one point to another."""
    return float(np.arctan2(end[1] - start[1], end[0] - start[0]))


@compiled
def lengths_m(chains: Chains) -> Array:
    """The length of each line, (n,)."""
    length_m = np.zeros(len(chains.first) - 1)
    for line in range(len(length_m)):
        for k in range(chains.first[line], chains.first[line + 1] - 1):
            length_m[line] += np.hypot(
                chains.points[k + 1, 0] - chains.points[k, 0], chains.points[k + 1, 1] - chains.points[k, 1]
            )
    return length_m


@compiled
def stretched(chains: Chains, start_m: Array, end_m: Array) -> Chains:
    """The part of each line between two of its stations, (n,) each; stations beyond its ends are its ends."""
    n = len(chains.first) - 1
    points, first = np.empty((len(chains.points) + 2 * n, 2)), np.zeros(n + 1, dtype=np.int64)
    length_m = lengths_m(chains)
    for line in range(n):
        since_m = min(max(start_m[line], 0.0), length_m[line])
        until_m = min(max(end_m[line], 0.0), length_m[line])
        at = first[line]
        _write_place(chains, line, since_m, points[at])
        at, station_m = at + 1, 0.0
        for k in range(chains.first[line], chains.first[line + 1]):
            if k > chains.first[line]:
                station_m += np.hypot(
                    chains.points[k, 0] - chains.points[k - 1, 0],
                    chains.points[k, 1] - chains.points[k - 1, 1],
                )
            if station_m > since_m + _SAME_M and station_m < until_m - _SAME_M:
                points[at, 0], points[at, 1] = chains.points[k, 0], chains.points[k, 1]
                at += 1
        _write_place(chains, line, until_m, points[at])
        first[line + 1] = at + 1
    return Chains(points[: first[n]].copy(), first)


@compiled_leaf
def _write_place(chains: Chains, line: int, at_m: float, place: Array) -> None:
    """Write the place so far along a line, which is at least as long but for a rounding."""
    last, station_m = chains.first[line + 1] - 1, 0.0
    place[0], place[1] = chains.points[last, 0], chains.points[last, 1]
    for k in range(chains.first[line], last):
        x, y = chains.points[k, 0], chains.points[k, 1]
        by_x, by_y = chains.points[k + 1, 0] - x, chains.points[k + 1, 1] - y
        step_m = np.hypot(by_x, by_y)
        if at_m < station_m + step_m:
            place[0] = x + by_x / step_m * (at_m - station_m)
            place[1] = y + by_y / step_m * (at_m - station_m)
            return
        station_m += step_m


@compiled
def cut_at_ends(chains: Chains, begin_m: Array, end_m: Array) -> Chains:
    """Lines begun so much after their starts, or before them, and ended so much before their ends, (n,) each; without
    points where nothing remains.
    """
    points = chains.points.copy()
    for line in range(len(begin_m)):
        k = chains.first[line]
        if begin_m[line] < 0.0:
            by_x, by_y = points[k + 1, 0] - points[k, 0], points[k + 1, 1] - points[k, 1]
            by = begin_m[line] / np.hypot(by_x, by_y)
            points[k, 0] += by_x * by
            points[k, 1] += by_y * by
    longer = Chains(points, chains.first)
    length_m, since_m = lengths_m(longer), np.maximum(begin_m, 0.0)
    cut = stretched(longer, since_m, length_m - end_m)
    some = (begin_m != 0.0) | (end_m > 0.0)
    first, at = np.zeros(len(chains.first), dtype=np.int64), 0
    found = np.empty((len(points) + len(cut.points), 2))
    for line in range(len(begin_m)):
        source = cut if some[line] else longer
        n = source.first[line + 1] - source.first[line]
        if some[line] and not since_m[line] + end_m[line] < length_m[line]:
            n = 0
        for k in range(n):
            found[at + k] = source.points[source.first[line] + k]
        at += n
        first[line + 1] = at
    return Chains(found[:at].copy(), first)
