"""The ground that swaths cover together, and the ground that they leave."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.columns import column_of
from fieldplan.model.coverage import Block, HeadlandRound, Lines, Sowing, Swaths

GRID_M = 1e-5
"""Overlays are rounded to this grid where one without it lost a swath: long edges of side-by-side swaths differ by rounding."""
_LOST_M2 = 0.5
_LOST_M = 0.05
"""Swaths whose centre lines run through so much of the ground that they are said to leave have been lost."""


@dataclass(frozen=True, slots=True)
class HeadlandGround:
    """The ground that the sides of the headland cover: those round the outside alone, and all of them
    together.
    """

    outer: BaseGeometry
    together: BaseGeometry

    @classmethod
    def of(cls, rounds: Sequence[HeadlandRound], grid_m: float | None = None) -> HeadlandGround:
        """The ground that loops cover; overlays are rounded to a grid if one is given."""
        outer = shapely.union_all(
            _grounds(headland_round for headland_round in rounds if not headland_round.obstacle),
            grid_size=grid_m,
        )
        inner = _grounds(headland_round for headland_round in rounds if headland_round.obstacle)
        return cls(outer, shapely.union_all([outer, *inner], grid_size=grid_m) if len(inner) else outer)


@dataclass(frozen=True, slots=True)
class Swept:
    """What one sowing covers: its headland, all its swaths together; and the ground that none of them
    reaches.
    """

    headland: HeadlandGround
    together: BaseGeometry
    missed: BaseGeometry


def swept(
    ground: MultiPolygon, rounds: Sequence[HeadlandRound], headland: HeadlandGround, blocks: Sequence[Block]
) -> Swept:
    """The ground that loops, which cover ``headland``, and the passes of blocks cover.

    The passes of a column lie edge to edge: they are traced as one outline instead of being overlaid.
    """
    columns = [outline for block in blocks for outline in _columns(block)]
    found = _overlaid(ground, headland, columns, None)
    if found.missed.area > _LOST_M2:
        lines = Sowing(headland=tuple(rounds), blocks=tuple(blocks)).swaths().lines
        if _through_m(lines, found.missed) > _LOST_M:
            return _overlaid(ground, HeadlandGround.of(rounds, GRID_M), columns, GRID_M)
    return found


def _through_m(lines: Lines, missed: BaseGeometry) -> float:
    """How far centre lines run through ground that is said to be missed."""
    shapely.prepare(missed)
    meet = lines[shapely.intersects(missed, lines)]
    return float(shapely.length(shapely.intersection(meet, missed)).sum())


def _grounds(rounds: Iterable[HeadlandRound]) -> Lines:
    return Swaths.of(headland_round.segments for headland_round in rounds).grounds


def _overlaid(
    ground: MultiPolygon, headland: HeadlandGround, columns: Sequence[Polygon], grid_m: float | None
) -> Swept:
    passes = columns[0] if len(columns) == 1 else shapely.union_all(columns, grid_size=grid_m)
    together = shapely.union(headland.together, passes, grid_size=grid_m)
    return Swept(headland, together, shapely.difference(ground, together, grid_size=grid_m))


def _columns(block: Block) -> list[Polygon]:
    """The outline of each column of a block's runs: up along their ends, down along their starts."""
    if len(block.runs) == 0:
        return []
    corners = shapely.get_coordinates(block.runs.grounds).reshape(-1, 5, 2)
    along = block.along
    start, end = corners[:, 0] @ along, corners[:, 1] @ along
    column = column_of(block.strip, start, end)
    up, down = corners[:, 1:3], corners[:, [3, 0]]
    own = [(column == number).nonzero()[0] for number in range(int(column.max()) + 1)]
    points = np.concatenate([part.reshape(-1, 2) for one in own for part in (up[one], down[one[::-1]])])
    rings = shapely.linearrings(points, indices=np.arange(len(own)).repeat([4 * len(one) for one in own]))
    return list(np.asarray(shapely.polygons(rings), dtype=object))
