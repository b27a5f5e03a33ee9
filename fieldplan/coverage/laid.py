"""Blocks laid over ground, and what they are worth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from shapely import MultiPolygon, Polygon

from fieldplan.coverage.terms import Rig
from fieldplan.coverage.worth import SEED_AS_TIME_FRAC, missed_s
from fieldplan.model.coverage import Block, Swaths
from fieldplan.plane.overlaid import Outlines, Overlaid


@dataclass(frozen=True)
class Laid:
    """Blocks over ground, of which some may be left.

    Parameters
    ----------
    known_m2
        The ground that they miss, if it is known; else it is measured when it is asked for.
    """

    ground: Polygon | MultiPolygon
    blocks: Sequence[Block]
    known_m2: float | None = None

    @classmethod
    def nothing(cls, ground: Polygon | MultiPolygon) -> Laid:
        """No block: what cannot be of use is laid out no further, and never weighed with less than another."""
        return cls(ground, (), math.inf)

    @cached_property
    def missed_m2(self) -> float:
        """The ground that they miss."""
        if self.known_m2 is not None:
            return self.known_m2
        runs = Swaths.of(block.runs for block in self.blocks)
        if not len(runs):
            return float(self.ground.area)
        along = next(block.along for block in self.blocks if len(block.runs))
        outlines = [Outlines.of(self.ground, 0), Outlines.of(runs.grounds, 1)]
        return Overlaid.of(outlines, along, 2).on_m2([0], but_on=[1])

    def driven_s(self, rig: Rig) -> float:
        """About the time to drive their runs, with a turn each, and what their seed is worth."""
        runs = [block.runs for block in self.blocks]
        return driven_s(sum(each.length_m for each in runs), sum(map(len, runs)), rig)

    def weighed_s(self, rig: Rig) -> float:
        """The same, and what the ground that they miss is worth."""
        return self.driven_s(rig) + missed_s(self.missed_m2, rig)


def driven_s(sown_m: float, n_turns: float, rig: Rig) -> float:
    """About the time to sow a length and to turn, and what the seed is worth."""
    turn_s = rig.u_turn_m / rig.turn_speed_m_per_s + rig.turn_extra_s
    return (1 + SEED_AS_TIME_FRAC) * sown_m / rig.field_speed_m_per_s + n_turns * turn_s


def least_driven_s(ground: Polygon, rig: Rig) -> float:
    """The same at least, for all of some ground: sown once, in runs as long as any can be, half the way round it."""
    return driven_s(ground.area / rig.width_m, 2 * ground.area / ground.length / rig.width_m, rig)


def least_s(ground: Polygon, rig: Rig) -> float:
    """What ground is weighed with at least: all sown, or all missed."""
    return min(least_driven_s(ground, rig), missed_s(ground.area, rig))
