"""Lines with the openers in the ground on arcs: segments joined around corners, and bends that a drill can follow."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString

from fieldplan.coverage.headland import SAME_DEG
from fieldplan.coverage.room import TOLERANCE_M
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.segments import with_arcs
from fieldplan.model.coverage import HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.chains import chains_of, lines_of

_BENT_DEG, _STEP_DEG = 15.0, 10.0
"""Smaller bends are drawn as they are: at 12 m the arc lies within 0.1 m of them. Arcs are drawn in steps of this."""


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


def with_bends(rounds: Sequence[HeadlandRound], rig: Rig) -> tuple[HeadlandRound, ...]:
    """Rounds whose bends are arcs of the sowing radius, where the steps before and after them are long enough.

    An arc begins R·tan(θ/2) before its bend. Where the ground lies on the outside of the bend it cuts it toward the edge:
    no farther than the drill may reach over it.
    """
    if not rounds:
        return ()
    laid = Swaths.of(one.segments for one in rounds)
    bends, chains = with_arcs(
        chains_of(laid.lines),
        rig.sowing_radius_m,
        math.radians(_BENT_DEG),
        math.radians(rig.follows_bend_deg + SAME_DEG),
        TOLERANCE_M,
        math.radians(_STEP_DEG),
    )
    if not bends:
        return tuple(rounds)
    lines, until = lines_of(chains), np.cumsum([len(one.segments) for one in rounds]).tolist()
    return tuple(
        replace(one, segments=Swaths(lines=lines[start:end], grounds=laid.grounds[start:end]))
        for one, start, end in zip(rounds, [0, *until[:-1]], until, strict=True)
    )
