"""Kernels of `plane.strips`: stretches of ground along strips, and the ground under runs."""

from __future__ import annotations

from typing import NamedTuple, TypeVar

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.model.coverage import Array, BoolArray, IntArray

_Values = TypeVar("_Values", Array, IntArray)


class Least(NamedTuple):
    """What is too small to count: a last strip with less ground across it, and a run no longer than this, meters;
    vertices so near a border lie on it, and runs so near each other touch.
    """

    sliver_m: float
    short_m: float
    close_m: float


@compiled
def runs_along(
    edges: Array, along: Array, width_m: float, from_top: BoolArray, least: Least
) -> tuple[IntArray, IntArray, Array, Array, Array, IntArray]:
    """The runs of k layouts, as `plane.strips.lay_strips` says of edges (n, 4).

    Returns
    -------
    layout_of, strip, start_m, end_m, base_m, first_strip
        (m,) four times and (k,) twice, as `plane.strips.SwathLayouts` has them.
    """
    k, n_edges = len(along), len(edges)
    count, base_m = np.zeros(k, dtype=np.int64), np.empty(k)
    for i in range(k):
        low, high = np.inf, -np.inf
        for edge in range(n_edges):  # each corner is the start of one
            at = edges[edge, 1] * along[i, 0] - edges[edge, 0] * along[i, 1]
            low, high = min(low, at), max(high, at)
        count[i] = max(0, int(np.ceil((high - low - least.sliver_m) / width_m))) if n_edges else 0
        base_m[i] = high - count[i] * width_m if from_top[i] else low
    # an unused strip below and two above each layout keep those of one from being beside those of the next
    first_strip = (count + 3).cumsum() - count - 2
    turned, level, n_runs = np.empty((n_edges, 4)), np.empty((n_edges, 2)), 0
    layout_of, strip = np.empty(64, dtype=np.int64), np.empty(64, dtype=np.int64)
    start_m, end_m = np.empty(64), np.empty(64)
    for i in range(k):
        _write_turned(edges, along[i], turned)
        _write_levels(turned, base_m[i], width_m, least.close_m, level)
        first, begins_m, ends_m = _stretches(turned, level, count[i])
        while n_runs + len(begins_m) > len(strip):
            layout_of, strip = _twice(layout_of), _twice(strip)
            start_m, end_m = _twice(start_m), _twice(end_m)
        for nth in range(count[i]):
            since = n_runs
            for at in range(first[nth], first[nth + 1]):
                if n_runs > since and begins_m[at] <= end_m[n_runs - 1] + least.close_m:
                    end_m[n_runs - 1] = max(end_m[n_runs - 1], ends_m[at])
                    continue
                if n_runs > since and end_m[n_runs - 1] - start_m[n_runs - 1] <= least.short_m:
                    n_runs -= 1
                layout_of[n_runs], strip[n_runs] = i, first_strip[i] + nth
                start_m[n_runs], end_m[n_runs] = begins_m[at], ends_m[at]
                n_runs += 1
            if n_runs > since and end_m[n_runs - 1] - start_m[n_runs - 1] <= least.short_m:
                n_runs -= 1
    return layout_of[:n_runs], strip[:n_runs], start_m[:n_runs], end_m[:n_runs], base_m, first_strip


@compiled
def _twice(values: _Values) -> _Values:
    """The same values with as much room again."""
    grown = np.empty(2 * len(values), values.dtype)
    grown[: len(values)] = values
    return grown


@compiled_leaf
def _write_turned(edges: Array, along: Array, turned: Array) -> None:
    """Write edges in axes turned so that a heading points to +x, (n, 4)."""
    cos, sin = along[0], along[1]
    for edge in range(len(edges)):
        for x in (0, 2):
            turned[edge, x] = edges[edge, x] * cos + edges[edge, x + 1] * sin
            turned[edge, x + 1] = edges[edge, x + 1] * cos - edges[edge, x] * sin


@compiled_leaf
def _write_levels(edges: Array, base_m: float, width_m: float, close_m: float, level: Array) -> None:
    """Write the ends of edges in strips, (n, 2): whole numbers at borders, and close to them."""
    for edge in range(len(edges)):
        for end in range(2):
            at = (edges[edge, 2 * end + 1] - base_m) / width_m
            near = np.rint(at)
            level[edge, end] = near if abs(at - near) * width_m < close_m else at


