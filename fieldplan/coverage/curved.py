"""Lines with the openers in the ground on arcs: segments joined around corners, and bends that a drill can follow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString

from fieldplan.coverage.headland import turns_deg
from fieldplan.coverage.room import TOLERANCE_M
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.ragged import begins, ends, members

_BENT_DEG = 10.0
"""Smaller bends are drawn as they are: at 15 m the arc lies within 6 cm of them. An arc is drawn in steps of this."""


def joined(lines: Lines, following: IntArray, arcs: Mapping[int, LineString]) -> Lines:
    """Lines with those made one that arcs join; the others that they are made of are empty.

    Parameters
    ----------
    lines, following
        (n,) lines, and the one after each on its ring.
    arcs
        By the number of the line before: the arc from its end to the start of the next one.
    """
    whole = lines.copy()
    after = {int(following[line]) for line in arcs}
    heads = [line for line in arcs if line not in after]
    left = dict(arcs)
    for head in [*heads, *arcs]:  # what no head leads to is a ring without an end
        if head not in left:
            continue
        points, line = [shapely.get_coordinates(lines[head])], head
        while line in left:
            points.append(shapely.get_coordinates(left.pop(line))[1:-1])
            line = int(following[line])
            if line == head:
                points.append(points[0][:1])
            else:
                points.append(shapely.get_coordinates(lines[line]))
                whole[line] = LineString()
        whole[head] = LineString(np.concatenate(points))
    return whole
