"""The ground that swaths cover together, and the ground that they miss."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.columns import column_of
from fieldplan.model.coverage import Block, HeadlandRound, Lines, Swaths
from fieldplan.plane.overlaid import Outlines, Overlaid

GRID_M = 1e-5
"""Overlays are rounded to this grid if an exact one lost a swath.

That happens because long edges of side-by-side swaths differ by rounding.
"""
_LOST_M2 = 0.5
"""Missed ground that is off its area by more has lost a swath."""
_FIELD, _OUTSIDE, _OBSTACLES, _PASSES, _GIVEN_UP = range(5)
_ROUNDS, _SOWN, _N_KINDS = (_OUTSIDE, _OBSTACLES), (_OUTSIDE, _OBSTACLES, _PASSES), 5


@dataclass(frozen=True)
class HeadlandGround:
    """A field with the ground of its headland rounds, which all passes over it have in common.

    Parameters
    ----------
    ground
        Plantable ground in plane meters.
    outlines
        Its edges, those of the rounds, and those of ground that nobody comes back for.
    """

    ground: MultiPolygon
    rounds: tuple[HeadlandRound, ...]
    outlines: Outlines

    @classmethod
    def of(cls, ground: MultiPolygon, rounds: Sequence[HeadlandRound], given_up: Lines) -> HeadlandGround:
        """The ground of a field and of rounds; and grounds, (n,), that nobody comes back for."""
        along_outside = Swaths.of(ring.segments for ring in rounds if not ring.obstacle)
        around_obstacles = Swaths.of(ring.segments for ring in rounds if ring.obstacle)
        grounds = np.array([ground]), along_outside.grounds, around_obstacles.grounds, given_up
        kinds = np.array([_FIELD, _OUTSIDE, _OBSTACLES, _GIVEN_UP]).repeat([len(each) for each in grounds])
        return cls(ground, tuple(rounds), Outlines.of(np.concatenate(grounds), kinds))

    @cached_property
    def together(self) -> BaseGeometry:
        """The ground that the rounds cover."""
        return self.together_on(None)

    def together_on(self, grid_m: float | None) -> BaseGeometry:
        """The same by an overlay that is rounded to a grid if one is given."""
        outside = [ground for ring in self.rounds if not ring.obstacle for ground in ring.segments.grounds]
        obstacles = [ground for ring in self.rounds if ring.obstacle for ground in ring.segments.grounds]
        outer: BaseGeometry = shapely.union_all(outside, grid_size=grid_m)
        return shapely.union_all([outer, *obstacles], grid_size=grid_m) if obstacles else outer


@dataclass(frozen=True)
class Swept:
    """What one sowing, a headland and blocks, covers and misses."""

    headland: HeadlandGround
    blocks: tuple[Block, ...]

    @cached_property
    def _overlaid(self) -> Overlaid:
        """How much ground is covered by what."""
        passes = Swaths.of(block.runs for block in self.blocks).grounds
        along = next((block.along for block in self.blocks if len(block.runs)), np.array([1.0, 0.0]))
        return Overlaid.of([self.headland.outlines, Outlines.of(passes, _PASSES)], along, _N_KINDS)

    @property
    def outer_m2(self) -> float:
        """What headland rounds along the outside cover."""
        return self._overlaid.on_m2([_OUTSIDE])

    @property
    def headland_m2(self) -> float:
        """What all headland rounds cover."""
        return self._overlaid.on_m2(_ROUNDS)

    @property
    def together_m2(self) -> float:
        """What all swaths cover."""
        return self._overlaid.on_m2(_SOWN)

    @cached_property
    def missed_m2(self) -> float:
        """What of the field they miss."""
        return self._overlaid.on_m2([_FIELD], but_on=_SOWN)

    @property
    def left_m2(self) -> float:
        """The same without what nobody comes back for."""
        return self._overlaid.on_m2([_FIELD], but_on=(*_SOWN, _GIVEN_UP))

    @cached_property
    def missed(self) -> BaseGeometry:
        """The ground that they miss."""
        exact = self._cut(None)
        return self._cut(GRID_M) if abs(exact.area - self.missed_m2) > _LOST_M2 else exact

    def _cut(self, grid_m: float | None) -> BaseGeometry:
        """The same by overlay, rounded to a grid if one is given.

        The passes of a column lie edge to edge, so each column is traced as one outline instead of being
        overlaid pass by pass.
        """
        columns = [outline for block in self.blocks for outline in outlines_of(block)]
        passes = columns[0] if len(columns) == 1 else shapely.union_all(columns, grid_size=grid_m)
        rounds = self.headland.together if grid_m is None else self.headland.together_on(grid_m)
        together = shapely.union(rounds, passes, grid_size=grid_m)
        missed: BaseGeometry = shapely.difference(self.headland.ground, together, grid_size=grid_m)
        return missed


def outlines_of(block: Block) -> list[Polygon]:
    """The outline of each column of a block's runs: up along their ends, down along their starts."""
    if len(block.runs) == 0:
        return []
    if block.bent:
        return list(block.runs.grounds)
    corners = shapely.get_coordinates(block.runs.grounds).reshape(-1, 5, 2)
    along = block.along
    start, end = corners[:, 0] @ along, corners[:, 1] @ along
    column = column_of(block.strip, start, end)
    up, down = corners[:, 1:3], corners[:, [3, 0]]
    runs_of = [(column == number).nonzero()[0] for number in range(int(column.max()) + 1)]
    points = np.concatenate(
        [side.reshape(-1, 2) for runs in runs_of for side in (up[runs], down[runs[::-1]])]
    )
    ring = np.arange(len(runs_of)).repeat([4 * len(runs) for runs in runs_of])
    return list(np.asarray(shapely.polygons(shapely.linearrings(points, indices=ring)), dtype=object))
