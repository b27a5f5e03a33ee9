"""Which way to drive: likely headings, judged by time with the drill lifted only when all ground is
sown.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from fieldplan.coverage.directions import directions_about, directions_all_round, edge_directions
from fieldplan.coverage.drive_time import Passes, Surroundings
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, IntArray
from fieldplan.plane.strips import Runs, SwathLayouts, edges_of, lay_strips, turned

N_DRIVEN = 3
"""So many of the layings whose passes do not all lie side by side are driven, those that look best."""
LEAVING_FRAC = 0.002
MAX_LEAVING_FRAC = 0.004
MAX_BESIDE_FRAC = 0.02
BESIDE_EDGE_DEG = 0.25
"""Passes run along an edge of the block unless another heading saves this share of the time to drive them and, up to the greater
one, half the share of ground that it sows besides: seed costs too. Nearly along an edge it must save more: passes that run
out on the edge in a thin wedge look like a mistake and sow it twice."""
APART_DEG = 1.0
N_LOOKED_ABOUT = 3
"""About so many of the quickest headings, so far apart, others are tried in small steps."""
MAX_EDGES_ALL_ROUND, SEEN_M = 100, 0.2
"""With more edges than that, headings all round are judged on a copy of the ground thinned to this."""


@dataclass(frozen=True, slots=True)
class SwathLayout:
    """Strips laid over a block: along which unit vector, and the runs of ground they meet."""

    along: Array
    runs: Runs


def best_swath_layout(
    ground: Polygon,
    rig: Rig,
    along: Array | None = None,
    surroundings: Surroundings | None = None,
    *,
    all_round: bool = False,
) -> SwathLayout:
    """The laying of strips that takes the least time.

    Likely headings, each laid from either side, are judged by the drive through all passes in their order.

    Parameters
    ----------
    ground
        The block.
    along
        A wanted heading as a unit vector; if ``None`` edge directions are tried.
    surroundings
        If given, the ways to the first pass and from the last one to the gate count too.
    all_round
        Whether headings all round are tried besides, and then those about the quickest in small steps.
    """
    edges = edges_of(ground)
    along_edges = edge_directions(edges) if along is None else along[None, :]
    others = np.zeros((0, 2))
    if all_round and along is None:
        others = directions_about(quickest_headings(ground, rig, surroundings, N_LOOKED_ABOUT))
    judged = _Judged.of(edges, along_edges, others, rig, surroundings)
    best = judged.best()
    return SwathLayout(judged.along[best], judged.swath_layouts.only(int(judged.swath_layout[best])))


def simple_swath_layout(ground: Polygon, rig: Rig) -> SwathLayout:
    """The laying along an edge whose passes take about the least time, for small ground of few passes."""
    edges = edges_of(ground)
    tried, swath_layouts = _swath_layouts(edges, edge_directions(edges), rig)
    best = _first_min(Passes.of(swath_layouts, rig).about_s(rig))
    return SwathLayout(tried[best], swath_layouts.only(best))


def quickest_headings(ground: Polygon, rig: Rig, surroundings: Surroundings | None, maximum: int) -> Array:
    """The quickest headings of all round as unit vectors, (k, 2), quickest first; those with equally many
    passes are apart.
    """
    edges = edges_of(ground)
    if len(edges) > MAX_EDGES_ALL_ROUND:
        edges = edges_of(shapely.simplify(ground, SEEN_M))
    along_edges = edge_directions(edges)
    all_round = directions_all_round(edges, along_edges, rig)
    return _Judged.of(edges, along_edges, all_round, rig, surroundings).quickest(maximum)


@dataclass(frozen=True, slots=True)
class _Judged:
    """Layings judged by the drive through their passes: headings, numbers in ``swath_layouts``, time, sown length
    and number of passes, (k,).
    """

    swath_layouts: SwathLayouts
    swath_layout: IntArray
    along: Array
    along_edge: BoolArray
    driven_s: Array
    sown_m: Array
    count: IntArray

    @classmethod
    def of(
        cls, edges: Array, along_edges: Array, others: Array, rig: Rig, surroundings: Surroundings | None
    ) -> _Judged:
        """Strips along headings that edges have, and along others, laid from one side and from the
        other.
        """
        tried, swath_layouts = _swath_layouts(edges, np.concatenate([along_edges, others]), rig)
        passes = Passes.of(swath_layouts, rig)
        n_along_edges = 2 * len(along_edges)
        which = _worth_judging(passes, n_along_edges, rig)
        passes = passes.only(which)
        driven_s = passes.driven_s(tried[which], rig, surroundings)
        return cls(
            swath_layouts, which, tried[which], which < n_along_edges, driven_s, passes.sown_m, passes.count
        )

    def best(self) -> int:
        """The quickest laying; one that is not along an edge must be worth it."""
        edge = _first_min(np.where(self.along_edge, self.driven_s, np.inf))
        more_frac = self.sown_m / max(self.sown_m[edge], 1e-9) - 1
        beside = np.abs(self.along @ self.along[self.along_edge].T).max(axis=1) > np.cos(
            np.radians(BESIDE_EDGE_DEG)
        )
        max_frac = np.where(beside, MAX_BESIDE_FRAC, MAX_LEAVING_FRAC)
        wanted_frac = np.where(
            self.along_edge, 0.0, np.clip(LEAVING_FRAC + more_frac / 2, LEAVING_FRAC, max_frac)
        )
        return _first_min(self.driven_s + wanted_frac * self.driven_s[edge])

    def quickest(self, maximum: int) -> Array:
        """The quickest headings, (k, 2), quickest first; those with equally many passes are apart."""
        chosen: list[int] = []
        for i in self.driven_s.argsort(kind="stable").tolist():
            alike = [j for j in chosen if self.count[j] == self.count[i]]
            if (np.abs(self.along[alike] @ self.along[i]) <= np.cos(np.radians(APART_DEG))).all():
                chosen.append(i)
            if len(chosen) == maximum:
                break
        return self.along[chosen]


def _worth_judging(passes: Passes, n_along_edges: int, rig: Rig) -> IntArray:
    """Layings that are driven: all whose passes lie side by side, which is quick, and the likeliest few
    others.

    The likeliest one along an edge is always among them.
    """
    about_s, whole = passes.about_s(rig), passes.side_by_side
    split = (~whole).nonzero()[0]
    likely = split[about_s[split].argsort(kind="stable")[:N_DRIVEN]]
    return np.unique(np.concatenate([whole.nonzero()[0], likely, [about_s[:n_along_edges].argmin()]]))


def _first_min(seconds: Array) -> int:
    """Index of the least; the first of those within about a millisecond, so that rounding does not
    choose.
    """
    return int(seconds.round(3).argmin())


def pass_costs_s(edges: Array, headings: Array, rig: Rig) -> Array:
    """About the time to drive the passes for each heading, (k, 2), strips laid from one side and from the
    other, (2k,).
    """
    _, swath_layouts = _swath_layouts(edges, headings, rig)
    return Passes.of(swath_layouts, rig).about_s(rig)


def _swath_layouts(edges: Array, headings: Array, rig: Rig) -> tuple[Array, SwathLayouts]:
    """Strips along each heading, laid from one side and from the other."""
    tried = headings.repeat(2, axis=0)
    return tried, lay_strips(turned(edges, tried), rig.width_m, np.arange(len(tried)) % 2 == 1)
