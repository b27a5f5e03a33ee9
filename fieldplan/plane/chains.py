"""Lines as kernels take them, and back: all their points in one array."""

from __future__ import annotations

import numpy as np
import shapely

from fieldplan.kernels.segments import Chains
from fieldplan.model.coverage import Lines

_EMPTY = shapely.LineString()


def chains_of(lines: Lines) -> Chains:
    """The points of (n,) lines.

    Examples
    --------
    >>> chains_of(np.array([shapely.LineString([(0, 0), (1, 0)]), shapely.LineString()])).first.tolist()
    [0, 2, 2]
    """
    points, line = shapely.get_coordinates(lines, return_index=True)
    return Chains(points, line.searchsorted(np.arange(len(lines) + 1)))


def lines_of(chains: Chains) -> Lines:
    """Lines through points, (n,); empty where there are none.

    Examples
    --------
    >>> corner = shapely.LineString([(0, 0), (1, 0), (1, 1)])
    >>> lines_of(chains_of(np.array([corner, shapely.LineString()])))[0] == corner
    True
    """
    count = chains.first[1:] - chains.first[:-1]
    lines = np.full(len(count), _EMPTY, dtype=object)
    shapely.linestrings(chains.points, indices=np.arange(len(count)).repeat(count), out=lines)
    return lines
