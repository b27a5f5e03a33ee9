"""Sums over the edges of grounds: the turns at the ends of passes, and at the corners of rounds."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.model.coverage import Array, IntArray


class Outlines(NamedTuple):
    """The edges of n grounds: points of closed rings, (k, 2), where each ring begins, (r + 1,), and its ground, (r,)."""

    points: Array
    first: IntArray
    ground_of: IntArray


@compiled
def ends_s(
    outlines: Outlines, turns_s: Array, width_m: float, along: Array, n_headings: int, slant_deg: float
) -> Array:
    """Time of the turns between passes over each ground, (n,), with the best of some headings.

    Parameters
    ----------
    turns_s
        (n, slants) a turn on the headland about each, where ends lie so obliquely.
    along
        (1, 2) the heading as a unit vector, or (0, 2): then the longest edges of each ground are tried.
    n_headings
        So many of them.
    slant_deg
        From slant to slant.
    """
    n, most_deg = len(turns_s), slant_deg * (turns_s.shape[1] - 1)
    headings = _longest(outlines, n, n_headings) if len(along) == 0 else np.zeros((n, 1, 2))
    if len(along):
        headings[:, 0] = along[0]
    spent_s = np.zeros((n, headings.shape[1]))
    for ring in range(len(outlines.ground_of)):
        ground = outlines.ground_of[ring]
        for k in range(outlines.first[ring], outlines.first[ring + 1] - 1):
            x, y = _step(outlines, k)
            length_m = max(np.hypot(x, y), 1e-9)
            for nth in range(headings.shape[1]):
                across_m = abs(headings[ground, nth, 0] * y - headings[ground, nth, 1] * x)
                from_square_deg = np.degrees(np.arccos(min(across_m / length_m, 1.0)))
                slant = int(min(from_square_deg, most_deg) // slant_deg)
                spent_s[ground, nth] += across_m / width_m / 2 * turns_s[ground, slant]
    best_s = np.empty(n)
    for ground in range(n):
        best_s[ground] = spent_s[ground].min()
    return best_s


@compiled
def _longest(outlines: Outlines, n: int, n_headings: int) -> Array:
    """Unit vectors along the longest edges of each ground, (n, headings, 2): the longest again where there are no more."""
    longest_m, headings = np.full((n, n_headings), -1.0), np.zeros((n, n_headings, 2))
    for ring in range(len(outlines.ground_of)):
        ground = outlines.ground_of[ring]
        for k in range(outlines.first[ring], outlines.first[ring + 1] - 1):
            x, y = _step(outlines, k)
            length_m = np.hypot(x, y)
            if length_m < longest_m[ground, n_headings - 1]:
                continue
            nth = n_headings - 1
            while nth > 0 and length_m >= longest_m[ground, nth - 1]:
                longest_m[ground, nth] = longest_m[ground, nth - 1]
                headings[ground, nth] = headings[ground, nth - 1]
                nth -= 1
            longest_m[ground, nth] = length_m
            headings[ground, nth, 0], headings[ground, nth, 1] = (
                x / max(length_m, 1e-9),
                y / max(length_m, 1e-9),
            )
    for ground in range(n):
        for nth in range(1, n_headings):
            if longest_m[ground, nth] < 0.0:
                headings[ground, nth] = headings[ground, 0]
    return headings


@compiled
def arcs_s(
    outlines: Outlines, n: int, corner_above: float, radius_m: float, m_per_s: float, extra_s: float
) -> Array:
    """Time of one arc at each corner of the rings of n grounds, (n,).

    Parameters
    ----------
    corner_above
        Turns above this are corners, in radians.
    radius_m, m_per_s, extra_s
        Radius of the arcs, speed on them, and what each takes besides.
    """
    spent_s = np.zeros(n)
    for ring in range(len(outlines.ground_of)):
        first, last = outlines.first[ring], outlines.first[ring + 1] - 1
        for k in range(first, last):
            x, y = _step(outlines, k)
            next_x, next_y = _step(outlines, k + 1 if k + 1 < last else first)
            turn = abs(np.arctan2(x * next_y - y * next_x, x * next_x + y * next_y))
            if turn > corner_above:
                spent_s[outlines.ground_of[ring]] += radius_m * turn / m_per_s + extra_s
    return spent_s


@compiled_leaf
def _step(outlines: Outlines, k: int) -> tuple[float, float]:
    """The edge after a point."""
    return (
        outlines.points[k + 1, 0] - outlines.points[k, 0],
        outlines.points[k + 1, 1] - outlines.points[k, 1],
    )
