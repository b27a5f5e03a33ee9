"""Ground for asking very often whether a point is inside, how far it is from the edge, or if two points see each other.

Slabs are horizontal and of one height; each lists the edges that reach into it. A point is inside if a ray
from it to +x crosses an odd number of edges, and only those of its slab can be crossed (even-odd rule, as in
E. Haines, Point in polygon strategies, Graphics Gems IV, 1994). A grid of cells knows for most points without
that, and how far from every edge they are at least (G. Borgefors, Distance transformations in digital images,
Computer Vision, Graphics, and Image Processing 34, 1986).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from fieldplan.kernels.compiled import compiled, compiled_leaf, numbers
from fieldplan.model.coverage import Array, BoolArray, IntArray

_MAX_SLABS = 4096
_N_CELLS, _MIN_CELL_M = 16_000, 0.5
_OVER = float(1 / np.cos(np.pi / 8))
"""Steps to the eight cells around add up to at most so many times the straight distance."""
_OUTSIDE_M, _INSIDE_M = -1.0, 1e-3


class Region(NamedTuple):
    """Ground as its edges in slabs.

    Parameters
    ----------
    edges
        (n, 4) x and y of both ends of every edge.
    listed, first
        Edges of all slabs, slab after slab, and where each slab begins, (k + 1,).
    bottom_m, per_m
        Where the lowest slab begins, and slabs a meter.
    clear_m
        (rows, columns) cells: how far every point of one is from every edge at least; 0 where an edge passes, negative
        outside.
    left_m, cells_per_m
        Where the first column begins, the first row at ``bottom_m``, and cells a meter.
    """

    edges: Array
    listed: IntArray
    first: IntArray
    bottom_m: float
    per_m: float
    clear_m: Array
    left_m: float
    cells_per_m: float

    @classmethod
    def of(cls, ground: shapely.Geometry) -> Region:
        """The region of polygons."""
        points, ring = shapely.get_coordinates(
            shapely.get_rings(shapely.get_parts(ground)), return_index=True
        )
        return _region_of(points, ring)

    def contains(self, points: Array) -> BoolArray:
        """Whether each of points, (..., 2), is inside."""
        flat = numbers(points[..., :2].reshape(-1, 2))
        return np.asarray(_all_inside(self, flat).reshape(points.shape[:-1]))


@compiled
def _region_of(points: Array, ring: IntArray) -> Region:
    """The region of rings: (n, 2) their points, ring after ring, and the ring of each, (n,)."""
    n = 0
    for k in range(len(points) - 1):
        n += int(ring[k] == ring[k + 1])
    left_m, right_m, bottom_m, top_m = (np.inf, -np.inf, np.inf, -np.inf) if n else (0.0, 1.0, 0.0, 1.0)
    edges, n = np.empty((n, 4)), 0
    for k in range(len(points) - 1):
        if ring[k] == ring[k + 1]:
            edges[n, 0], edges[n, 1] = points[k, 0], points[k, 1]
            edges[n, 2], edges[n, 3] = points[k + 1, 0], points[k + 1, 1]
            n += 1
            left_m, right_m = min(left_m, points[k, 0]), max(right_m, points[k, 0])
            bottom_m, top_m = min(bottom_m, points[k, 1]), max(top_m, points[k, 1])
    n_slabs = min(max(n, 1), _MAX_SLABS)
    per_m = n_slabs / max(top_m - bottom_m, 1e-9)
    wide_m, high_m = right_m - left_m, top_m - bottom_m
    cell_m = max(_MIN_CELL_M, np.sqrt(wide_m * high_m / _N_CELLS), (wide_m + high_m) / _N_CELLS)
    clear_m = np.zeros((int(high_m / cell_m) + 1, int(wide_m / cell_m) + 1))
    listed, first = _in_slabs(edges, n_slabs, bottom_m, per_m)
    region = Region(edges, listed, first, bottom_m, per_m, clear_m, left_m, 1 / cell_m)
    _write_cells(region)
    return region


@compiled
def _in_slabs(edges: Array, n_slabs: int, bottom_m: float, per_m: float) -> tuple[IntArray, IntArray]:
    """The edges that reach into each slab, slab after slab, and where each slab begins, (n_slabs + 1,)."""
    first = np.zeros(n_slabs + 1, dtype=np.int64)
    for i in range(len(edges)):
        since, until = _slabs_of(edges, i, n_slabs, bottom_m, per_m)
        for slab in range(since, until + 1):
            first[slab + 1] += 1
    first = first.cumsum()
    listed, n_listed = np.empty(first[-1], dtype=np.int64), first[:-1].copy()
    for i in range(len(edges)):
        since, until = _slabs_of(edges, i, n_slabs, bottom_m, per_m)
        for slab in range(since, until + 1):
            listed[n_listed[slab]] = i
            n_listed[slab] += 1
    return listed, first


@compiled_leaf
def _slabs_of(edges: Array, i: int, n_slabs: int, bottom_m: float, per_m: float) -> tuple[int, int]:
    """The first and the last slab that an edge reaches into."""
    low = int((min(edges[i, 1], edges[i, 3]) - bottom_m) * per_m)
    high = int((max(edges[i, 1], edges[i, 3]) - bottom_m) * per_m)
    return min(low, n_slabs - 1), min(high, n_slabs - 1)


@compiled
def _write_cells(region: Region) -> None:
    """Write what `Region` says of ``clear_m``: told by the steps from cell to cell to the next one with an edge."""
    n_rows, n_columns = region.clear_m.shape
    steps = region.clear_m
    _write_steps_to_edges(region, steps)
    for row in range(n_rows):
        column = 0
        while column < n_columns:
            if steps[row, column] == 0.0:
                column += 1
                continue
            # all cells up to the next edge are as this one
            x = region.left_m + (column + 0.5) / region.cells_per_m
            y = region.bottom_m + (row + 0.5) / region.cells_per_m
            since = column
            while column < n_columns and steps[row, column] > 0.0:
                column += 1
            if not _inside_by_slabs(region, x, y):
                region.clear_m[row, since:column] = _OUTSIDE_M
                continue
            for k in range(since, column):
                # from the middle of a cell to that of another; points and edges may lie at their corners
                least_m = (steps[row, k] / _OVER - np.sqrt(2.0)) / region.cells_per_m
                region.clear_m[row, k] = max(least_m, _INSIDE_M)


@compiled_leaf
def _write_steps_to_edges(region: Region, steps: Array) -> None:
    """Write the length of the shortest way over neighboring cells to one with an edge, in cells."""
    n_rows, n_columns = steps.shape
    steps[:] = float(n_rows + n_columns)
    for i in range(len(region.edges)):
        _mark(region, i, steps)
    across = np.sqrt(2.0)
    for way in range(2):
        for nth_row in range(n_rows):
            row = nth_row if way == 0 else n_rows - 1 - nth_row
            if nth_row > 0:
                _step_across(steps[row], steps[row - 1 if way == 0 else row + 1], across)
            last = np.inf
            for nth in range(n_columns):
                column = nth if way == 0 else n_columns - 1 - nth
                last = min(steps[row, column], last + 1.0)
                steps[row, column] = last


@compiled_leaf
def _step_across(row: Array, before: Array, across: float) -> None:
    """Write into the steps of a row those over the row beside it, (n,) each."""
    n = len(row)
    for column in range(1, n - 1):
        least = min(before[column - 1], before[column + 1]) + across
        row[column] = min(row[column], min(before[column] + 1.0, least))
    for column in (0, n - 1):
        least = min(before[max(column - 1, 0)], before[min(column + 1, n - 1)]) + across
        row[column] = min(row[column], min(before[column] + 1.0, least))


@compiled_leaf
def _mark(region: Region, i: int, steps: Array) -> None:
    """Write 0 in every cell that an edge passes, and in those beside it by a rounding."""
    n_rows, n_columns = steps.shape
    x, y = region.edges[i, 0] - region.left_m, region.edges[i, 1] - region.bottom_m
    by_x, by_y = region.edges[i, 2] - region.edges[i, 0], region.edges[i, 3] - region.edges[i, 1]
    cell_m, hair_m = 1 / region.cells_per_m, 1e-6
    low = int(max(0.0, (min(y, y + by_y) - hair_m) * region.cells_per_m))
    high = min(n_rows - 1, int(max(0.0, (max(y, y + by_y) + hair_m) * region.cells_per_m)))
    for row in range(low, high + 1):
        # the stretch of the edge within the row
        since, until = 0.0, 1.0
        if abs(by_y) > hair_m:
            a, b = (row * cell_m - y) / by_y, ((row + 1) * cell_m - y) / by_y
            since, until = max(0.0, min(a, b)), min(1.0, max(a, b))
        left, right = min(x + since * by_x, x + until * by_x), max(x + since * by_x, x + until * by_x)
        first = int(max(0.0, (left - hair_m) * region.cells_per_m))
        last = min(n_columns - 1, int(max(0.0, (right + hair_m) * region.cells_per_m)))
        for column in range(first, last + 1):
            steps[row, column] = 0.0


@compiled_leaf
def inside(region: Region, x: float, y: float) -> bool:
    """Whether a point is inside."""
    clear_m = cell_clear_m(region, x, y)
    return clear_m > 0.0 or (clear_m == 0.0 and _inside_by_slabs(region, x, y))


@compiled_leaf
def cell_clear_m(region: Region, x: float, y: float) -> float:
    """How far a point is from every edge at least, as its cell knows: 0 if it does not know, negative if outside."""
    column = (x - region.left_m) * region.cells_per_m
    row = (y - region.bottom_m) * region.cells_per_m
    n_rows, n_columns = region.clear_m.shape
    if not (0.0 <= column < n_columns and 0.0 <= row < n_rows):
        return _OUTSIDE_M
    return float(region.clear_m[int(row), int(column)])


@compiled_leaf
def _inside_by_slabs(region: Region, x: float, y: float) -> bool:
    """Whether a point is inside, by the edges of its slab."""
    slab = int(np.floor((y - region.bottom_m) * region.per_m))
    odd = False
    if 0 <= slab <= len(region.first) - 1:
        slab = min(slab, len(region.first) - 2)
        for k in range(region.first[slab], region.first[slab + 1]):
            i = region.listed[k]
            from_y, to_y = region.edges[i, 1], region.edges[i, 3]
            if (from_y <= y) != (to_y <= y):
                from_x, to_x = region.edges[i, 0], region.edges[i, 2]
                crossed_x = from_x + (y - from_y) * (to_x - from_x) / (to_y - from_y)
                if crossed_x > x:
                    odd = not odd
    return odd


@compiled_leaf
def sees(region: Region, x: float, y: float, to_x: float, to_y: float) -> bool:
    """Whether the straight line between two points inside crosses no edge."""
    n_slabs = len(region.first) - 1
    low, high = min(y, to_y), max(y, to_y)
    since = max(0, int(np.floor((low - region.bottom_m) * region.per_m)))
    until = min(n_slabs - 1, int(np.floor((high - region.bottom_m) * region.per_m)))
    ahead_x, ahead_y = to_x - x, to_y - y
    for k in range(region.first[min(since, n_slabs)], region.first[until + 1]):
        edge = region.edges[region.listed[k]]
        if max(edge[0], edge[2]) < min(x, to_x) or min(edge[0], edge[2]) > max(x, to_x):
            continue
        from_side = ahead_x * (edge[1] - y) - ahead_y * (edge[0] - x)
        to_side = ahead_x * (edge[3] - y) - ahead_y * (edge[2] - x)
        if (from_side > 0) == (to_side > 0):
            continue
        along_x, along_y = edge[2] - edge[0], edge[3] - edge[1]
        start_side = along_x * (y - edge[1]) - along_y * (x - edge[0])
        end_side = along_x * (to_y - edge[1]) - along_y * (to_x - edge[0])
        if (start_side > 0) != (end_side > 0):
            return False
    return True


@compiled
def since_inside(region: Region, points: Array, first: IntArray, step_m: float) -> Array:
    """How far along each line it is first inside, (n,); infinite where it never is.

    Parameters
    ----------
    points, first
        (k, 2) vertices, line after line, and where each line begins, (n + 1,).
    step_m
        Lines are looked at in steps of this; where they come inside is found to a thousandth of one.
    """
    since_m = np.full(len(first) - 1, np.inf)
    for i in range(len(first) - 1):
        passed_m = 0.0
        for k in range(first[i], first[i + 1] - 1):
            step_x, step_y = points[k + 1, 0] - points[k, 0], points[k + 1, 1] - points[k, 1]
            share = _share_outside(region, points[k, 0], points[k, 1], step_x, step_y, step_m)
            length_m = np.hypot(step_x, step_y)
            if share <= 1.0:
                since_m[i] = passed_m + share * length_m
                break
            passed_m += length_m
    return since_m


@compiled_leaf
def _share_outside(region: Region, x: float, y: float, by_x: float, by_y: float, step_m: float) -> float:
    """The share of a straight line before it is first inside; more than all of it if it never is."""
    n = max(1, int(np.ceil(np.hypot(by_x, by_y) / step_m)))
    for nth in range(n + 1):
        if inside(region, x + by_x * nth / n, y + by_y * nth / n):
            low, high = max(nth - 1, 0) / n, nth / n
            while high - low > 1e-3 / n:
                middle = (low + high) / 2
                if inside(region, x + by_x * middle, y + by_y * middle):
                    high = middle
                else:
                    low = middle
            return high
    return 2.0


@compiled
def _all_inside(region: Region, points: Array) -> BoolArray:
    held = np.empty(len(points), dtype=np.bool_)
    for i in range(len(points)):
        held[i] = inside(region, points[i, 0], points[i, 1])
    return held
