"""Headland rounds, split into segments where the boundary turns more than the openers can follow.

Round j lies between the offsets (j − 1)·w and j·w inside the boundary, and around every obstacle. A segment
runs out to the edge of its round; the next segment starts where its band leaves the band already sown. So
on a rectangle the sown length equals the length of the mitered ring half way between the two offsets.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.offsets import MITRE_LIMIT, band_about, insets
from fieldplan.plane.ragged import begins, ends, firsts, lasts, members

_FOLLOWED_M = 0.01
"""How closely edges are followed: closer than a driver can, so that no slivers remain between rounds."""
_MIN_SEGMENT_M = 0.05
_MIN_STEP_M = 1e-6
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
    grounds: Sequence[MultiPolygon], width_m: float, follows_bend_deg: float
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
        Largest turn at a vertex that the openers follow in the ground.

    Returns
    -------
    tuple of HeadlandRound
        Outermost round first. A round is missing where the ground is too narrow for it.

    Examples
    --------
    >>> rectangle = MultiPolygon([shapely.box(0, 0, 100, 60)])
    >>> [(ring.round, round(ring.segments.length_m)) for ring in lay_rounds([rectangle] * 2, 5.0, 30.0)]
    [(1, 300), (2, 260)]
    """
    if not grounds:
        return ()
    rings = _rings(grounds, width_m)
    lines, ring = _center_lines(rings, width_m, follows_bend_deg)
    bands = bands_about(lines, width_m)
    tight = shapely.area(bands) > (1 + _MAX_TIGHT_FRAC) * width_m * shapely.length(lines)
    lines, bands, ring = lines[~tight], bands[~tight], ring[~tight]
    segments = Swaths(lines=lines, grounds=bands)
    until = ring.searchsorted(np.arange(len(rings.first)), side="right").tolist()
    kinds = zip(rings.round.tolist(), rings.obstacle.tolist(), pairwise([0, *until]), strict=True)
    return tuple(
        HeadlandRound(round=number, obstacle=obstacle, segments=segments[start:end])
        for number, obstacle, (start, end) in kinds
        if end > start
    )


def bands_about(lines: Lines, width_m: float) -> Lines:
    """The ground that the openers cross along lines, a hair wider than the drill."""
    return np.asarray(band_about(lines, width_m + 2 * _LAP_M), dtype=object)


@dataclass(frozen=True, slots=True)
class _Rings:
    """Closed rings with the ground on their left, in one array of ``points`` (k, 2) without the closing ones.

    ``ring`` (k,) is the ring of each point. The others are (r,): each ring's first point and number of
    points, its round, and whether it goes around an obstacle.
    """

    points: Array
    ring: IntArray
    first: IntArray
    n: IntArray
    round: IntArray
    obstacle: BoolArray

    def steps_on(self, point: IntArray, steps: IntArray) -> IntArray:
        """Indices of the points that lie so many steps further along their rings, (k,)."""
        first, n = self.first[self.ring[point]], self.n[self.ring[point]]
        return np.asarray(first + (point - first + steps) % n)


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
    kept = ~ends(ring)
    points, ring = points[kept], ring[kept]
    n = np.bincount(ring, minlength=len(rings))
    return _Rings(points, ring, firsts(n), n, depth[part] + 1, ~begins(part))


