"""Members of groups that follow each other in an array, as where numbers of rings, strips or layings repeat."""

from __future__ import annotations

import numpy as np

from fieldplan.model.coverage import BoolArray, IntArray


def begins(group: IntArray) -> BoolArray:
    """Whether each member is the first of its group, (n,)."""
    first = np.ones(len(group), dtype=bool)
    np.not_equal(group[1:], group[:-1], out=first[1:])
    return first


def ends(group: IntArray) -> BoolArray:
    """Whether each member is the last of its group, (n,)."""
    last = np.ones(len(group), dtype=bool)
    np.not_equal(group[1:], group[:-1], out=last[:-1])
    return last