@compiled
def _stretches(edges: Array, level: Array, n_strips: int) -> tuple[IntArray, Array, Array]:
    """Stretches with ground in each strip: where those of a strip begin, (n_strips + 1,), and begins and ends in the
    order of begins.

    They are those of the edges within the strip, and along both of its borders, seen from just inside it, those
    from the first to the second crossing of an edge, from the third to the fourth, and so on.
    """
    n_own, n_crossed = np.zeros(n_strips, dtype=np.int64), np.zeros((n_strips, 2), dtype=np.int64)
    for edge in range(len(edges)):
        low, high = min(level[edge, 0], level[edge, 1]), max(level[edge, 0], level[edge, 1])
        for strip in range(max(0, int(np.floor(low))), min(n_strips, int(np.ceil(high)))):
            n_own[strip] += 1
            n_crossed[strip, 0] += low <= strip
            n_crossed[strip, 1] += high >= strip + 1
    first = np.zeros(n_strips + 1, dtype=np.int64)
    since = np.zeros((n_strips, 2), dtype=np.int64)
    n_crossings = 0
    for strip in range(n_strips):
        first[strip + 1] = first[strip] + n_own[strip] + n_crossed[strip, 0] // 2 + n_crossed[strip, 1] // 2
        for side in range(2):
            since[strip, side] = n_crossings
            n_crossings += n_crossed[strip, side]
    begins_m, ends_m, crossings_m = np.empty(first[-1]), np.empty(first[-1]), np.empty(n_crossings)
    n_own[:], n_crossed[:] = 0, 0
    for edge in range(len(edges)):
        low, high = min(level[edge, 0], level[edge, 1]), max(level[edge, 0], level[edge, 1])
        since_strip, until_strip = max(0, int(np.floor(low))), min(n_strips, int(np.ceil(high)))
        a, b, slope = edges[edge, 0], edges[edge, 2], 0.0
        if low < high and since_strip < until_strip:
            slope = (edges[edge, 2] - edges[edge, 0]) / (level[edge, 1] - level[edge, 0])
            b = _x_at(edges, level, edge, max(low, float(since_strip)), slope)
        for strip in range(since_strip, until_strip):
            if low < high:  # from the lower to the upper border, or from where it begins to where it ends
                a, b = b, _x_at(edges, level, edge, min(high, strip + 1.0), slope)
            at = first[strip] + n_own[strip]
            begins_m[at], ends_m[at] = min(a, b), max(a, b)
            n_own[strip] += 1
            if low <= strip:
                crossings_m[since[strip, 0] + n_crossed[strip, 0]] = a
                n_crossed[strip, 0] += 1
            if high >= strip + 1:
                crossings_m[since[strip, 1] + n_crossed[strip, 1]] = b
                n_crossed[strip, 1] += 1
    for strip in range(n_strips):
        at = first[strip] + n_own[strip]
        for side in range(2):
            here, n = since[strip, side], n_crossed[strip, side]
            _sort(crossings_m, crossings_m, here, here + n)
            for nth in range(n // 2):
                begins_m[at], ends_m[at] = crossings_m[here + 2 * nth], crossings_m[here + 2 * nth + 1]
                at += 1
        _sort(begins_m, ends_m, first[strip], first[strip + 1])
    return first, begins_m, ends_m


@compiled_leaf
def _x_at(edges: Array, level: Array, edge: int, at: float, slope: float) -> float:
    """Where an edge, of this slope, crosses a level."""
    return float(edges[edge, 0] + (at - level[edge, 0]) * slope)


@compiled_leaf
def _sort(values: Array, others: Array, since: int, until: int) -> None:
    """Sort values between two places, few of them, and others along with them; these may be the same array."""
    for k in range(since + 1, until):
        value, other, at = values[k], others[k], k
        while at > since and values[at - 1] > value:
            values[at], others[at] = values[at - 1], others[at - 1]
            at -= 1
        values[at], others[at] = value, other
