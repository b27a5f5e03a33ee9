"""Headings worth trying: along the edges; all round; and in small steps about a good one.

The expected number of passes, Σ|e × u|/2w over the edges e for the heading u, is concave between edge
directions, so it is least along an edge. Where the passes end can outweigh a pass: the last one may lie
near the gate instead of across the field. That can make another heading quicker, most on small fields.
"""

from __future__ import annotations

import numpy as np

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.strips import SLIVER_M

N_EDGES_TRIED = 6
MAX_EDGES = 500
"""Of more edges than that, those of one direction are put together: each is weighed against all others."""
_APART_DEG = 1.0
_STEP_DEG = 0.1
_ABOUT_STEPS = 5


def edge_directions(edges: Array) -> Array:
    """Unit vectors along the edges with the fewest expected passes, best first, (k, 2), at least 1°
    apart.
    """
    e = edges[:, 2:] - edges[:, :2]
    e = e[np.hypot(e[:, 0], e[:, 1]) > 1e-6]
    angle: Array = np.unique(np.round(np.mod(np.degrees(np.arctan2(e[:, 1], e[:, 0])), 180.0), 6))
    u = _unit(angle)
    best_first = (
        _across_m(e if len(e) <= MAX_EDGES else _by_direction(edges), u)
        .sum(axis=1)
        .argsort(kind="stable")
        .tolist()
    )
    chosen: list[int] = []
    free = np.ones(len(u), dtype=bool)
    for i in best_first:
        if free[i]:
            chosen.append(i)
            free &= np.abs((angle - angle[i] + 90.0) % 180.0 - 90.0) >= _APART_DEG
        if len(chosen) == N_EDGES_TRIED:
            break
    return u[chosen]


def directions_all_round(edges: Array, along_edges: Array, rig: Rig) -> Array:
    """Unit vectors every degree and beside each change of the number of passes, (k, 2), but for those that
    cannot be quickest.

    They are stepped through from the first edge direction, so that the choice turns with the field. Just
    after a change the last pass is short. Where passes begin and end can save a heading a way across the
    ground each: one expected to lose more is left out.
    """
    start_deg = float(np.degrees(np.arctan2(along_edges[0, 1], along_edges[0, 0])))
    u = _unit(start_deg + np.arange(0.0, 180.0, _STEP_DEG))
    across_m = u[:, :1] * edges[:, 1] - u[:, 1:] * edges[:, 0]
    passes = np.ceil((across_m.max(axis=1) - across_m.min(axis=1) - SLIVER_M) / rig.width_m)
    tried = (passes != np.roll(passes, 1)) | (passes != np.roll(passes, -1))
    tried[:: round(1 / _STEP_DEG)] = True
    u = u[tried]
    likely_s = _likely_s(_by_direction(edges), np.concatenate([along_edges, u]), rig)
    max_s = likely_s.min() + 2 * float(np.hypot(*np.ptp(edges[:, :2], axis=0))) / rig.turn_speed_m_per_s
    return np.asarray(u[likely_s[len(along_edges) :] <= max_s])


def directions_about(along: Array) -> Array:
    """Unit vectors in small steps about each of these headings, (k, 2), and they themselves."""
    angle_deg = np.degrees(np.arctan2(along[:, 1], along[:, 0]))
    return _unit((angle_deg[:, None] + np.arange(-_ABOUT_STEPS, _ABOUT_STEPS + 1) * _STEP_DEG).ravel())


def _across_m(e: Array, u: Array) -> Array:
    """How far each edge reaches across each heading, (k, n)."""
    return np.abs(u[:, 1:] * e[:, 0] - u[:, :1] * e[:, 1])


def _likely_s(e: Array, u: Array, rig: Rig) -> Array:
    """The time that turns and oblique ends are expected to take for each heading, (k,).

    As many passes end at an edge as fit across it. Each end is half a turn, longer the more the ends are
    staggered, and is sown on until the last corner is in.
    """
    ends, along_m = _across_m(e, u) / rig.width_m, np.abs(u @ e.T)
    turning_m = ends * rig.u_turn_m + rig.skip * np.minimum(along_m, 4 * rig.radius_m * ends)
    each_s = (
        ends * rig.turn_extra_s + turning_m / rig.turn_speed_m_per_s + along_m / rig.field_speed_m_per_s
    )
    return np.asarray(each_s.sum(axis=1) / 2, dtype=np.float64)


def _by_direction(edges: Array) -> Array:
    """The edges as vectors, those of one direction (to a degree) put together, (n, 2) with n <= 180."""
    e = edges[:, 2:] - edges[:, :2]
    e = np.where((e[:, 1] < 0)[:, None], -e, e)
    degree = np.minimum(np.degrees(np.arctan2(e[:, 1], e[:, 0])), 179.0).astype(np.int64)
    together = np.array([np.bincount(degree, weights=e[:, i]) for i in (0, 1)]).T
    return np.asarray(together[together.any(axis=1)], dtype=np.float64)


def _unit(angle_deg: Array) -> Array:
    angle = np.radians(angle_deg)
    return np.array([np.cos(angle), np.sin(angle)]).T
