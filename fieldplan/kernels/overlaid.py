"""The area of ground of each combination of kinds, without cutting any of it.

Between the heights of all ends of edges, and of all places where edges cross, edges lie side by side in one order:
what lies between two of them is a trapezoid, of the same kinds throughout. It is the sweep of J. L. Bentley and
T. A. Ottmann, Algorithms for reporting and counting geometric intersections, IEEE Transactions on Computers C-28, 1979,
with those crossings looked for in each band that change the order from its foot to its top.
"""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf, compiled_within
from fieldplan.model.coverage import Array, BoolArray, IntArray

_SAME_M = 1e-9
"""Edges that change places by less are side by side."""
_LOW, _HIGH, _X, _SLOPE = 0, 1, 2, 3
_NONE, _OWN, _OTHERS, _WITHIN = -1, 0, 1, 2


@compiled
def overlaid_m2(ends: Array, kind: IntArray, along: Array, n_kinds: int) -> Array:
    """The area of each combination of kinds of ground, (2 ** n_kinds,): that with the k-th kind has the k-th bit set.

    Parameters
    ----------
    ends, kind
        (n, 4) x and y of both ends of edges, (n,) the kind of the ground to the left of each.
    along
        (2,) the unit vector across which the sweep goes: the quicker, the fewer edges lie side by side along it.
    """
    return _swept(ends, kind, along, n_kinds, -np.inf, np.inf)


@compiled
def alone_m2(ends: Array, ground: IntArray, own: int, kept: BoolArray) -> float:
    """The area of what one of n grounds covers, of the last one, and none of those that are kept.

    Parameters
    ----------
    ends, ground
        (k, 4) x and y of both ends of edges, (k,) the ground to the left of each.
    own, kept
        The one, and whether each of the others counts, (n,).
    """
    n = len(kept)
    low, high = np.full((n, 2), np.inf), np.full((n, 2), -np.inf)
    for k in range(len(ends)):
        for axis in range(2):
            low[ground[k], axis] = min(low[ground[k], axis], ends[k, axis], ends[k, axis + 2])
            high[ground[k], axis] = max(high[ground[k], axis], ends[k, axis], ends[k, axis + 2])
    kind_of = np.full(n, _NONE)
    for other in range(n):
        apart = low[other, 0] > high[own, 0] or high[other, 0] < low[own, 0]
        if kept[other] and not apart:
            kind_of[other] = _OTHERS
    kind_of[own], kind_of[n - 1] = _OWN, _WITHIN
    low_y, high_y = low[own, 1], high[own, 1]
    near, kind, n_near = np.empty((len(ends), 4)), np.empty(len(ends), dtype=np.int64), 0
    for k in range(len(ends)):
        if kind_of[ground[k]] == _NONE:
            continue
        if min(ends[k, 1], ends[k, 3]) < high_y and max(ends[k, 1], ends[k, 3]) > low_y:
            near[n_near], kind[n_near], n_near = ends[k], kind_of[ground[k]], n_near + 1
    m2 = _swept(near[:n_near], kind[:n_near], np.array([1.0, 0.0]), 3, low_y, high_y)
    return float(m2[1 << _OWN | 1 << _WITHIN])


@compiled
def edges_of(points: Array, ring: IntArray, part: IntArray) -> tuple[Array, IntArray]:
    """The edges of rings with the ground on their left, x and y of both ends, (m, 4), and the ring of each, (m,).

    Parameters
    ----------
    points, ring
        (n, 2) points of closed rings, ring after ring, and the ring of each, (n,).
    part
        (k,) the polygon of each ring, its outer one before its holes.
    """
    ends, of, n, since = np.empty((len(points), 4)), np.empty(len(points), dtype=np.int64), 0, 0
    while since < len(points):
        own, until, twice_m2 = ring[since], since + 1, 0.0
        while until < len(points) and ring[until] == own:
            x, y = points[until, 0] - points[since, 0], points[until, 1] - points[since, 1]
            to_x, to_y = points[until - 1, 0] - points[since, 0], points[until - 1, 1] - points[since, 1]
            twice_m2 += to_x * y - x * to_y
            until += 1
        outer = own == 0 or part[own - 1] != part[own]
        ahead = (twice_m2 > 0.0) == outer
        for nth in range(until - since - 1):
            start = since + nth if ahead else until - 1 - nth
            end = start + 1 if ahead else start - 1
            ends[n, 0], ends[n, 1], ends[n, 2], ends[n, 3] = (
                points[start, 0],
                points[start, 1],
                points[end, 0],
                points[end, 1],
            )
            of[n], n = own, n + 1
        since = until
    return ends[:n], of[:n]


