"""Headings worth trying: along the edges, all round, and in small steps near a good one.

The expected number of passes at the heading u, Σ|e × u|/2w over the edges e, is concave between the edge
directions, so its minimum is along an edge. But the place where the passes end can matter more than one
pass: near the gate instead of across the field. Then another heading can be quicker, mostly on small fields.
"""

from __future__ import annotations

import numpy as np

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.strips import SLIVER_M

N_EDGES_TRIED = 6
MAX_EDGES = 500
"""More edges than this are summed by direction first, as each is compared with all others."""
_APART_DEG = 1.0
_STEP_DEG = 0.1
_NEAR_STEPS = 5
"""Steps to either side of a heading."""


def edge_directions(edges: Array) -> Array:
    """Headings along edges with the fewest expected passes, best first, at least 1° apart.

    Parameters
    ----------
    edges
        (n, 4) x1, y1, x2, y2 of each edge.

    Returns
    -------
    Array
        (k, 2) unit vectors, k <= `N_EDGES_TRIED`.

    Examples
    --------
    >>> edges = np.array([[0, 0, 90, 0], [90, 0, 90, 30], [90, 30, 0, 30], [0, 30, 0, 0]], dtype=float)
    >>> edge_directions(edges).round(6).tolist()  # along the longer side first
    [[1.0, 0.0], [0.0, 1.0]]
    """
    e = edges[:, 2:] - edges[:, :2]
    e = e[np.hypot(e[:, 0], e[:, 1]) > 1e-6]
    angle: Array = np.sort(np.round(np.mod(np.degrees(np.arctan2(e[:, 1], e[:, 0])), 180.0), 6))
    angle = angle[np.diff(angle, prepend=-1.0) != 0]
    u = _unit(angle)
    across_m = _across_m(e if len(e) <= MAX_EDGES else _by_direction(edges), u).sum(axis=1)
    chosen: list[int] = []
    angle_deg: list[float] = angle.tolist()
    for i in across_m.argsort(kind="stable").tolist():
        # headings differ by at most 90°, as either direction is the same
        apart_deg = (abs((angle_deg[i] - angle_deg[j] + 90.0) % 180.0 - 90.0) for j in chosen)
        if all(deg >= _APART_DEG for deg in apart_deg):
            chosen.append(i)
            if len(chosen) == N_EDGES_TRIED:
                break
    return u[chosen]


def directions_all_round(edges: Array, along_edges: Array, rig: Rig) -> Array:
    """Headings every degree, and at each change of the number of passes, that may be the quickest.

    They start from the first edge direction, so that the choice turns with the field. Next to a change of
    the number of passes, the last pass is short. The places where passes begin and end can save a heading
    at most one path across the ground each; headings expected to lose more than that are left out.

    Parameters
    ----------
    edges
        (n, 4) x1, y1, x2, y2 of each edge.
    along_edges
        (m, 2) unit vectors, as from `edge_directions`.

    Returns
    -------
    Array
        (k, 2) unit vectors.
    """
    start_deg = float(np.degrees(np.arctan2(along_edges[0, 1], along_edges[0, 0])))
    u = _unit(start_deg + np.arange(0.0, 180.0, _STEP_DEG))
    # by edge and heading: in that order the extremes of all headings are found at once
    across_m = edges[:, 1:2] * u[:, 0] - edges[:, :1] * u[:, 1]
    passes = np.ceil((across_m.max(axis=0) - across_m.min(axis=0) - SLIVER_M) / rig.width_m)
    tried = (passes != np.roll(passes, 1)) | (passes != np.roll(passes, -1))
    tried[:: round(1 / _STEP_DEG)] = True
    u = u[tried]
    expected_s = _expected_ends_s(_by_direction(edges), np.concatenate([along_edges, u]), rig)
    across_ground_m = float(np.hypot(*np.ptp(edges[:, :2], axis=0)))
    max_s = expected_s.min() + 2 * across_ground_m / rig.turn_speed_m_per_s
    return np.asarray(u[expected_s[len(along_edges) :] <= max_s])


def directions_about(along: Array) -> Array:
    """Each of these headings and others near it, in steps of 0.1° up to 0.5° to either side.

    Parameters
    ----------
    along
        (n, 2) unit vectors.

    Returns
    -------
    Array
        (11·n, 2) unit vectors.
    """
    angle_deg = np.degrees(np.arctan2(along[:, 1], along[:, 0]))
    return _unit((angle_deg[:, None] + np.arange(-_NEAR_STEPS, _NEAR_STEPS + 1) * _STEP_DEG).ravel())


def expected_outside_m(edges: Array, u: Array) -> Array:
    """Expected sown length beyond oblique edges at each heading.

    An edge e is met by |e × u|/w passes of width w, each of which is sown until its last corner is covered,
    half of w·|e · u|/|e × u| too far on average: Σ|e · u|/2.

    Parameters
    ----------
    edges
        (n, 4) x1, y1, x2, y2 of each edge.
    u
        (k, 2) headings as unit vectors.

    Returns
    -------
    Array
        (k,) meters.

    Examples
    --------
    >>> expected_outside_m(np.array([[0.0, 0.0, 60.0, 0.0]]), np.array([[1.0, 0.0], [0.0, 1.0]])).tolist()
    [30.0, 0.0]
    """
    e = edges[:, 2:] - edges[:, :2]
    return np.asarray(np.abs(u @ e.T).sum(axis=1) / 2, dtype=np.float64)


def _across_m(e: Array, u: Array) -> Array:
    """Extent of each edge e (n, 2) across each heading u (k, 2): |e × u|, (k, n)."""
    return np.abs(u[:, 1:] * e[:, 0] - u[:, :1] * e[:, 1])


def _expected_ends_s(e: Array, u: Array, rig: Rig) -> Array:
    """Expected time of turns and oblique ends for each heading u (k, 2) on edges e (n, 2): (k,).

    The passes that end at an edge are as many as fit across it. Each end is half a turn, which is longer
    the more the ends are staggered, and is sown until its last corner is covered.
    """
    n_ends, along_m = _across_m(e, u) / rig.width_m, np.abs(u @ e.T)
    turning_m = n_ends * rig.u_turn_m + rig.skip * np.minimum(along_m, 4 * rig.radius_m * n_ends)
    turning_s = n_ends * rig.turn_extra_s + turning_m / rig.turn_speed_m_per_s
    each_s = turning_s + along_m / rig.field_speed_m_per_s
    return np.asarray(each_s.sum(axis=1) / 2, dtype=np.float64)


def _by_direction(edges: Array) -> Array:
    """The edges as vectors, summed by direction to a degree, (n, 2) with n <= 180."""
    e = edges[:, 2:] - edges[:, :2]
    e = np.where((e[:, 1] < 0)[:, None], -e, e)
    degree = np.minimum(np.degrees(np.arctan2(e[:, 1], e[:, 0])), 179.0).astype(np.int64)
    together = np.array([np.bincount(degree, weights=e[:, i]) for i in (0, 1)]).T
    return np.asarray(together[together.any(axis=1)], dtype=np.float64)


def _unit(angle_deg: Array) -> Array:
    """Unit vectors, (n, 2), of angles counter-clockwise from +x, (n,)."""
    angle = np.radians(angle_deg)
    return np.array([np.cos(angle), np.sin(angle)]).T
