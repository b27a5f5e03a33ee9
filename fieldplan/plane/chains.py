"""Lines as kernels take them, and back: all their points in one array."""

from __future__ import annotations

import numpy as np
import shapely

from fieldplan.kernels.segments import Chains
from fieldplan.model.coverage import Lines


def chains_of(lines: Lines) -> Chains:
    """The points of (n,) lines.

    Examples
    --------
    >>> chains_of(np.array([shapely.LineString([(0, 0), (1, 0)]), shapely.LineString()])).first.tolist()
    [0, 2, 2]
    """
    first = np.zeros(len(lines) + 1, dtype=np.int64)
    np.cumsum(shapely.get_num_coordinates(lines), out=first[1:])
    return Chains(shapely.get_coordinates(lines), first)


def lines_of(chains: Chains) -> Lines:
    """Lines through points, (n,); empty where there are none.

    Examples
    --------
    >>> corner = shapely.LineString([(0, 0), (1, 0), (1, 1)])
    >>> lines_of(chains_of(np.array([corner, shapely.LineString()])))[0] == corner
    True
    """
    count = np.diff(chains.first)
    lines = np.full(len(count), None if count.all() else shapely.LineString(), dtype=object)
    shapely.linestrings(chains.points, indices=np.arange(len(count)).repeat(count), out=lines)
    return lines
