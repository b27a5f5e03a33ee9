"""Rounds of the headland, split into sides where the boundary turns more than the openers can follow.

Round j lies between the offsets (j − 1)·w and j·w inside the boundary and round every obstacle. A side runs
out to the edge of its round; the next side starts where its band leaves the band already sown. On a
rectangle the sown length so equals the length of the mitred ring half way between the offsets.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.offsets import MITRE_LIMIT, band_about, insets
from fieldplan.plane.ragged import begins, ends, firsts, lasts, members

_FOLLOWED_M = 0.01
"""Edges are followed this closely: nearer than a driver does, so that successive rounds leave no slivers between them."""
_MIN_SEGMENT_M = 0.05
_MIN_STEP_M = 1e-6
_MAX_TIGHT_FRAC = 0.02
"""A side that bends tighter than half the drill's width cannot be driven: the openers inside would go backward, and it covers more
than its length times the width. It is left to straight passes."""
_LAP_M = 1e-6
"""Bands reach so much past their edges. Edges that should lie on each other differ by rounding: overlays of them take much
longer and have lost ground. The area is 1 m² in 1,000 km of edges."""
_RUN_OUT_ABOVE_DEG = 60.0
"""At wide corners (turns up to this) a side stops with its outer opener at the corner, and the next side, which starts
there, covers what is left: running out would carry the drill through the fence by w·cot(turn)."""


def lay_rounds(
    ground: MultiPolygon, width_m: float, n_rounds: int, follows_bend_deg: float
) -> tuple[HeadlandRound, ...]:
    """The loops of each round, outermost round first; a loop is missing where the ground is too narrow for
    it.

    Parameters
    ----------
    ground
        Plantable ground in plane metres; its holes are gone round.
    width_m
        Effective width of the drill.
    n_rounds
        Rounds wanted.
    follows_bend_deg
        Largest turn at a vertex that the openers follow in the ground.
    """
    rings = _rings(ground, width_m, n_rounds)
    lines, ring = _centre_lines(rings, width_m, follows_bend_deg)
    bands = bands_about(lines, width_m)
    tight = shapely.area(bands) > (1 + _MAX_TIGHT_FRAC) * width_m * shapely.length(lines)
    lines, bands, ring = lines[~tight], bands[~tight], ring[~tight]
    segments = Swaths(lines=lines, grounds=bands)
    until = ring.searchsorted(np.arange(len(rings.first)), side="right").tolist()
    return tuple(
        HeadlandRound(
            round=int(rings.round[i]), obstacle=bool(rings.obstacle[i]), segments=segments[start:end]
        )
        for i, (start, end) in enumerate(pairwise([0, *until]))
        if end > start
    )


def bands_about(lines: Lines, width_m: float) -> Lines:
    """The ground that the openers cross along lines, a hair wider than the drill."""
    return np.asarray(band_about(lines, width_m + 2 * _LAP_M), dtype=object)


@dataclass(frozen=True, slots=True)
class _Rings:
    """Closed rings with the ground on their left, as one array of ``points`` (k, 2) that names no point
    twice.

    ``ring`` (k,) is the ring of each point; ``first`` and ``n`` (r,) are each ring's first point and number
    of points.
    """

    points: Array
    ring: IntArray
    first: IntArray
    n: IntArray
    round: IntArray
    obstacle: BoolArray

    def steps_on(self, point: IntArray, steps: IntArray) -> IntArray:
        """The points that many steps further on along their rings."""
        first, n = self.first[self.ring[point]], self.n[self.ring[point]]
        return np.asarray(first + (point - first + steps) % n)


def _rings(ground: MultiPolygon, width_m: float, n_rounds: int) -> _Rings:
    """The middle of each round, vertices dropped that a driver would not see."""
    depths_m = np.asarray((np.arange(n_rounds) + 0.5) * width_m, dtype=np.float64)
    middles = shapely.simplify(insets(ground, depths_m), _FOLLOWED_M)
    parts, depth = shapely.get_parts(shapely.orient_polygons(middles, exterior_cw=False), return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    rings, part = rings[~shapely.is_empty(rings)], part[~shapely.is_empty(rings)]
    points, ring = shapely.get_coordinates(rings, return_index=True)
    kept = ~ends(ring)
    points, ring = points[kept], ring[kept]
    n = np.bincount(ring, minlength=len(rings))
    return _Rings(points, ring, firsts(n), n, depth[part] + 1, ~begins(part))


def _centre_lines(rings: _Rings, width_m: float, follows_bend_deg: float) -> tuple[Lines, IntArray]:
    """The centre line of each side, (m,), made longer or shorter at the corners between which it runs, and
    its ring, (m,).

    Sides of which nothing is left are not there; a ring without a corner is one side.
    """
    point = np.arange(len(rings.points))
    step = rings.points[rings.steps_on(point, np.ones_like(point))] - rings.points
    turn_deg = turns_deg(step[rings.steps_on(point, -np.ones_like(point))], step)
    corner = (np.abs(turn_deg) > follows_bend_deg).nonzero()[0]
    n_corners = np.bincount(rings.ring[corner], minlength=len(rings.first))
    following = np.arange(1, len(corner) + 1)
    some = n_corners > 0
    following[lasts(n_corners)[some]] = firsts(n_corners)[some]
    spans = (corner[following] - corner - 1) % rings.n[rings.ring[corner]] + 1
    ends_m, begins_m = _at_corners(turn_deg[corner], width_m)
    segment, nth = members(spans + 1)
    first = firsts(spans + 1)
    points = rings.points[rings.steps_on(corner[segment], nth)]
    lines, kept = _between_corners(points, segment, first, first + spans, begins_m, ends_m[following])
    whole = [
        shapely.LineString([*rings.points[rings.ring == i], rings.points[rings.first[i]]])
        for i in (n_corners == 0).nonzero()[0]
    ]
    lines = np.concatenate([lines, np.array(whole, dtype=object)])
    ring = np.concatenate([rings.ring[corner[kept]], (n_corners == 0).nonzero()[0]])
    order = ring.argsort(kind="stable")
    return lines[order], ring[order]


def _between_corners(
    points: Array, segment: IntArray, first: IntArray, last: IntArray, begins_m: Array, ends_m: Array
) -> tuple[Lines, IntArray]:
    """Lines between corners, begun so much after the first and ended so much after the last point, and
    which sides are left.
    """
    if len(first) == 0:
        return np.zeros(0, dtype=object), first
    step = points[1:] - points[:-1]
    step_m = np.hypot(*step.T)
    unit = step / np.maximum(step_m, _MIN_STEP_M)[:, None]
    station_m = np.concatenate([[0.0], step_m.cumsum()])
    station_m -= station_m[first][segment]
    left = station_m[last] + ends_m - begins_m > _MIN_SEGMENT_M
    passed = np.add.reduceat(station_m <= begins_m[segment] + _MIN_STEP_M, first)
    begin = np.minimum(np.maximum(first + passed - 1, first), last - 1)
    points[last] += unit[last - 1] * ends_m[:, None]
    points[begin] += unit[begin] * (begins_m - station_m[begin])[:, None]
    kept = left[segment] & (np.arange(len(segment)) >= begin[segment])
    number = left.cumsum() - 1
    lines = shapely.linestrings(points[kept], indices=number[segment[kept]])
    return np.asarray(lines, dtype=object).reshape(-1), left.nonzero()[0]


def _at_corners(turn_deg: Array, width_m: float) -> tuple[Array, Array]:
    """How far past a corner of the centre line the arriving side ends, and the leaving side begins
    (negative: before it).

    Two bands that meet at a turn θ overlap in a parallelogram. At wide turns (to 60°) both sides stop at
    the corner of the fence, w/2·tan(θ/2) from the corner of the centre line. At sharper ones the arriving
    side runs on until its whole band has reached the fence, w/2·max(tan, cot)(θ/2), and the other begins
    where its band leaves that one, at w/2·min(tan, cot)(θ/2): at 90° the two add up to nothing, as a mitred
    ring has it.
    """
    half = np.radians(np.abs(turn_deg)) / 2
    tan = np.minimum(np.tan(half), MITRE_LIMIT)
    cot = 1 / np.maximum(tan, 1e-9)
    wide = np.abs(turn_deg) <= _RUN_OUT_ABOVE_DEG
    ends = np.where(wide, tan, np.maximum(tan, cot))
    begins = np.where(wide, -tan, np.minimum(tan, cot))
    return width_m / 2 * ends, width_m / 2 * begins


def turns_deg(before: Array, after: Array) -> Array:
    """Turn from one step to the next, both (n, 2): (n,), left positive, degrees in (−180, 180]."""
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.asarray(np.degrees(np.arctan2(cross, (before * after).sum(axis=1))))
