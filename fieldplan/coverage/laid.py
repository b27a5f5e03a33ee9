"""Blocks laid over ground, and what they are worth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.swept import outlines_of
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.worth import SEED_AS_TIME_FRAC, missed_s
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.strips import ground_under_m2
from fieldplan.model.coverage import Block
from fieldplan.plane.strips import edges_of, turned


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
        if len(self.blocks) == 1 and not self.blocks[0].bent:
            return float(self.ground.area) - _under_runs_m2(self.ground, self.blocks[0])
        outlines = [outline for block in self.blocks for outline in outlines_of(block)]
        return float(shapely.difference(self.ground, shapely.union_all(outlines)).area)

    def driven_s(self, rig: Rig) -> float:
        """About the time to drive their runs, with a turn each, and what their seed is worth."""
        runs = [block.runs for block in self.blocks]
        return driven_s(sum(each.length_m for each in runs), sum(map(len, runs)), rig)

    def weighed_s(self, rig: Rig) -> float:
        """The same, and what the ground that they miss is worth."""
        return self.driven_s(rig) + missed_s(self.missed_m2, rig)


def _under_runs_m2(ground: Polygon | MultiPolygon, block: Block) -> float:
    """The ground under the straight runs of a block."""
    if not len(block.runs):
        return 0.0
    steps = np.diff(block.ends, axis=1)[:, 0]
    length_m = np.hypot(*steps.T)
    along = steps[length_m.argmax()] / length_m.max()  # of the longest, as rounding turns it least
    edges = turned(edges_of(shapely.orient_polygons(ground, exterior_cw=False)), along[None])[0]
    corners = shapely.get_coordinates(block.runs.grounds).reshape(-1, 5, 2)
    x, y = corners[:, :3] @ along, corners[:, :3] @ np.array([-along[1], along[0]])
    # from the start to the end along the lower border, and up to the other one
    return ground_under_m2(numbers(edges), *(numbers(at) for at in (x[:, 0], x[:, 1], y[:, 0], y[:, 2])))


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
