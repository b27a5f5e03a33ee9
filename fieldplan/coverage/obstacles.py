"""Which holes of the ground get how many headland rounds of their own.

A hole that the rounds along the edge, or about another hole, come near to gets as many as the edge, so that all
of them go round the same ground. Any other gets the number with which about the least time is driven; a small one may get none, and passes go by it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.go_by import (
    MAX_LEFT_FRAC,
    NONE,
    GoneBy,
    costs_s,
    least_left_m2,
    zones_of,
)
from fieldplan.coverage.room import clearance_m
from fieldplan.coverage.rounds import about_holes_s, rounds_about_s
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
    gone_by
        Those holes without a round that passes go by.
    about_s
        About the time of turns and corners with 0, 1, 2, … rounds along the edge; empty where the number is given.
    """

    ground: MultiPolygon
    n_outer: int
    n_around: IntArray
    gone_by: GoneBy
    about_s: Array = field(default_factory=lambda: np.zeros(0))

    @classmethod
    def alike(cls, ground: MultiPolygon, n_rounds: int) -> Depths:
        """As many rounds around each hole as along the edge."""
        n_holes = int(shapely.get_num_interior_rings(shapely.get_parts(ground)).sum())
        return cls(ground=ground, n_outer=n_rounds, n_around=np.full(n_holes, n_rounds), gone_by=NONE)

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
        own &= self.n_around > 0
        taken = offset(holes_of(self.ground)[own], self.n_around[own] * width_m)
        return polygons_of(shapely.difference(inside, shapely.union_all(taken)))


def depths_for(
    ground: MultiPolygon, rig: Rig, along: Array | None = None, n_outer: int | None = None
) -> Depths:
    """The numbers of rounds with which about the least time is driven.

    Parameters
    ----------
    ground
        The field, plane meters.
    along
        The heading of the passes as a unit vector; if ``None`` the longest edges are tried.
    n_outer
        The number along the edge, if it is given.
    """
    if n_outer is not None:
        return _depths(ground, n_outer, rig, along)
    near = np.zeros(len(holes_of(ground)), dtype=bool)
    about_s = rounds_about_s(with_holes(ground, near), rig, along)
    depths = _depths(ground, _quickest(about_s), rig, along)
    near = depths.n_around == depths.n_outer
    if near.any():
        about_s = rounds_about_s(with_holes(ground, near), rig, along)
        depths = _depths(ground, _quickest(about_s), rig, along)
    return replace(depths, about_s=about_s)


def _quickest(about_s: Array) -> int:
    """The best number of rounds: one at least, as oblique ends of passes would be sown outside."""
    return max(1, int(about_s.argmin()))


def _depths(ground: MultiPolygon, n_outer: int, rig: Rig, along: Array | None) -> Depths:
    """So many rounds along the edge, and those that are best about each hole."""
    holes = holes_of(ground)
    if len(holes) == 0:
        return Depths.alike(ground, n_outer)
    about_s = about_holes_s(holes, n_outer, rig, along)
    most_m2 = MAX_LEFT_FRAC * ground.area
    zones = zones_of(holes, rig)
    by = _gone_by(holes, zones, about_s.min(axis=1), most_m2, rig)
    n_around = _apart(ground, np.where(by, 0, 1 + about_s.argmin(axis=1)), n_outer, rig)
    by = n_around == 0
    gone_by = GoneBy(obstacles=holes[by], zones=zones[by], left_m2=most_m2 / max(1, by.sum()))
    return Depths(ground=ground, n_outer=n_outer, n_around=n_around, gone_by=gone_by)


def _gone_by(holes: Lines, zones: Lines, rounds_s: Array, most_m2: float, rig: Rig) -> BoolArray:
    """Which holes passes go by, (n,): small ones at which that saves time, as long as little ground is left."""
    size_m = 2 * shapely.minimum_bounding_radius(holes)
    small = np.flatnonzero(size_m <= min(rig.lift_over_m, 2 * rig.radius_m))
    quicker = small[costs_s(zones[small], rig) < rounds_s[small]]
    left_m2 = least_left_m2(holes[quicker], zones[quicker], rig)
    order = left_m2.argsort(kind="stable")
    by = np.zeros(len(holes), dtype=bool)
    by[quicker[order[left_m2[order].cumsum() <= most_m2]]] = True
    return by


def _apart(ground: MultiPolygon, n_around: IntArray, n_outer: int, rig: Rig) -> IntArray:
    """The rounds around each hole, (n,): as many as along the edge where they would meet those of the edge or of
    another hole.
    """
    rings, part = shapely.get_rings(shapely.get_parts(ground), return_index=True)
    hole = ~begins(part)
    n_rounds = np.full(len(rings), n_outer)
    n_rounds[hole] = n_around
    most_m = 2 * n_outer * rig.width_m + 2 * clearance_m(rig)
    one, other = shapely.STRtree(rings).query(rings, predicate="dwithin", distance=most_m)
    apart_m = shapely.distance(rings[one], rings[other])
    while True:
        sown_m = (n_rounds[one] + n_rounds[other]) * rig.width_m
        # the drill keeps clear of an obstacle without rounds while it sows those of another, or goes by that
        clear_m = 2 * clearance_m(rig) * ((n_rounds[one] == 0) | (n_rounds[other] == 0))
        clear_m += 2 * clearance_m(rig) * ((n_rounds[one] == 0) & (n_rounds[other] == 0))
        # rounds along the edge go by obstacles, too; two arcs fit beside them, and backing into line
        along_edge = ~hole[other] & (n_rounds[one] == 0) & (rig.reverse != "never")
        near = ~along_edge & (one != other) & (apart_m < sown_m + clear_m) & (n_rounds[one] < n_outer)
        if not near.any():
            return n_rounds[hole]
        n_rounds[one[near]] = n_outer


def holes_of(ground: MultiPolygon) -> Lines:
    """The holes of the ground as polygons, (n,)."""
    parts = shapely.get_parts(ground)
    if not shapely.get_num_interior_rings(parts).any():
        return np.zeros(0, dtype=object)
    rings, part = shapely.get_rings(parts, return_index=True)
    return np.asarray(shapely.polygons(rings[~begins(part)]), dtype=object)


def with_holes(ground: MultiPolygon, kept: BoolArray) -> MultiPolygon:
    """The ground with some of its holes, (n,), and the others filled in."""
    if kept.all():
        return ground
    rings, part = shapely.get_rings(shapely.get_parts(ground), return_index=True)
    outer = begins(part)
    holes, part_of = rings[~outer][kept], part[~outer][kept]
    return MultiPolygon([Polygon(ring, holes[part_of == i]) for i, ring in enumerate(rings[outer])])
