"""Which holes of the ground get how many headland rounds of their own.

A hole that the rounds along the edge, or about another hole, come near to gets as many as the edge, so that all
of them go round the same ground. Any other gets the number with which about the least time is driven.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.rounds import about_holes_s, rounds_for
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, IntArray, Lines
from fieldplan.plane.offsets import inset, offset, polygons_of
from fieldplan.plane.ragged import begins


@dataclass(frozen=True, slots=True, kw_only=True)
class Depths:
    """How many headland rounds run along the outer edge, and around each hole.

    Parameters
    ----------
    ground
        The ground, with its holes.
    n_outer
        Rounds along the outer edge.
    n_around
        (n,) rounds around each hole, in the order of the rings of the ground; no more than along the edge.
    """

    ground: MultiPolygon
    n_outer: int
    n_around: IntArray

    @classmethod
    def alike(cls, ground: MultiPolygon, n_rounds: int) -> Depths:
        """As many rounds around each hole as along the edge."""
        n_holes = int(shapely.get_num_interior_rings(shapely.get_parts(ground)).sum())
        return cls(ground=ground, n_outer=n_rounds, n_around=np.full(n_holes, n_rounds))

    def grounds(self) -> tuple[MultiPolygon, ...]:
        """The ground that each round goes round: with those holes that have so many rounds."""
        return tuple(
            with_holes(self.ground, self.n_around >= number) for number in range(1, self.n_outer + 1)
        )

    def inner(self, width_m: float) -> MultiPolygon:
        """The ground inside all rounds."""
        own = self.n_around < self.n_outer
        inside = inset(with_holes(self.ground, ~own), self.n_outer * width_m)
        if not own.any():
            return inside
        taken = offset(holes_of(self.ground)[own], self.n_around[own] * width_m)
        return polygons_of(shapely.difference(inside, shapely.union_all(taken)))


def depths_for(ground: MultiPolygon, rig: Rig, along: Array | None = None) -> Depths:
    """The numbers of rounds with which about the least time is driven.

    Parameters
    ----------
    ground
        The field, plane meters.
    along
        The heading of the passes as a unit vector; if ``None`` the longest edges are tried.
    """
    holes = holes_of(ground)
    # without a round, oblique ends of passes would be sown outside
    n_outer = max(1, rounds_for(with_holes(ground, np.zeros(len(holes), dtype=bool)), rig, along))
    depths = Depths.alike(ground, n_outer)
    if len(holes) == 0:
        return depths
    own = 1 + about_holes_s(holes, n_outer, rig, along).argmin(axis=1)
    apart = _to_others_m(ground) >= (own + n_outer) * rig.width_m
    return Depths(ground=ground, n_outer=n_outer, n_around=np.where(apart, own, n_outer))


def holes_of(ground: MultiPolygon) -> Lines:
    """The holes of the ground as polygons, (n,)."""
    rings, part = shapely.get_rings(shapely.get_parts(ground), return_index=True)
    return np.asarray(shapely.polygons(rings[~begins(part)]), dtype=object)


def with_holes(ground: MultiPolygon, kept: BoolArray) -> MultiPolygon:
    """The ground with some of its holes, (n,), and the others filled in."""
    if kept.all():
        return ground
    rings, part = shapely.get_rings(shapely.get_parts(ground), return_index=True)
    outer = begins(part)
    holes, part_of = rings[~outer][kept], part[~outer][kept]
    return MultiPolygon([Polygon(ring, holes[part_of == i]) for i, ring in enumerate(rings[outer])])


def _to_others_m(ground: MultiPolygon) -> Array:
    """The distance from each hole to the nearest other ring of the ground, (n,)."""
    rings, part = shapely.get_rings(shapely.get_parts(ground), return_index=True)
    holes = (~begins(part)).nonzero()[0]
    tree = shapely.STRtree(rings)
    (_, _), to_m = tree.query_nearest(rings[holes], exclusive=True, return_distance=True, all_matches=False)
    return np.asarray(to_m)
