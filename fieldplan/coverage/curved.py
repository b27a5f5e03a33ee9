"""Lines with the openers in the ground on arcs: segments joined around corners, and bends that a drill can follow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString

from fieldplan.coverage.headland import SAME_DEG, turns_deg
from fieldplan.coverage.room import TOLERANCE_M
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.ragged import begins, ends, members

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
    """Rounds whose bends are arcs of the sowing radius, where the steps before and after them are long enough."""
    if not rounds:
        return ()
    laid = Swaths.of(one.segments for one in rounds)
    lines = _bent(laid.lines, rig)
    until = np.cumsum([len(one.segments) for one in rounds]).tolist()
    return tuple(
        replace(one, segments=Swaths(lines=lines[start:end], grounds=laid.grounds[start:end]))
        for one, start, end in zip(rounds, [0, *until[:-1]], until, strict=True)
    )


def _bent(lines: Lines, rig: Rig) -> Lines:
    """Lines with the same ends, and arcs for their bends."""
    points, line = shapely.get_coordinates(lines, return_index=True)
    step = np.diff(points, axis=0, prepend=points[:1], append=points[-1:])
    before_m, after_m = np.hypot(*step[:-1].T), np.hypot(*step[1:].T)
    inner = ~(begins(line) | ends(line))
    turn_deg = np.where(inner, turns_deg(step[:-1], step[1:]), 0.0)
    tangent_m = _tangents_m(turn_deg, rig)
    room_m = np.minimum(before_m - np.roll(tangent_m, 1), after_m - np.roll(tangent_m, -1))
    bent = ((tangent_m > 0) & (tangent_m <= room_m)).nonzero()[0]
    if not len(bent):
        return lines
    ahead = step[:-1][bent] / before_m[bent, None]
    start = points[bent] - ahead * tangent_m[bent, None]
    arcs, of = _arcs(start, ahead, turn_deg[bent], rig.sowing_radius_m)
    count = np.ones(len(points), dtype=np.int64)
    count[bent] = np.bincount(of)
    point, _ = members(count)
    drawn = points[point]
    drawn[np.isin(point, bent)] = arcs
    return np.asarray(shapely.linestrings(drawn, indices=line[point]), dtype=object)


def _arcs(start: Array, ahead: Array, turn_deg: Array, radius_m: float) -> tuple[Array, IntArray]:
    """Points along arcs, (k, 2), and the arc of each, (k,).

    Parameters
    ----------
    start, ahead
        (n, 2) where each begins, and the unit vector along it there.
    turn_deg
        (n,) how far it turns, left positive.
    """
    n_steps = np.ceil(np.abs(turn_deg) / _STEP_DEG).astype(np.int64)
    of, nth = members(n_steps + 1)
    turned = np.radians(turn_deg)[of] * nth / n_steps[of]
    left = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    ahead_m = radius_m * np.sin(np.abs(turned))
    left_m = radius_m * (1 - np.cos(turned)) * np.sign(turned)
    return start[of] + ahead[of] * ahead_m[:, None] + left[of] * left_m[:, None], of


def _tangents_m(turn_deg: Array, rig: Rig) -> Array:
    """How far before each bend its arc begins, (n,): R·tan(θ/2); 0 where it is drawn as it is.

    Where the ground lies on the outside of the bend the arc cuts it toward the edge: no farther than the drill may
    reach over it.
    """
    half = np.radians(np.abs(turn_deg)) / 2
    cuts_m = rig.sowing_radius_m * (1 / np.cos(half) - 1)
    bends = (np.abs(turn_deg) > _BENT_DEG) & (np.abs(turn_deg) <= rig.follows_bend_deg + SAME_DEG)
    bends &= (turn_deg > 0) | (cuts_m <= TOLERANCE_M)
    return np.asarray(np.where(bends, rig.sowing_radius_m * np.tan(np.minimum(half, 1.0)), 0.0))
