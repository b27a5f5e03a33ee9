"""Headings worth trying: along the edges, and near where the number of passes changes.

The expected number of passes, Σ|e × u|/2w over the edges e for the heading u, is concave between edge directions, so
it is least along an edge. But as long as the number of passes stays, the drive changes smoothly as the heading turns; where it
changes, the last pass may come to lie near the gate instead of across the field, which on a small field saves more than a pass
costs. So the quickest heading is along an edge, beside such a change or between two of them.
"""

from __future__ import annotations

import math

import numpy as np

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, IntArray
from fieldplan.plane.strips import SLIVER_M

N_EDGES_TRIED = 6
MOST_PASSES = 400
LEAST_TRIED = 12
"""Headings beside the edge directions are tried as long as the passes of all of them, laid from either side, are no more, but so
many at least: more where they are cheap and matter most, on small fields."""
_APART_DEG = 1.0
_STEP_DEG = 0.1
_ABOUT_STEPS = 5
_BETWEEN_DEG = 1.0
"""Between two changes of the number of passes headings are tried no farther apart than this."""


def edge_directions(edges: Array, most: int = N_EDGES_TRIED) -> Array:
    """Unit vectors along the edges with the fewest expected passes, best first, (k, 2), at least 1° apart."""
    e = edges[:, 2:] - edges[:, :2]
    e = e[np.hypot(e[:, 0], e[:, 1]) > 1e-6]
    angle: Array = np.unique(np.round(np.mod(np.degrees(np.arctan2(e[:, 1], e[:, 0])), 180.0), 6))
    u = _unit(angle)
    best_first = np.argsort(_across_m(e, u).sum(axis=1), kind="stable").tolist()
    angles, chosen = angle.tolist(), list[int]()
    for i in best_first:
        if all(abs((angles[i] - angles[j] + 90.0) % 180.0 - 90.0) >= _APART_DEG for j in chosen):
            chosen.append(i)
        if len(chosen) == most:
            break
    return u[chosen]


def directions_of_change(edges: Array, along_edges: Array, rig: Rig) -> Array:
    """Unit vectors just before, just after and between changes of the number of passes, likeliest first, (k, 2).

    Headings are stepped through from the first edge direction, so that the choice turns with the field. How far the ground reaches
    across a heading is computed every degree and at the edge directions, where it bends, and interpolated between them.
    """
    edge_deg = np.degrees(np.arctan2(along_edges[:, 1], along_edges[:, 0]))
    start_deg = float(edge_deg[0])
    known_deg = np.union1d(np.arange(181.0), np.mod(edge_deg - start_deg, 180.0))
    u = _unit(start_deg + known_deg)
    height_m = np.ptp(np.outer(u[:, 0], edges[:, 1]) - np.outer(u[:, 1], edges[:, 0]), axis=1)
    turned_deg = np.arange(0.0, 180.0, _STEP_DEG)
    passes = np.ceil((np.interp(turned_deg, known_deg, height_m) - SLIVER_M) / rig.width_m)
    tried = _at_changes(passes)
    u = _unit(start_deg + turned_deg[tried])
    likely = np.argsort(_likely_s(_by_direction(edges), u, rig), kind="stable")
    so_far = np.cumsum(2 * passes[tried[likely]])
    return u[likely[(so_far <= MOST_PASSES) | (np.arange(len(likely)) < LEAST_TRIED)]]


def directions_all_round(edges: Array, along_edges: Array, rig: Rig) -> Array:
    """Unit vectors every degree from the first edge direction, (k, 2), but for those that cannot be quickest.

    Where its passes begin and end can save a heading a way across the ground each: one expected to lose more than that is left out.
    """
    start_deg = float(np.degrees(np.arctan2(along_edges[0, 1], along_edges[0, 0])))
    u = _unit(start_deg + np.arange(1.0, 180.0))
    likely_s = _likely_s(_by_direction(edges), np.concatenate([along_edges, u]), rig)
    across_m = float(np.hypot(*np.ptp(edges[:, :2], axis=0)))
    return np.asarray(u[likely_s[len(along_edges) :] <= likely_s.min() + 2 * across_m / rig.turn_speed_m_per_s])


def directions_about(along: Array) -> Array:
    """Unit vectors in small steps about each of these headings, (k, 2), and they themselves."""
    angle_deg = np.degrees(np.arctan2(along[:, 1], along[:, 0]))
    return _unit((angle_deg[:, None] + np.arange(-_ABOUT_STEPS, _ABOUT_STEPS + 1) * _STEP_DEG).ravel())


def _at_changes(passes: Array) -> IntArray:
    """Steps before and after each change of the number of passes, and at least one between two changes: all the way round."""
    change = np.flatnonzero((passes != np.roll(passes, 1)) | (passes != np.roll(passes, -1)))
    if len(change) == 0:
        return change
    change = np.append(change, change[0] + len(passes))
    parts = np.maximum(2, np.ceil(np.diff(change) * (_STEP_DEG / _BETWEEN_DEG)))
    stops = np.append(0.0, np.cumsum(parts))
    return np.unique(np.interp(np.arange(stops[-1]), stops, change).astype(np.int64) % len(passes))


def _across_m(e: Array, u: Array) -> Array:
    """How far each edge reaches across each heading, (k, n)."""
    return np.abs(np.outer(u[:, 1], e[:, 0]) - np.outer(u[:, 0], e[:, 1]))


def _likely_s(e: Array, u: Array, rig: Rig) -> Array:
    """The time that turns and oblique ends are expected to take for each heading, (k,).

    As many passes end at an edge as fit across it. Each end is half a turn, longer the more the ends are staggered, and is sown on
    until the last corner is in.
    """
    ends, along_m = _across_m(e, u) / rig.width_m, np.abs(u @ e.T)
    u_turn_m = math.pi * rig.radius_m + max(0.0, rig.skip * rig.width_m - 2 * rig.radius_m)
    turning_m = ends * u_turn_m + rig.skip * np.minimum(along_m, 4 * rig.radius_m * ends)
    each_s = ends * rig.turn_extra_s + turning_m / rig.turn_speed_m_per_s + along_m / rig.field_speed_m_per_s
    return np.asarray(each_s.sum(axis=1) / 2, dtype=np.float64)


def _by_direction(edges: Array) -> Array:
    """The edges as vectors, those of one direction (to a degree) put together, (n, 2) with n <= 180."""
    e = edges[:, 2:] - edges[:, :2]
    e = np.where((e[:, 1] < 0)[:, None], -e, e)
    degree = np.minimum(np.degrees(np.arctan2(e[:, 1], e[:, 0])), 179.0).astype(np.int64)
    together = np.column_stack([np.bincount(degree, weights=e[:, i]) for i in (0, 1)])
    return np.asarray(together[together.any(axis=1)], dtype=np.float64)


def _unit(angle_deg: Array) -> Array:
    return np.column_stack([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
