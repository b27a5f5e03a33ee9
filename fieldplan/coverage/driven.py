"""A field driven one way: what is sown, what that covers, and the route."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from shapely import Point, Polygon

from fieldplan.coverage.begin import begun_best, begun_elsewhere
from fieldplan.coverage.gate import seed_s
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.passes import left_over_blocks
from fieldplan.coverage.pieces import Way, blocks_over
from fieldplan.coverage.route import Route, in_searched_order, route
from fieldplan.coverage.site import Site
from fieldplan.coverage.swept import Swept
from fieldplan.coverage.worth import SEED_AS_TIME_FRAC, missed_s
from fieldplan.model.coverage import Array, Block, Leg, Sowing


@dataclass(frozen=True)
class Driven:
    """A route over a field, and the ground that each sowing covers."""

    site: Site
    sowings: tuple[Sowing, ...]
    covered: tuple[Swept, ...]
    route: Route | None

    @property
    def legs(self) -> tuple[Leg, ...]:
        """The legs of the route; none if nothing is sown."""
        return self.route.legs if self.route else ()

    @property
    def gate(self) -> Point:
        """The gate, given or assumed."""
        return self.route.gate if self.route else Point()

    @property
    def begun_near(self) -> Array | None:
        """As `Route` has it."""
        return self.route.begun_near if self.route else None

    @cached_property
    def missed_m2(self) -> float:
        """The ground that each sowing misses, summed."""
        return sum(each.missed_m2 for each in self.covered)

    @property
    def n_turns(self) -> int:
        """Turns of the route."""
        return self.route.lifted.n_turns if self.route else 0

    @cached_property
    def sown_m(self) -> float:
        """Length of all sown lines."""
        return sum(self.route.tracks.length_m.tolist()) if self.route else 0.0

    @cached_property
    def seed_m(self) -> float:
        """The same with what is sown off its rate where passes follow a curve, as if it were sown twice.

        On a curve of radius R seed is sown off its rate by w/4R on average across the drill: w/4 for each radian.
        """
        bent_rad = sum(block.bent_rad for sowing in self.sowings for block in sowing.blocks)
        return self.sown_m + self.site.rig.width_m / 4 * bent_rad

    @cached_property
    def total_s(self) -> float:
        """Time of the route, and about that of stops and trips to the seed."""
        if self.route is None:
            return 0.0
        drive_s = self.drive_s
        if self.sown_m * self.site.rig.width_m <= self.site.fill_m2:
            return drive_s
        trips_s = seed_s(self.site, self.route.sown, np.array([[self.gate.x, self.gate.y]]))
        return drive_s + float(trips_s[0])

    @property
    def drive_s(self) -> float:
        """Time of the route alone."""
        return self.route.drive_s if self.route else 0.0

    @property
    def sowing_frac(self) -> float:
        """The share of the time that is spent sowing at field speed."""
        return self.sown_m / self.site.rig.field_speed_m_per_s / self.total_s if self.total_s else 0.0

    @property
    def curved(self) -> bool:
        """Whether passes bend."""
        return any(block.bent for sowing in self.sowings for block in sowing.blocks)

    def better_than(self, other: Driven, by_s: float = 0.0) -> bool:
        """Whether this is better than another by more than a time, weighed by time, by seed and by what is missed."""
        if self.route is None or other.route is None:
            return self.route is not None
        seed_frac = SEED_AS_TIME_FRAC * (self.seed_m / other.seed_m - 1)
        longer_s = self.total_s - other.total_s * (1 - seed_frac)
        return longer_s + missed_s(self.missed_m2 - other.missed_m2, self.site.rig) < -by_s

    def saves_frac(self, other: Driven) -> float:
        """The share of the time of another route over the same ground that this one saves."""
        return 1 - self.total_s / other.total_s if other.route else 0.0

    def begun_elsewhere(self, layout: Layout) -> Driven | None:
        """The same in plain order, begun elsewhere; ``None`` where no other start seems quicker."""
        found = begun_elsewhere(layout, self.sowings, self.route) if self.route else None
        return None if found is None else replace(self, route=found)

    def begun_best(self, layout: Layout) -> Driven:
        """The same from another corner where that is quicker with trips to the seed."""
        if self.route is None:
            return self
        found = begun_best(layout, self.sowings, self.route)
        return self if found is self.route else replace(self, route=found).in_quicker_order(layout)

    def in_quicker_order(self, layout: Layout) -> Driven:
        """The same with its passes in the order found by the turns that fit, where that is quicker."""
        rig = layout.site.rig
        if self.route is None or rig.plain_order:
            return self
        searched = replace(self, route=in_searched_order(layout, self.sowings, rig, self.route))
        return min(self, searched, key=lambda one: one.total_s)

    def with_less(self, layout: Layout, sowings: tuple[Sowing, ...], covered: tuple[Swept, ...]) -> Driven:
        """What is left when blocks are left out, in the order found for it from the same gate."""
        less = replace(self, sowings=sowings, covered=covered)
        if self.route is None or self.site.rig.plain_order:
            return less.anew(layout)
        return replace(less, route=in_searched_order(layout, sowings, self.site.rig, self.route))

    def anew(self, layout: Layout) -> Driven:
        """The same ground by a route of its own, from the gate that is best for it."""
        found = replace(self, route=route(layout, self.sowings, layout.site.rig))
        return found.in_quicker_order(layout)


def driven_with(layout: Layout, pieces: Sequence[Polygon], way: Way) -> Driven:
    """The field driven with these pieces of its inner ground, over which passes run in a certain way.

    Each further sowing is at right angles to the one before.
    """
    site = layout.site
    each = [_sown(layout, blocks_over(layout, pieces, way, layout.surroundings).blocks)]
    for _ in range(1, site.working.sowings):
        before = way.along if way.along is not None else main_heading(site, each[0][0])
        way = Way(along=None if before is None else _across(before))
        each.append(_sown(layout, blocks_over(layout, pieces, way, None).blocks))
    return _routed(layout, each)


def driven_over(layout: Layout, blocks: Sequence[Block]) -> Driven:
    """The field driven once, with these blocks inside its headland."""
    return _routed(layout, [_sown(layout, blocks)])


def _routed(layout: Layout, each: Sequence[tuple[Sowing, Swept]]) -> Driven:
    """The route through all sowings."""
    sowings, covered = zip(*each, strict=True)
    if not any(len(sowing.swaths()) for sowing in sowings):
        return Driven(layout.site, sowings, covered, None)
    return Driven(layout.site, sowings, covered, route(layout, sowings, layout.site.rig))


def _sown(layout: Layout, blocks: Sequence[Block]) -> tuple[Sowing, Swept]:
    """One sowing with blocks for what they and the headland leave over, and the ground that its swaths cover."""
    site = layout.site
    covered = Swept(layout.headland, tuple(blocks))
    more = left_over_blocks(len(blocks) + 1, layout.thinned, covered, layout.given_up, site, layout.room)
    if more:
        covered = Swept(layout.headland, (*blocks, *more))
    return Sowing(headland=layout.rounds, blocks=covered.blocks), covered


def main_heading(site: Site, sowing: Sowing) -> Array | None:
    """The heading of the block with the longest passes in all, as a unit vector; ``None`` without blocks."""
    block = max(sowing.blocks, key=lambda block: block.runs.length_m, default=None)
    return None if block is None else site.along(block.heading_deg)


def _across(along: Array) -> Array:
    """The unit vector at right angles to another."""
    return np.array([along[1], -along[0]])
