"""The ground that swaths cover together, and the ground that they miss."""

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
"""Overlays are rounded to this grid if an exact one lost a swath.

That happens because long edges of side-by-side swaths differ by rounding.
"""
_LOST_M2 = 0.5
"""Less missed ground than this cannot hide a lost swath."""
_LOST_M = 0.05
"""Center lines that run this far through ground reported as missed belong to a lost swath."""


@dataclass(frozen=True, slots=True)
class HeadlandGround:
    """The ground that headland rounds cover: those along the outside alone, and all of them together."""

    outer: BaseGeometry
    together: BaseGeometry

    @classmethod
    def of(cls, rounds: Sequence[HeadlandRound], grid_m: float | None = None) -> HeadlandGround:
        """The ground that rounds cover; overlays are rounded to a grid if one is given."""
        along_outside = _grounds(ring for ring in rounds if not ring.obstacle)
        around_obstacles = _grounds(ring for ring in rounds if ring.obstacle)
        outer = together = shapely.union_all(along_outside, grid_size=grid_m)
        if len(around_obstacles):
            together = shapely.union_all([outer, *around_obstacles], grid_size=grid_m)
        return cls(outer, together)


@dataclass(frozen=True, slots=True)
class Swept:
    """What one sowing covers: its headland, and all its swaths together; and the ground that it misses."""

    headland: HeadlandGround
    together: BaseGeometry
    missed: BaseGeometry


def swept(
    ground: MultiPolygon, rounds: Sequence[HeadlandRound], headland: HeadlandGround, blocks: Sequence[Block]
) -> Swept:
    """The ground that one sowing covers and misses.

    The passes of a column lie edge to edge, so each column is traced as one outline instead of being
    overlaid pass by pass.

    Parameters
    ----------
    ground
        Plantable ground in plane meters.
    headland
        The ground that ``rounds`` cover.
    """
    columns = [outline for block in blocks for outline in outlines_of(block)]
    exact = _overlaid(ground, headland, columns, None)
    if exact.missed.area > _LOST_M2:
        lines = Sowing(headland=tuple(rounds), blocks=tuple(blocks)).swaths().lines
        if _through_m(lines, exact.missed) > _LOST_M:
            return _overlaid(ground, HeadlandGround.of(rounds, GRID_M), columns, GRID_M)
    return exact


def _through_m(lines: Lines, missed: BaseGeometry) -> float:
    """How far center lines run through ground reported as missed."""
    parts = shapely.get_parts(missed)
    line, part = shapely.STRtree(parts).query(lines, predicate="intersects")
    return float(shapely.length(shapely.intersection(lines[line], parts[part])).sum())


def _grounds(rounds: Iterable[HeadlandRound]) -> Lines:
    """The bands of all segments of rounds, (n,)."""
    return Swaths.of(headland_round.segments for headland_round in rounds).grounds


def _overlaid(
    ground: MultiPolygon, headland: HeadlandGround, columns: Sequence[Polygon], grid_m: float | None
) -> Swept:
    """Covered and missed ground by overlay, rounded to a grid if one is given."""
    passes = columns[0] if len(columns) == 1 else shapely.union_all(columns, grid_size=grid_m)
    together = shapely.union(headland.together, passes, grid_size=grid_m)
    return Swept(headland, together, shapely.difference(ground, together, grid_size=grid_m))


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
