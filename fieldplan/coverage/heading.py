"""Which way to drive: the few best edge directions, judged by time with the drill lifted only when all ground is sown.

The expected number of passes, Σ|e × u|/2w over the edges e for the heading u, is concave between edge directions, so
it is least along an edge. The few edges where it is least are tried with the true cost, strips laid from either side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.columns import IntArray, column_of
from fieldplan.coverage.sequence import passes_in_turn
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.paths import shortest_paths
from fieldplan.plane.strips import Layings, Runs, drives_of, lay_strips, turned

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


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What comes before and after the passes: where the drill comes from (if known), where sowing starts, and possible gates, (k, 2)."""

    comes_from: Array | None
    sowing_starts: Array
    gates: Array

    def home_m(self, last: Array) -> float:
        """The straight way from where the passes end to the gate, and from there to where sowing starts."""
        to_gates = np.hypot(self.gates[:, 0] - last[0], self.gates[:, 1] - last[1])
        return float((to_gates + np.hypot(*(self.gates - self.sowing_starts).T)).min())


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
    cost, n_passes = _costs_s(laid, len(tried), lift_over_m, rig)
    if beside is not None:
        cost = cost - beside.ways_s * ((n_passes - beside.n_passes) % 2)
    side = _first_least(cost.reshape(-1, 2)) + 2 * np.arange(len(headings))
    likely = side[np.argsort(cost[side], kind="stable")[:N_DRIVEN]] if len(headings) > 1 else np.arange(2)
    likely = likely[cost[likely] <= cost.min() + WORTH_DRIVING_FRAC * abs(cost.min())]
    layings = [(tried[i], laid.only(int(i))) for i in likely]
    driven_s, ways_s = _drive_costs_s(layings, lift_over_m, rig, surroundings)
    best = int(_first_least(driven_s))
    return Laying(*layings[best], float(driven_s[best]), float(ways_s[best]), int(n_passes[likely[best]]))


def _first_least(seconds: Array) -> IntArray:
    """Index of the least along the last axis; the first of those within about a millisecond, so that rounding does not choose."""
    return np.asarray(np.argmin(seconds.round(3), axis=-1))


def _nudged(along: Array) -> Array:
    """Headings a degree or two to either side."""
    angle = np.radians(NUDGES_DEG)
    return np.column_stack(
        [along[0] * np.cos(angle) - along[1] * np.sin(angle), along[0] * np.sin(angle) + along[1] * np.cos(angle)]
    )


def _drive_costs_s(
    layings: Sequence[tuple[Array, Runs]], lift_over_m: float, rig: Rig, surroundings: Surroundings | None
) -> tuple[Array, Array]:
    """Time to drive the passes of each laying in their order, turns by the shortest path, straight from column to column.

    And the part of it that the ways to the first and from the last pass take.
    """
    without_s, ways_s, leaves, enters = zip(
        *(_driven(*laying, lift_over_m, rig, surroundings) for laying in layings), strict=True
    )
    n_turns = np.array([len(leave) for leave in leaves])
    turn_m = shortest_paths(np.vstack(leaves), np.vstack(enters), rig.radius_m).length_m
    turns_m = np.bincount(np.repeat(np.arange(len(layings)), n_turns), weights=turn_m, minlength=len(layings))
    driven_s = np.array(without_s) + np.array(ways_s) + turns_m / rig.turn_speed_m_per_s + n_turns * rig.turn_extra_s
    return driven_s, np.array(ways_s)


def _driven(
    along: Array, runs: Runs, lift_over_m: float, rig: Rig, surroundings: Surroundings | None
) -> tuple[float, float, Array, Array]:
    """Time to drive the passes but for their turns, for the ways before and after, and the poses that turns leave and enter at, (k, 3)."""
    drive = runs.joined_over(lift_over_m)
    if len(drive) == 0:
        return 0.0, 0.0, np.zeros((0, 3)), np.zeros((0, 3))
    first = np.flatnonzero(np.diff(drive, prepend=-1))
    last = np.append(first[1:], len(drive)) - 1
    strip, start, end = runs.strip[first], runs.start_m[first], runs.end_m[last]
    y = runs.base_m + (strip + 0.5) * rig.width_m
    ends = np.stack([np.column_stack([start, y]), np.column_stack([end, y])], axis=1)
    comes_from = None if surroundings is None else surroundings.comes_from
    here = None if comes_from is None else np.array([comes_from @ along, comes_from[1] * along[0] - comes_from[0] * along[1]])
    driven = passes_in_turn(ends, column_of(strip, start, end), here, rig)
    enter, leave = driven.poses(ends)
    away = np.hypot(*(enter[1:, :2] - leave[:-1, :2]).T)
    turn = (np.diff(driven.column) == 0) | (away <= rig.turn_reach_m)
    sown_m = runs.length_m
    lifted_m = float((end - start).sum()) - sown_m + float(away[~turn].sum())
    ways_m = 0.0
    if here is not None:
        ways_m += float(np.hypot(*(enter[0, :2] - here)))
    if surroundings is not None:
        x, y_last = leave[-1, :2]
        ways_m += surroundings.home_m(np.array([x * along[0] - y_last * along[1], x * along[1] + y_last * along[0]]))
    passes_s = sown_m / rig.field_speed_m_per_s + lifted_m / rig.turn_speed_m_per_s
    return passes_s, ways_m / rig.turn_speed_m_per_s, leave[:-1][turn], enter[1:][turn]


def pass_costs_s(edges: Array, headings: Array, rig: Rig, lift_over_m: float) -> Array:
    """Time to drive the passes for each heading, (k, 2), strips laid from one side and from the other, (2k,)."""
    tried, laid = _laid(edges, headings, rig)
    return _costs_s(laid, len(tried), lift_over_m, rig)[0]


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


def _costs_s(laid: Layings, n: int, lift_over_m: float, rig: Rig) -> tuple[Array, IntArray]:
    """About the time to drive the passes of each laying, (n,), and how many they are, (n,).

    Counted are sown length, lifted gaps, and a U turn a pass lengthened by the stagger of its ends.
    """
    drive = drives_of(laid.strip, laid.start_m, laid.end_m, lift_over_m)
    first = np.flatnonzero(np.diff(drive, prepend=-1))
    last = np.append(first[1:], len(drive)) - 1
    laying, strip, start, end = laid.laying[first], laid.strip[first], laid.start_m[first], laid.end_m[last]
    driven_m = np.bincount(laying, weights=end - start, minlength=n)
    beside = np.diff(strip) == 1
    apart_m = np.minimum(np.abs(np.diff(start)), 4 * rig.radius_m) + np.minimum(np.abs(np.diff(end)), 4 * rig.radius_m)
    stagger_m = np.bincount(laying[1:][beside], weights=apart_m[beside], minlength=n) / 2 * rig.skip
    n_passes = np.bincount(laying, minlength=n)
    turns = np.maximum(0, n_passes - 1)
    u_turn_m = np.pi * rig.radius_m + max(0.0, rig.skip * rig.width_m - 2 * rig.radius_m)
    turning_s = turns * (u_turn_m / rig.turn_speed_m_per_s + rig.turn_extra_s) + stagger_m / rig.turn_speed_m_per_s
    return np.asarray(driven_m / rig.field_speed_m_per_s + turning_s), n_passes
