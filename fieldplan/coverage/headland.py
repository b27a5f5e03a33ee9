"""Headland rounds, split into segments where the boundary turns more than the openers can follow.

Round j lies between the offsets (j − 1)·w and j·w inside the boundary, and around every obstacle. A segment
runs out to the edge of its round; the next segment starts where its band leaves the band already sown. So
on a rectangle the sown length equals the length of the mitered ring half way between the two offsets.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.kernels.segments import Chains, Sweep, between_corners
from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.chains import lines_of
from fieldplan.plane.offsets import MITRE_LIMIT, band_about, insets
from fieldplan.plane.ragged import begins, ends

_FOLLOWED_M = 0.01
"""How closely edges are followed: closer than a driver can, so that no slivers remain between rounds."""
_MIN_SEGMENT_M = 0.05
_MAX_TIGHT_FRAC = 0.02
"""A segment whose band has an area this much above length × width is left to straight passes.

It bends tighter than half the drill's width, so the openers on the inside would go backward.
"""
ALWAYS_FOLLOWED_DEG = 30.0
"""Smaller bends are no corners: openers that may follow them do."""
SAME_DEG = 0.01
"""Bends differ by so much by rounding: all twelve corners of a round hole are alike."""
_LAP_M = 1e-6
"""Bands reach this far beyond their edges.

Edges that should coincide differ by rounding; overlays of such edges take much longer and have lost ground.
The area added is 1 m² in 1,000 km of edges.
"""
_RUN_OUT_ABOVE_DEG = 60.0
"""Above this turn a segment runs out past the corner.

At smaller turns it stops with its outer opener at the corner, and the next segment covers the rest: running
out would carry the drill through the fence by w·cot(turn).
"""


def lay_rounds(
    grounds: Sequence[MultiPolygon], width_m: float, follows_bend_deg: float, sowing_radius_m: float
) -> tuple[HeadlandRound, ...]:
    """Headland rounds along the outside of the ground and around its holes.

    Parameters
    ----------
    grounds
        The ground that each round goes round, plane meters, with the holes that it goes round, too: no more of
        them from round to round.
    width_m
        Effective width of the drill.
    follows_bend_deg
        Largest turn in one sweep that the openers follow in the ground.
    sowing_radius_m
        Over any stretch, they follow so much besides its length over this.

    Returns
    -------
    tuple of HeadlandRound
        Outermost round first. A round is missing where the ground is too narrow for it.

    Examples
    --------
    >>> rectangle = MultiPolygon([shapely.box(0, 0, 100, 60)])
    >>> [(ring.round, round(ring.segments.length_m)) for ring in lay_rounds([rectangle] * 2, 5.0, 30.0, 12.0)]
    [(1, 300), (2, 260)]
    """
    if not grounds:
        return ()
    rings = _rings(grounds, width_m)
    chains, ring = between_corners(
        rings.chains,
        width_m,
        math.radians(min(follows_bend_deg, ALWAYS_FOLLOWED_DEG) + SAME_DEG),
        Sweep(math.radians(follows_bend_deg + SAME_DEG), sowing_radius_m),
        math.radians(_RUN_OUT_ABOVE_DEG),
        MITRE_LIMIT,
        _MIN_SEGMENT_M,
    )
    lines = lines_of(chains)
    bands = bands_about(lines, width_m)
    tight = shapely.area(bands) > (1 + _MAX_TIGHT_FRAC) * width_m * shapely.length(lines)
    lines, bands, ring = lines[~tight], bands[~tight], ring[~tight]
    segments = Swaths(lines=lines, grounds=bands)
    until = ring.searchsorted(np.arange(len(rings.round)), side="right").tolist()
    kinds = zip(rings.round.tolist(), rings.obstacle.tolist(), pairwise([0, *until]), strict=True)
    return tuple(
        HeadlandRound(round=number, obstacle=obstacle, segments=segments[start:end])
        for number, obstacle, (start, end) in kinds
        if end > start
    )


def bands_about(lines: Lines, width_m: float) -> Lines:
    """The ground that the openers cross along lines, a hair wider than the drill."""
    return np.asarray(band_about(lines, width_m + 2 * _LAP_M), dtype=object)


class _Rings(NamedTuple):
    """Closed rings with the ground on their left, without the closing points; and of each, (r,), its round, and whether
    it goes around an obstacle.
    """

    chains: Chains
    round: IntArray
    obstacle: BoolArray


def _rings(grounds: Sequence[MultiPolygon], width_m: float) -> _Rings:
    """The middle of each round, without the vertices that a driver would not see."""
    depths_m = np.asarray((np.arange(len(grounds)) + 0.5) * width_m, dtype=np.float64)
    first = [i for i in range(len(grounds)) if i == 0 or grounds[i] != grounds[i - 1]]
    alike = pairwise([*first, len(grounds)])
    insides = np.concatenate([insets(grounds[start], depths_m[start:end]) for start, end in alike])
    middles = shapely.simplify(insides, _FOLLOWED_M)
    # exteriors counter-clockwise, holes clockwise: the ground is on the left of both
    parts, depth = shapely.get_parts(shapely.orient_polygons(middles, exterior_cw=False), return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    rings, part = rings[~shapely.is_empty(rings)], part[~shapely.is_empty(rings)]
    points, ring = shapely.get_coordinates(rings, return_index=True)
    since = np.zeros(len(rings) + 1, dtype=np.int64)
    np.cumsum(shapely.get_num_coordinates(rings) - 1, out=since[1:])
    return _Rings(Chains(points[~ends(ring)], since), depth[part] + 1, ~begins(part))


def turns_deg(before: Array, after: Array) -> Array:
    """Turn from one step to the next, in degrees.

    Parameters
    ----------
    before, after
        (n, 2) steps as vectors.

    Returns
    -------
    Array
        (n,) in (−180, 180], left positive: atan2 of the cross product and the dot product.

    Examples
    --------
    >>> east, north = np.array([[1.0, 0.0]]), np.array([[0.0, 1.0]])
    >>> turns_deg(east, north).tolist()
    [90.0]
    """
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.asarray(np.degrees(np.arctan2(cross, (before * after).sum(axis=1))))
