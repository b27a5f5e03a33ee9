"""Which way to drive: the few best edge directions, judged by time with the drill lifted only when all ground is sown.

The expected number of passes, Σ|e × u|/2w over the edges e for the heading u, is concave between edge directions, so
it is least along an edge. The few edges where it is least are tried with the true cost, strips laid from either side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.strips import Layings, Runs, drives_of, lay_strips, turned

N_TRIED = 6
_APART_DEG = 1.0


@dataclass(frozen=True, slots=True)
class Laying:
    """Strips laid over a block: along which unit vector, the runs of ground they meet and the time to drive them."""

    along: Array
    runs: Runs
    cost_s: float


def best_laying(edges: Array, rig: Rig, lift_over_m: float, along: Array | None = None) -> Laying:
    """The laying of strips that takes the least time.

    Parameters
    ----------
    edges
        (n, 4) edges of the block.
    along
        A wanted heading as a unit vector; if ``None`` the best edge directions are tried.
    """
    headings = edge_directions(edges, N_TRIED) if along is None else along[None, :]
    tried = np.repeat(headings, 2, axis=0)
    laid = lay_strips(turned(edges, tried), rig.width_m, np.arange(len(tried)) % 2 == 1)
    cost = _costs_s(laid, len(tried), lift_over_m, rig)
    best = int(np.argmin(cost))
    return Laying(tried[best], laid.only(best), float(cost[best]))


def edge_directions(edges: Array, most: int) -> Array:
    """Unit vectors along the edges with the fewest expected passes, best first, (k, 2), at least 1° apart."""
    e = edges[:, 2:] - edges[:, :2]
    e = e[np.hypot(e[:, 0], e[:, 1]) > 1e-6]
    angle = np.unique(np.round(np.mod(np.degrees(np.arctan2(e[:, 1], e[:, 0])), 180.0), 6))
    u = np.column_stack([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
    expected = np.abs(np.outer(u[:, 1], e[:, 0]) - np.outer(u[:, 0], e[:, 1])).sum(axis=1)
    chosen: list[int] = []
    for i in np.argsort(expected, kind="stable"):
        away = [abs((angle[i] - angle[j] + 90.0) % 180.0 - 90.0) for j in chosen]
        if all(a >= _APART_DEG for a in away):
            chosen.append(int(i))
        if len(chosen) == most:
            break
    return u[chosen]


def _costs_s(laid: Layings, n: int, lift_over_m: float, rig: Rig) -> Array:
    """Time to drive the passes of each laying: sown length, lifted gaps, and a U turn a pass lengthened by the stagger of its ends."""
    drive = drives_of(laid.strip, laid.start_m, laid.end_m, lift_over_m)
    first = np.flatnonzero(np.diff(drive, prepend=-1))
    last = np.append(first[1:], len(drive)) - 1
    laying, strip, start, end = laid.laying[first], laid.strip[first], laid.start_m[first], laid.end_m[last]
    driven_m = np.bincount(laying, weights=end - start, minlength=n)
    beside = np.diff(strip) == 1
    apart_m = np.minimum(np.abs(np.diff(start)), 4 * rig.radius_m) + np.minimum(np.abs(np.diff(end)), 4 * rig.radius_m)
    stagger_m = np.bincount(laying[1:][beside], weights=apart_m[beside], minlength=n) / 2 * rig.skip
    turns = np.maximum(0, np.bincount(laying, minlength=n) - 1)
    u_turn_m = np.pi * rig.radius_m + max(0.0, rig.skip * rig.width_m - 2 * rig.radius_m)
    turning_s = turns * (u_turn_m / rig.turn_speed_m_per_s + rig.turn_extra_s) + stagger_m / rig.turn_speed_m_per_s
    return np.asarray(driven_m / rig.field_speed_m_per_s + turning_s)
