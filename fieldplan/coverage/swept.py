"""The ground that swaths cover together, as one geometry."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.columns import column_of
from fieldplan.model.coverage import Block, Swath

GRID_M = 1e-5
"""Overlays are rounded to this grid. Without it the union of side-by-side swaths, whose long edges differ by rounding
alone, can silently lose a swath."""


def swept(sides: Iterable[Swath], blocks: Iterable[Block], before: Sequence[BaseGeometry] = ()) -> BaseGeometry:
    """The union of headland sides and the passes of blocks, and of what was swept before.

    The passes of a column lie edge to edge: they are traced as one outline instead of being overlaid.
    """
    grounds = [side.ground for side in sides]
    return shapely.union_all([*before, *grounds, *(column for block in blocks for column in _columns(block))], grid_size=GRID_M)


def _columns(block: Block) -> list[Polygon]:
    """The outline of each column of a block's runs: up along their ends, down along their starts."""
    runs = [run.ground for one in block.passes for run in one.runs]
    if not runs:
        return []
    strip = np.array([one.strip for one in block.passes for _ in one.runs])
    corners = shapely.get_coordinates(np.array(runs, dtype=object)).reshape(len(runs), 5, 2)
    along = corners[0, 1] - corners[0, 0]
    along = along / max(float(np.hypot(*along)), 1e-9)
    start, end = corners[:, 0] @ along, corners[:, 1] @ along
    order = np.lexsort((start, strip))
    column = column_of(strip[order], start[order], end[order])
    corners = corners[order]
    outlines = []
    for number in range(int(column.max()) + 1):
        own = corners[column == number]
        outlines.append(Polygon(np.vstack([own[:, 1:3].reshape(-1, 2), own[:, [0, 3]].reshape(-1, 2)[::-1]])))
    return outlines
