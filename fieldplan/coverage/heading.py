"""Which way to drive: the few best edge directions, judged by time with the drill lifted only when all ground is sown.

The expected number of passes, Σ|e × u|/2w over the edges e for the heading u, is concave between edge directions, so
it is least along an edge. The few edges where it is least are tried with the true cost, strips laid from either side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.strips import Runs, strip_runs, turned

N_TRIED = 6
_APART_DEG = 1.0


@dataclass(frozen=True, slots=True)
class Laying:
    """Strips laid over a block: along which unit vector, the runs of ground they meet and the time to drive them."""

    along: Array
    runs: Runs
    drives: Array
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
    layings = [
        _laying(turned(edges, heading), heading, rig, lift_over_m, from_top=from_top)
        for heading in headings
        for from_top in (False, True)
    ]
    return min(layings, key=lambda laying: laying.cost_s)


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


def _laying(edges: Array, along: Array, rig: Rig, lift_over_m: float, *, from_top: bool) -> Laying:
    runs = strip_runs(edges, rig.width_m, from_top=from_top)
    drive = runs.joined_over(lift_over_m)
    n = int(drive[-1]) + 1 if len(drive) else 0
    first = np.searchsorted(drive, np.arange(n))
    last = np.searchsorted(drive, np.arange(n), side="right") - 1
    drives = np.column_stack([runs.strip[first], runs.start_m[first], runs.end_m[last]]) if n else np.zeros((0, 3))
    return Laying(along, runs, drives, _cost_s(drives, rig))


def _cost_s(drives: Array, rig: Rig) -> float:
    """Time to drive the passes: sown length, lifted gaps, and a U turn a pass lengthened by the stagger of its ends."""
    driven_m = float(np.sum(drives[:, 2] - drives[:, 1]))
    beside = np.abs(np.diff(drives[:, 1:], axis=0))[np.diff(drives[:, 0]) == 1]
    stagger_m = float(np.minimum(beside, 4 * rig.radius_m).sum()) / 2 * rig.skip
    u_turn_m = np.pi * rig.radius_m + max(0.0, rig.skip * rig.width_m - 2 * rig.radius_m)
    turns = max(0, len(drives) - 1)
    turning_s = turns * (u_turn_m / rig.turn_speed_m_per_s + rig.turn_extra_s) + stagger_m / rig.turn_speed_m_per_s
    return driven_m / rig.field_speed_m_per_s + turning_s