@compiled
def _swept(
    ends: Array, kind: IntArray, along: Array, n_kinds: int, since_y: float, until_y: float
) -> Array:
    """The same of what lies between two heights, in axes along and across the direction."""
    edges, of, enters = _upward(ends, kind, along)
    y = edges[:, : _HIGH + 1].copy().ravel()
    order = np.argsort(y, kind="mergesort")
    m2, inside = np.zeros(1 << n_kinds), np.zeros(n_kinds, dtype=np.int64)
    active, n_active = np.empty(len(edges), dtype=np.int64), 0
    x, since_x, until_x = np.empty(len(edges)), np.empty(len(edges)), np.empty(len(edges))
    some_end = False
    for nth in range(len(order) - 1):
        low, high = y[order[nth]], y[order[nth + 1]]
        if order[nth] % 2 == _LOW:
            active[n_active] = order[nth] // 2
            n_active += 1
        else:
            some_end = True
        if high <= low or high <= since_y:
            continue
        if low >= until_y:
            break
        if some_end:
            n_active, some_end = _n_kept(edges, active, n_active, low), False
        _put_in_order(edges, active, x, n_active, (low + high) / 2)
        cuts = _crossings(edges, active, since_x, until_x, n_active, low, high)
        if not len(cuts):
            _add_between(of, enters, active, x, n_active, high - low, inside, m2)
            continue
        for k in range(len(cuts) + 1):
            foot, top = cuts[k - 1] if k else low, cuts[k] if k < len(cuts) else high
            _put_in_order(edges, active, x, n_active, (foot + top) / 2)
            _add_between(of, enters, active, x, n_active, top - foot, inside, m2)
    return m2


@compiled
def _upward(ends: Array, kind: IntArray, along: Array) -> tuple[Array, IntArray, IntArray]:
    """Edges turned so that a direction is that of x, (m, 4), without level ones: y of the lower and of the upper end, x
    of the lower one, and how far x grows with y; the kind that each bounds; and 1 if that lies to the right of it, else
    -1, (m,) both.
    """
    edges, of, enters = np.empty((len(ends), 4)), np.empty_like(kind), np.empty_like(kind)
    n = 0
    for k in range(len(ends)):
        x, y = _turned(ends[k, 0], ends[k, 1], along)
        to_x, to_y = _turned(ends[k, 2], ends[k, 3], along)
        if y == to_y:
            continue
        enters[n] = 1 if y > to_y else -1
        if y > to_y:
            x, y, to_x, to_y = to_x, to_y, x, y
        edges[n, _LOW], edges[n, _HIGH], edges[n, _X], edges[n, _SLOPE] = (
            y,
            to_y,
            x,
            (to_x - x) / (to_y - y),
        )
        of[n] = kind[k]
        n += 1
    return edges[:n], of[:n], enters[:n]


@compiled_within
def _turned(x: float, y: float, along: Array) -> tuple[float, float]:
    """A place in axes turned so that a direction is that of x."""
    return x * along[0] + y * along[1], y * along[0] - x * along[1]


@compiled_leaf
def _n_kept(edges: Array, active: IntArray, n: int, low: float) -> int:
    """Keep those edges, of n, that go on above a height; how many these are."""
    n_kept = 0
    for i in range(n):
        if edges[active[i], _HIGH] > low:
            active[n_kept] = active[i]
            n_kept += 1
    return n_kept


@compiled_leaf
def _put_in_order(edges: Array, active: IntArray, x: Array, n: int, y: float) -> None:
    """Sort edges that pass a height, n of them, by the x at which they do, and write these."""
    for i in range(n):
        edge, place = active[i], i
        at = _x_at(edges, edge, y)
        while place > 0 and x[place - 1] > at:
            x[place], active[place] = x[place - 1], active[place - 1]
            place -= 1
        x[place], active[place] = at, edge


@compiled
def _crossings(
    edges: Array, active: IntArray, since_x: Array, until_x: Array, n: int, low: float, high: float
) -> Array:
    """The heights between two others at which edges cross, which are in order half way between these, rising."""
    cuts, n_cuts, apart = np.empty(0), 0, True
    for i in range(n):
        since_x[i], until_x[i] = _x_at(edges, active[i], low), _x_at(edges, active[i], high)
        if i and (since_x[i] < since_x[i - 1] - _SAME_M or until_x[i] < until_x[i - 1] - _SAME_M):
            apart = False
    if apart:
        return cuts
    cuts = np.empty(n * (n - 1) // 2)
    most_since_x, most_until_x = -np.inf, -np.inf
    for i in range(n):
        crosses = min(since_x[i] - most_since_x, until_x[i] - most_until_x) < -_SAME_M
        most_since_x, most_until_x = max(most_since_x, since_x[i]), max(most_until_x, until_x[i])
        for j in range(i if crosses else 0):
            since_m, until_m = since_x[i] - since_x[j], until_x[i] - until_x[j]
            if min(since_m, until_m) < -_SAME_M and max(since_m, until_m) > 0.0:
                at, place = low + since_m / (since_m - until_m) * (high - low), n_cuts
                while place > 0 and cuts[place - 1] > at:
                    cuts[place] = cuts[place - 1]
                    place -= 1
                cuts[place] = at
                n_cuts += 1
    return cuts[:n_cuts]


@compiled_leaf
def _x_at(edges: Array, edge: int, y: float) -> float:
    """Where an edge passes a height."""
    return float(edges[edge, _X] + (y - edges[edge, _LOW]) * edges[edge, _SLOPE])


@compiled_leaf
def _add_between(
    kind: IntArray,
    enters: IntArray,
    active: IntArray,
    x: Array,
    n: int,
    high_m: float,
    inside: IntArray,
    m2: Array,
) -> None:
    """Add the trapezoids between edges, n of them in the order of x half way up, to the kinds of ground that they are."""
    inside[:] = 0
    kinds = 0
    for i in range(n - 1):
        of = kind[active[i]]
        inside[of] += enters[active[i]]
        kinds = kinds | (1 << of) if inside[of] > 0 else kinds & ~(1 << of)
        m2[kinds] += (x[i + 1] - x[i]) * high_m
