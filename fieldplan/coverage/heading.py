"""Which way to drive: the few best edge directions, judged by time with the drill lifted only when all ground is sown.

The expected number of passes, Σ|e × u|/2w over the edges e for the heading u, is concave between edge directions, so
it is least along an edge. The few edges where it is least are tried with the true cost, strips laid from either side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.columns import IntArray, column_of
from fieldplan.coverage.order import drive_order
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.paths import shortest_paths
from fieldplan.plane.strips import Layings, Runs, drives_of, lay_strips, turned

N_TRIED = 6
N_DRIVEN = 3
WORTH_DRIVING = 1.05
"""So many of the headings that look best are judged by their turns one by one."""
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
    return ranked_layings(edges, rig, lift_over_m, headings)[0]


def ranked_layings(edges: Array, rig: Rig, lift_over_m: float, headings: Array | None = None) -> list[Laying]:
    """The layings that may be the quickest, best first: the better side of each of the few likeliest headings."""
    if headings is None:
        headings = edge_directions(edges, N_TRIED)
    tried, laid = _laid(edges, headings, rig)
    cost = _costs_s(laid, len(tried), lift_over_m, rig)
    side = cost.reshape(-1, 2).argmin(axis=1) + 2 * np.arange(len(headings))
    likely = side[np.argsort(cost[side], kind="stable")[:N_DRIVEN]]
    likely = likely[cost[likely] <= WORTH_DRIVING * cost.min()]
    layings = [(laid.only(int(i)), tried[i]) for i in likely]
    if len(layings) == 1:
        return [Laying(layings[0][1], layings[0][0], float(cost[likely[0]]))]
    driven = [Laying(along_it, runs, drive_cost_s(runs, lift_over_m, rig)) for runs, along_it in layings]
    return sorted(driven, key=lambda laying: laying.cost_s)


def drive_cost_s(runs: Runs, lift_over_m: float, rig: Rig) -> float:
    """Time to drive the passes in their order, turns by the shortest path, straight from column to column."""
    drive = runs.joined_over(lift_over_m)
    if len(drive) == 0:
        return 0.0
    first = np.flatnonzero(np.diff(drive, prepend=-1))
    last = np.append(first[1:], len(drive)) - 1
    strip, start, end = runs.strip[first], runs.start_m[first], runs.end_m[last]
    sown_m = float((runs.end_m - runs.start_m).sum())
    lifted_m = float((end - start).sum()) - sown_m
    leave, enter, moves_m = _joins(strip, start, end, rig)
    turns_m = float(shortest_paths(leave, enter, rig.radius_m).length_m.sum()) if len(leave) else 0.0
    return (
        sown_m / rig.field_speed_m_per_s + (lifted_m + turns_m + moves_m) / rig.turn_speed_m_per_s + len(leave) * rig.turn_extra_s
    )


def _joins(strip: IntArray, start: Array, end: Array, rig: Rig) -> tuple[Array, Array, float]:
    """Poses that turns leave from and enter at, (k, 3) each, and the straight way from column to column in m."""
    column = column_of(strip, start, end)
    y = strip * rig.width_m
    leaves, enters, moves_m = [], [], 0.0
    here = None
    for number in range(int(column.max()) + 1):
        own = np.flatnonzero(column == number)
        order = own[list(drive_order(len(own), rig.radius_m, rig.width_m, plain=rig.plain_order))]
        forward = np.arange(len(order)) % 2 == 0
        comes_in = np.column_stack([np.where(forward, start[order], end[order]), y[order], np.where(forward, 0.0, np.pi)])
        goes_out = np.column_stack([np.where(forward, end[order], start[order]), y[order], np.where(forward, 0.0, np.pi)])
        leaves.append(goes_out[:-1])
        enters.append(comes_in[1:])
        if here is not None:
            ends = own[[0, -1]]
            corners = np.column_stack([np.r_[start[ends], end[ends]], np.r_[y[ends], y[ends]]])
            moves_m += float(np.hypot(*(corners - here).T).min())
        here = goes_out[-1, :2]
    return np.vstack(leaves), np.vstack(enters), moves_m


def pass_costs_s(edges: Array, headings: Array, rig: Rig, lift_over_m: float) -> Array:
    """Time to drive the passes for each heading, (k, 2), strips laid from one side and from the other, (2k,)."""
    tried, laid = _laid(edges, headings, rig)
    return _costs_s(laid, len(tried), lift_over_m, rig)


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