def _center_lines(rings: _Rings, width_m: float, follows_bend_deg: float) -> tuple[Lines, IntArray]:
    """The center line of each segment, (m,), and its ring, (m,).

    Lines are lengthened or shortened at the corners they run between, and left out if nothing remains. A
    ring without a corner is one segment.
    """
    point = np.arange(len(rings.points))
    step = rings.points[rings.steps_on(point, np.ones_like(point))] - rings.points
    turn_deg = turns_deg(step[rings.steps_on(point, -np.ones_like(point))], step)
    corner = (np.abs(turn_deg) > follows_bend_deg + SAME_DEG).nonzero()[0]
    n_corners = np.bincount(rings.ring[corner], minlength=len(rings.first))
    # the corner at the end of each segment: the next one, and the first one after the last of a ring
    following = np.arange(1, len(corner) + 1)
    some = n_corners > 0
    following[lasts(n_corners)[some]] = firsts(n_corners)[some]
    # steps from corner to corner; the modulo runs from 1 to n, as a ring with one corner goes all round
    n_steps = (corner[following] - corner - 1) % rings.n[rings.ring[corner]] + 1
    ends_m, begins_m = _at_corners(turn_deg[corner], width_m)
    segment, nth = members(n_steps + 1)
    first = firsts(n_steps + 1)
    points = rings.points[rings.steps_on(corner[segment], nth)]
    lines, kept = _between_corners(points, segment, first, first + n_steps, begins_m, ends_m[following])
    smooth = (n_corners == 0).nonzero()[0]
    closed = [
        shapely.LineString(rings.points[rings.steps_on(np.full(n + 1, first), np.arange(n + 1))])
        for first, n in zip(rings.first[smooth].tolist(), rings.n[smooth].tolist(), strict=True)
    ]
    lines = np.concatenate([lines, np.array(closed, dtype=object)])
    ring = np.concatenate([rings.ring[corner[kept]], smooth])
    order = ring.argsort(kind="stable")
    return lines[order], ring[order]


def _between_corners(
    points: Array, segment: IntArray, first: IntArray, last: IntArray, begins_m: Array, ends_m: Array
) -> tuple[Lines, IntArray]:
    """Lines between corners, and the indices of the segments that remain.

    ``points`` (k, 2) lie segment after segment, from ``first`` to ``last`` (m,). Each line begins
    ``begins_m`` after its first point and ends ``ends_m`` after its last one, (m,) both; negative is before.
    """
    if len(first) == 0:
        return np.zeros(0, dtype=object), first
    step = points[1:] - points[:-1]
    step_m = np.hypot(*step.T)
    unit = step / np.maximum(step_m, _MIN_STEP_M)[:, None]
    # station: distance along each segment from its first point
    station_m = np.concatenate([[0.0], step_m.cumsum()])
    station_m -= station_m[first][segment]
    remains = station_m[last] + ends_m - begins_m > _MIN_SEGMENT_M
    # the last point before the line begins is moved to where it begins, and those before it are dropped
    n_passed = np.add.reduceat(station_m <= begins_m[segment] + _MIN_STEP_M, first)
    begin = np.minimum(np.maximum(first + n_passed - 1, first), last - 1)
    points[last] += unit[last - 1] * ends_m[:, None]
    points[begin] += unit[begin] * (begins_m - station_m[begin])[:, None]
    kept = remains[segment] & (np.arange(len(segment)) >= begin[segment])
    number = remains.cumsum() - 1
    lines = shapely.linestrings(points[kept], indices=number[segment[kept]])
    return np.asarray(lines, dtype=object).reshape(-1), remains.nonzero()[0]


def _at_corners(turn_deg: Array, width_m: float) -> tuple[Array, Array]:
    """How far after a corner the arriving segment ends, and the leaving one begins, (n,) each.

    Distances are along the center line; negative is before the corner. Two bands that meet at a turn θ
    overlap in a parallelogram. At wide corners (θ up to 60°) the arriving segment ends w/2·tan(θ/2) after
    the corner of the center line, level with the corner of the fence, and the leaving one begins as much
    before it. At sharper ones the arriving segment runs on
    until its whole band has reached the fence, w/2·max(tan, cot)(θ/2), and the leaving one begins where its
    band leaves the other, w/2·min(tan, cot)(θ/2). At 90° the two cancel, so the length is that of a mitered
    ring.
    """
    half = np.radians(np.abs(turn_deg)) / 2
    tan = np.minimum(np.tan(half), MITRE_LIMIT)
    cot = 1 / np.maximum(tan, 1e-9)
    wide = np.abs(turn_deg) <= _RUN_OUT_ABOVE_DEG
    ends = np.where(wide, tan, np.maximum(tan, cot))
    begins = np.where(wide, -tan, np.minimum(tan, cot))
    return width_m / 2 * ends, width_m / 2 * begins


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
