"""Which way to drive: the few best edge directions, judged by time with the drill lifted only when all ground is sown.

The expected number of passes, Σ|e × u|/2w over the edges e for the heading u, is concave between edge directions, so
it is least along an edge. The few edges where it is least are tried with the true cost, strips laid from either side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.columns import IntArray
from fieldplan.coverage.drive_time import Passes, Surroundings
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.strips import Layings, Runs, lay_strips, turned

N_TRIED = 6
N_DRIVEN = 3
WORTH_DRIVING_FRAC = 0.05
"""So many of the headings that look best, within so much of the best, are judged by the whole drive through their passes."""
NUDGES_DEG = np.array([-4.0, -3.0, -2.0, -1.0, -0.5, -0.25, 0.25, 0.5, 1.0, 2.0, 3.0, 4.0])
WORTH_LEAVING_FRAC = 0.003
"""Passes run along an edge of the block unless a slight turn saves this share of the time to drive them, and half the share of
ground that it sows besides: seed costs too."""
_APART_DEG = 1.0


@dataclass(frozen=True, slots=True)
class Laying:
    """Strips laid over a block: along which unit vector, the runs of ground they meet, and the time to drive them.

    ``ways_s`` is the part of that time that the ways to the first and from the last pass take.
    """

    along: Array
    runs: Runs
    cost_s: float
    ways_s: float
    n_passes: int


def best_laying(
    edges: Array, rig: Rig, lift_over_m: float, along: Array | None = None, surroundings: Surroundings | None = None
) -> Laying:
    """The laying of strips that takes the least time.

    The few likeliest headings, each laid from its better side, are judged by the drive through all passes in their order.
    Slight turns of the best one are tried too: one pass more can end near the gate instead of across the field.

    Parameters
    ----------
    edges
        (n, 4) edges of the block.
    along
        A wanted heading as a unit vector; if ``None`` the best edge directions are tried.
    surroundings
        If given, the ways to the first pass and from the last one to the gate count too.
    """
    if along is not None:
        return _best_of(edges, along[None, :], rig, lift_over_m, surroundings)
    best = _best_of(edges, edge_directions(edges, N_TRIED), rig, lift_over_m, surroundings)
    if surroundings is None:
        return best
    nudged = _best_of(edges, _nudged(best.along), rig, lift_over_m, surroundings, beside=best)
    sown_more_frac = max(0.0, nudged.runs.length_m / best.runs.length_m - 1) if best.runs.length_m > 0 else 0.0
    return nudged if nudged.cost_s < (1 - WORTH_LEAVING_FRAC - sown_more_frac / 2) * best.cost_s else best


def _best_of(
    edges: Array,
    headings: Array,
    rig: Rig,
    lift_over_m: float,
    surroundings: Surroundings | None,
    beside: Laying | None = None,
) -> Laying:
    """The best of some headings; one pass more or less than ``beside`` has may save the ways before and after its passes."""
    tried, laid = _laid(edges, headings, rig)
    passes = Passes.of(laid, lift_over_m, rig.width_m)
    cost = passes.about_s(rig)
    if beside is not None:
        cost = cost - beside.ways_s * ((passes.count - beside.n_passes) % 2)
    side = _first_least(cost.reshape(-1, 2)) + 2 * np.arange(len(headings))
    likely = side[np.argsort(cost[side], kind="stable")[:N_DRIVEN]] if len(headings) > 1 else np.arange(2)
    likely = likely[cost[likely] <= cost.min() + WORTH_DRIVING_FRAC * abs(cost.min())]
    driven_s, ways_s = passes.only(likely).driven_s(tried[likely], rig, surroundings)
    best = int(_first_least(driven_s))
    chosen = int(likely[best])
    return Laying(tried[chosen], laid.only(chosen), float(driven_s[best]), float(ways_s[best]), int(passes.count[chosen]))


def _first_least(seconds: Array) -> IntArray:
    """Index of the least along the last axis; the first of those within about a millisecond, so that rounding does not choose."""
    return np.asarray(np.argmin(seconds.round(3), axis=-1))


def _nudged(along: Array) -> Array:
    """Headings a degree or two to either side."""
    angle = np.radians(NUDGES_DEG)
    return np.column_stack(
        [along[0] * np.cos(angle) - along[1] * np.sin(angle), along[0] * np.sin(angle) + along[1] * np.cos(angle)]
    )


def pass_costs_s(edges: Array, headings: Array, rig: Rig, lift_over_m: float) -> Array:
    """About the time to drive the passes for each heading, (k, 2), strips laid from one side and from the other, (2k,)."""
    _, laid = _laid(edges, headings, rig)
    return Passes.of(laid, lift_over_m, rig.width_m).about_s(rig)


def _laid(edges: Array, headings: Array, rig: Rig) -> tuple[Array, Layings]:
    """Strips along each heading, laid from one side and from the other."""
    tried = np.repeat(headings, 2, axis=0)
    return tried, lay_strips(turned(edges, tried), rig.width_m, np.arange(len(tried)) % 2 == 1)


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
