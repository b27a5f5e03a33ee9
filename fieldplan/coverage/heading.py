"""Which way to drive: likely headings, judged by time with the drill lifted only when all ground is sown."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from fieldplan.coverage.columns import IntArray
from fieldplan.coverage.directions import directions_of_change, edge_directions
from fieldplan.coverage.drive_time import Passes, Surroundings
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.strips import Layings, Runs, lay_strips, turned

N_DRIVEN = 3
"""So many of the layings whose passes do not all lie side by side are driven, those that look best."""
LEAVING_FRAC = 0.002
MOST_LEAVING_FRAC = 0.02
"""Passes run along an edge of the block unless another heading saves this share of the time to drive them and, up to the greater
one, half the share of ground that it sows besides: seed costs too."""
WELL_APART_DEG = 3.0
BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Laying:
    """Strips laid over a block: along which unit vector, and the runs of ground they meet."""

    along: Array
    runs: Runs


def best_laying(
    edges: Array, rig: Rig, lift_over_m: float, along: Array | None = None, surroundings: Surroundings | None = None
) -> Laying:
    """The laying of strips that takes the least time.

    Likely headings, each laid from either side, are judged by the drive through all passes in their order.

    Parameters
    ----------
    edges
        (n, 4) edges of the block.
    along
        A wanted heading as a unit vector; if ``None`` edge directions are tried.
    surroundings
        If given, the ways to the first pass and from the last one to the gate count too, and headings beside the edge
        directions are tried: one pass more can end near the gate instead of across the field.
    """
    judged = _Judged.of(edges, rig, lift_over_m, along, surroundings)
    best = _quickest(judged.driven_s, judged.sown_m, judged.along_edge)
    return Laying(judged.along[best], judged.laid.only(int(judged.laying[best])))


def least_laying(edges: Array, rig: Rig, lift_over_m: float) -> Laying:
    """The laying along an edge whose passes take about the least time, for small ground of few passes."""
    tried, laid = _laid(edges, edge_directions(edges), rig)
    best = _first_least(Passes.of(laid, lift_over_m, rig.width_m).about_s(rig))
    return Laying(tried[best], laid.only(best))


def likely_headings(edges: Array, rig: Rig, lift_over_m: float, surroundings: Surroundings | None, most: int) -> Array:
    """The quickest headings as unit vectors, (k, 2), quickest first; those with equally many passes are well apart."""
    judged = _Judged.of(edges, rig, lift_over_m, None, surroundings)
    chosen: list[int] = []
    for i in np.argsort(judged.driven_s, kind="stable").tolist():
        alike = [j for j in chosen if judged.count[j] == judged.count[i]]
        if (np.abs(judged.along[alike] @ judged.along[i]) <= np.cos(np.radians(WELL_APART_DEG))).all():
            chosen.append(i)
        if len(chosen) == most:
            break
    return judged.along[chosen]


@dataclass(frozen=True, slots=True)
class _Judged:
    """Layings judged by the drive through their passes: headings, numbers in ``laid``, time, sown length and number of passes, (k,)."""

    laid: Layings
    laying: IntArray
    along: Array
    along_edge: BoolArray
    driven_s: Array
    sown_m: Array
    count: IntArray

    @classmethod
    def of(cls, edges: Array, rig: Rig, lift_over_m: float, along: Array | None, surroundings: Surroundings | None) -> _Judged:
        """Strips along the wanted heading or else along all likely ones, laid from one side and from the other."""
        headings = edge_directions(edges) if along is None else along[None, :]
        n_edges = len(headings)
        if along is None and surroundings is not None:
            headings = np.concatenate([headings, directions_of_change(edges, headings, rig)])
        tried, laid = _laid(edges, headings, rig)
        passes = Passes.of(laid, lift_over_m, rig.width_m)
        which = _worth_driving(passes, 2 * n_edges, rig)
        passes = passes.only(which)
        driven_s = passes.driven_s(tried[which], rig, surroundings)
        return cls(laid, which, tried[which], which < 2 * n_edges, driven_s, passes.sown_m, passes.count)


def _worth_driving(passes: Passes, n_along_edges: int, rig: Rig) -> IntArray:
    """Layings that are driven: all whose passes lie side by side, which is quick, and the likeliest few others.

    The likeliest one along an edge is always among them.
    """
    about_s, whole = passes.about_s(rig), passes.side_by_side
    split = np.flatnonzero(~whole)
    likely = split[np.argsort(about_s[split], kind="stable")[:N_DRIVEN]]
    return np.unique(np.concatenate([np.flatnonzero(whole), likely, [np.argmin(about_s[:n_along_edges])]]))


def _quickest(driven_s: Array, sown_m: Array, along_edge: BoolArray) -> int:
    """The quickest laying; one that is not along an edge must be worth it."""
    edge = _first_least(np.where(along_edge, driven_s, np.inf))
    more_frac = sown_m / max(sown_m[edge], 1e-9) - 1
    wanted_frac = np.where(along_edge, 0.0, np.clip(LEAVING_FRAC + more_frac / 2, LEAVING_FRAC, MOST_LEAVING_FRAC))
    return _first_least(driven_s + wanted_frac * driven_s[edge])


def _first_least(seconds: Array) -> int:
    """Index of the least; the first of those within about a millisecond, so that rounding does not choose."""
    return int(np.argmin(seconds.round(3)))


def pass_costs_s(edges: Array, headings: Array, rig: Rig, lift_over_m: float) -> Array:
    """About the time to drive the passes for each heading, (k, 2), strips laid from one side and from the other, (2k,)."""
    _, laid = _laid(edges, headings, rig)
    return Passes.of(laid, lift_over_m, rig.width_m).about_s(rig)


def _laid(edges: Array, headings: Array, rig: Rig) -> tuple[Array, Layings]:
    """Strips along each heading, laid from one side and from the other."""
    tried = np.repeat(headings, 2, axis=0)
    return tried, lay_strips(turned(edges, tried), rig.width_m, np.arange(len(tried)) % 2 == 1)
