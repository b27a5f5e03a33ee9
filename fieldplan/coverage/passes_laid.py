"""Passes as they are laid out, whatever the order they are driven in: their runs, their ends and their columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from fieldplan.coverage.columns import column_of
from fieldplan.coverage.poses import BothWays
from fieldplan.model.coverage import Array, Block, IntArray, Lines
from fieldplan.plane.ragged import firsts


@dataclass(frozen=True, slots=True)
class PassesLaid:
    """The passes of blocks, (n,), block after block, and their runs, (r,), pass after pass.

    Parameters
    ----------
    lines, length_m, runs
        (r,) the runs, their lengths, and the poses at their ends.
    first, n_runs
        (n,) the first run of each pass, and how many it has.
    passes
        The poses at the ends of each pass.
    block, column
        (n,) its block and its column; columns are counted on from block to block.
    """

    lines: Lines
    length_m: Array
    runs: BothWays
    first: IntArray
    n_runs: IntArray
    passes: BothWays
    block: IntArray
    column: IntArray

    @property
    def ends(self) -> Array:
        """Where each pass starts and ends, (n, 2, 2)."""
        return self.passes.enter[..., :2]


@lru_cache(maxsize=32)
def passes_laid(blocks: tuple[Block, ...]) -> PassesLaid:
    """The passes of some blocks, at least one: many routes lead over the same ones."""
    lines = np.concatenate([block.runs.lines for block in blocks])
    n_runs = np.concatenate([np.bincount(block.pass_of) for block in blocks])
    first, runs = firsts(n_runs), BothWays.of(lines)
    passes = runs.of_rows(first, first + n_runs - 1)
    block = np.repeat([block.block for block in blocks], [block.n_passes for block in blocks])
    column = _columns(blocks, passes.enter[..., :2])
    return PassesLaid(lines, shapely.length(lines), runs, first, n_runs, passes, block, column)


def _columns(blocks: Sequence[Block], ends: Array) -> IntArray:
    """The column of each pass, (n,), counted on from block to block."""
    columns, first_pass, first_column = list[IntArray](), 0, 0
    for block in blocks:
        station_m = block.stations_m(ends[first_pass : first_pass + block.n_passes])
        strip = block.strip[block.pass_of.searchsorted(np.arange(block.n_passes))]
        columns.append(first_column + column_of(strip, *station_m.T))
        first_pass += block.n_passes
        first_column = int(columns[-1].max()) + 1
    return np.concatenate(columns)
