"""The choice of heading: likely headings, compared by the time to drive all passes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.directions import (
    directions_about,
    directions_all_round,
    edge_directions,
    expected_outside_m,
)
from fieldplan.coverage.drive_time import Passes, Surroundings
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, IntArray
from fieldplan.plane.strips import Runs, SwathLayouts, edges_of, lay_strips

N_DRIVEN = 3
"""Swath layouts driven through of those whose passes are not all side by side: the most promising ones."""
LEAVING_FRAC = 0.002
MAX_LEAVING_FRAC = 0.004
MIN_BESIDE_FRAC, MAX_BESIDE_FRAC = 0.01, 0.02
BESIDE_EDGE_DEG = 0.8
"""Passes run along an edge of the block unless another heading saves enough time.

It must save `LEAVING_FRAC` of the time, plus half the share by which it sows more ground, as seed costs
too; `MAX_LEAVING_FRAC` is enough in any case. Within `BESIDE_EDGE_DEG` of an edge the limits are those named so
instead: passes that meet the edge in a thin wedge look like a mistake and overlap there.
"""
APART_DEG = 1.0
N_LOOKED_ABOUT = 3
"""Quickest headings, at least `APART_DEG` apart, near which others are tried in small steps."""
MAX_EDGES_ALL_ROUND, SEEN_M = 100, 0.2
"""With more edges than this, headings all round are compared on a copy of the ground thinned to `SEEN_M`."""


@dataclass(frozen=True, slots=True)
class SwathLayout:
    """Strips over a block: their heading as a unit vector, (2,), and the runs of ground along them."""

    along: Array
    runs: Runs


def best_swath_layout(
    ground: Polygon,
    rig: Rig,
    along: Array | None = None,
    surroundings: Surroundings | None = None,
    *,
    all_round: bool = False,
    crossed: MultiPolygon | None = None,
) -> SwathLayout:
    """The swath layout of a block whose passes take the least time.

    Each heading is tried with strips from either side, and compared by driving all passes in their order.
    Ground that must not be sown counts for the time that sowing it takes.

    Parameters
    ----------
    ground
        The block in plane meters.
    along
        The heading asked for as a unit vector, (2,); if ``None``, edge directions are tried.
    surroundings
        If given, the path to the first pass and the path from the last one to the gate count too.
    all_round
        Whether to try also headings near the quickest of all round, in small steps.
    crossed
        What of the block is driven through and must not be sown.
    """
    edges = edges_of(ground)
    along_edges = edge_directions(edges) if along is None else along[None, :]
    others = np.zeros((0, 2))
    if all_round and along is None:
        others = directions_about(_quickest(ground, edges, along_edges, rig, surroundings, N_LOOKED_ABOUT))
    judged = _Judged.of(edges, along_edges, others, rig, surroundings)
    if crossed is not None:
        spoilt_s = expected_outside_m(edges_of(crossed), judged.along) / rig.field_speed_m_per_s
        judged = replace(judged, driven_s=judged.driven_s + spoilt_s)
    best = judged.best()
    return SwathLayout(judged.along[best], judged.swath_layouts.only(int(judged.index[best])))


def simple_swath_layouts(ground: Polygon, rig: Rig) -> tuple[SwathLayout, SwathLayout]:
    """The swath layout along an edge with the least estimated time, for small ground with few passes, and the
    one with strips from the other side.
    """
    edges = edges_of(ground)
    tried, swath_layouts = _swath_layouts(edges, edge_directions(edges), rig)
    best = _first_min(Passes.of(swath_layouts, rig).about_s)
    one, other = (SwathLayout(tried[i], swath_layouts.only(i)) for i in (best, best ^ 1))
    return one, other


def quickest_headings(ground: Polygon, rig: Rig, surroundings: Surroundings | None, maximum: int) -> Array:
    """The quickest of headings all round, quickest first.

    Those with the same number of passes are at least `APART_DEG` apart.

    Parameters
    ----------
    ground
        The block in plane meters.
    maximum
        Largest number of headings.

    Returns
    -------
    Array
        (k, 2) unit vectors.
    """
    edges = edges_of(ground)
    return _quickest(ground, edges, edge_directions(edges), rig, surroundings, maximum)


def _quickest(
    ground: Polygon,
    edges: Array,
    along_edges: Array,
    rig: Rig,
    surroundings: Surroundings | None,
    maximum: int,
) -> Array:
    """The same, with the edges of the ground and the headings along them, (n, 4) and (m, 2)."""
    if len(edges) > MAX_EDGES_ALL_ROUND:
        edges = edges_of(shapely.simplify(ground, SEEN_M))
        along_edges = edge_directions(edges)
    all_round = directions_all_round(edges, along_edges, rig)
    return _Judged.of(edges, along_edges, all_round, rig, surroundings).quickest(maximum)


@dataclass(frozen=True, slots=True)
class _Judged:
    """Swath layouts compared by driving through their passes.

    ``index`` (k,) are their indices in ``swath_layouts``. The others are the headings, (k, 2), whether they
    run along an edge, the time to drive, the sown length, and the number of passes, (k,) each.
    """

    swath_layouts: SwathLayouts
    index: IntArray
    along: Array
    along_edge: BoolArray
    driven_s: Array
    sown_m: Array
    count: IntArray

    @classmethod
    def of(
        cls, edges: Array, along_edges: Array, others: Array, rig: Rig, surroundings: Surroundings | None
    ) -> _Judged:
        """Strips along headings of edges and along other headings, from either side."""
        tried, swath_layouts = _swath_layouts(edges, np.concatenate([along_edges, others]), rig)
        passes = Passes.of(swath_layouts, rig)
        n_along_edges = 2 * len(along_edges)
        index = _worth_judging(passes.about_s, passes.side_by_side, n_along_edges)
        return cls(
            swath_layouts=swath_layouts,
            index=index,
            along=tried[index],
            along_edge=index < n_along_edges,
            driven_s=passes.driven_s(index, tried[index], surroundings),
            sown_m=passes.sown_m[index],
            count=passes.count[index],
        )

    def best(self) -> int:
        """Position of the quickest swath layout; one that is not along an edge must save enough time."""
        edge = _first_min(np.where(self.along_edge, self.driven_s, np.inf))
        more_frac = self.sown_m / max(self.sown_m[edge], 1e-9) - 1
        cos_to_edge = np.abs(self.along @ self.along[self.along_edge].T).max(axis=1)
        beside = cos_to_edge > np.cos(np.radians(BESIDE_EDGE_DEG))
        max_frac = np.where(beside, MAX_BESIDE_FRAC, MAX_LEAVING_FRAC)
        min_frac = np.where(beside, MIN_BESIDE_FRAC, LEAVING_FRAC)
        leaving_frac = np.clip(LEAVING_FRAC + more_frac / 2, min_frac, max_frac)
        wanted_frac = np.where(self.along_edge, 0.0, leaving_frac)
        return _first_min(self.driven_s + wanted_frac * self.driven_s[edge])

    def quickest(self, maximum: int) -> Array:
        """The quickest headings, (k, 2), quickest first; those with the same number of passes are apart."""
        chosen: list[int] = []
        for i in self.driven_s.argsort(kind="stable").tolist():
            alike = [j for j in chosen if self.count[j] == self.count[i]]
            if (np.abs(self.along[alike] @ self.along[i]) <= np.cos(np.radians(APART_DEG))).all():
                chosen.append(i)
            if len(chosen) == maximum:
                break
        return self.along[chosen]


def _worth_judging(about_s: Array, whole: BoolArray, n_along_edges: int) -> IntArray:
    """Indices of the swath layouts to drive through, (k,).

    These are all whose passes lie side by side, as those are quick to drive, the best estimated few of the
    others, and always the best estimated one along an edge.

    ``about_s`` (n,) is the estimate for each, and ``whole`` (n,) whether its passes lie side by side.
    """
    split = (~whole).nonzero()[0]
    judged = whole.copy()
    judged[split[about_s[split].argsort(kind="stable")[:N_DRIVEN]]] = True
    judged[about_s[:n_along_edges].argmin()] = True
    return np.asarray(judged.nonzero()[0])


def _first_min(seconds: Array) -> int:
    """Index of the minimum, and of equals to the millisecond the first, so that rounding does not choose."""
    return int(seconds.round(3).argmin())


def pass_costs_s(edges: Array, headings: Array, rig: Rig) -> Array:
    """Estimated time to drive the passes at each heading.

    Parameters
    ----------
    edges
        (n, 4) x1, y1, x2, y2 of the edges of the ground.
    headings
        (k, 2) unit vectors.

    Returns
    -------
    Array
        (2k,) seconds: for each heading with strips from one side, then from the other.
    """
    _, swath_layouts = _swath_layouts(edges, headings, rig)
    return Passes.of(swath_layouts, rig).about_s


def _swath_layouts(edges: Array, headings: Array, rig: Rig) -> tuple[Array, SwathLayouts]:
    """Headings, (2k, 2), and strips along them: for each heading from one side, then from the other."""
    tried = headings.repeat(2, axis=0)
    return tried, lay_strips(edges, tried, rig.width_m, np.arange(len(tried)) % 2 == 1)
