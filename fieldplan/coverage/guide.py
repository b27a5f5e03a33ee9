"""Lines that passes follow: the curved sides of a piece of ground, and lines that somebody has drawn."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely import LineString, Polygon

from fieldplan.coverage.terms import Rig
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.stations import nearest_stations, to_left_m
from fieldplan.model.coverage import Array, IntArray
from fieldplan.plane.parallel import (
    SAGITTA_M,
    SmoothLine,
    bends_rad,
    radii_m,
    rounding_m,
    smoothed,
)

THINNED_W, ROUNDED_W = 1 / 8, 1 / 4
"""A side is thinned to the first of these, in drill widths, and its bends leave it by no more than the second."""
MIN_CURVED_W = 1 / 2
"""A side that nowhere lies so far from the straight line between its ends, in drill widths, is straight."""
MIN_SIDE_FRAC = 0.4
"""A side worth following is at least this long, as a share of the ground's longest extent."""
MAX_BEND_RAD = np.radians(200.0)
"""A side that bends further in all is not followed: its parallels meet their own ends. Rounds are for those."""
GENTLER = 3.0
"""Where parallels bend too tight, the next guide bends no tighter than so many of the tightest curves."""
N_SIDES = 2
"""So many of the longest curved sides are tried."""


@dataclass(frozen=True, slots=True, eq=False)
class Guide:
    """A line that passes follow; no two are equal.

    Parameters
    ----------
    line
        With the openers' arcs, in plane meters.
    first_m
        Where strips are counted from: so far to the left of the line the right border of a strip lies.
    moved_m
        How far the line lies from what somebody has drawn, where it is farthest.
    """

    line: SmoothLine
    first_m: float
    moved_m: float = 0.0


@lru_cache(maxsize=64)
def sides_of(ground: Polygon, rig: Rig) -> tuple[Guide, ...]:
    """The curved sides of the outline that passes can follow, the longest first: at most `N_SIDES`.

    A side goes from one corner to the next; a corner is a bend whose arc would have to be tighter than passes may be,
    or leave the outline too far. Strips begin where all ground beside the line is on its left.
    """
    ring = shapely.orient_polygons(ground, exterior_cw=False).exterior
    full = shapely.get_coordinates(ring)[:-1]
    points = shapely.get_coordinates(shapely.simplify(ring, THINNED_W * rig.width_m))[:-1]
    extent_m = float(np.hypot(*np.ptp(full, axis=0)))
    found = []
    for side in _between_corners(points, rig):
        line = LineString(side)
        bent_rad = abs(float(bends_rad(side).sum()))
        if line.length >= MIN_SIDE_FRAC * extent_m and bent_rad <= MAX_BEND_RAD and _is_curved(side, rig):
            found.append((line.length, side))
    longest = sorted(found, key=lambda each: -each[0])[:N_SIDES]
    return tuple(_beside_all(side, full, rig) for _, side in longest)


def drawn_guide(line: LineString, rig: Rig, gentler: float = 1.0) -> Guide:
    """A line that somebody has drawn, or that heights give, as passes can follow it: a pass runs along it.

    Parameters
    ----------
    gentler
        It bends no tighter than so many of the tightest curves.
    """
    smooth = _smooth_enough(line, gentler * rig.pass_radius_m, rig)
    moved_m = float(shapely.hausdorff_distance(LineString(smooth.points), line))
    return Guide(line=smooth, first_m=-rig.width_m / 2, moved_m=moved_m)


def continued(guide: Guide, rest: Polygon, rig: Rig) -> Guide | None:
    """A new guide for ground beyond the last pass along another, from where its parallels bend too tight.

    It is that parallel made gentler, so that many passes may follow: the first of them lie at a slant to the last
    ones before. ``None`` if the ground lies to both sides, or where no such parallel comes near it.
    """
    line = guide.line.lengthened(_reach_m(rest))
    places = shapely.get_coordinates(rest)
    left_m = left_of(line, places)
    if left_m.min() < 0 < left_m.max():
        return None
    edge = LineString(line.parallel(float(left_m.min() if left_m.min() >= 0 else left_m.max())))
    beside = shapely.intersection(edge, shapely.buffer(shapely.envelope(rest), rig.width_m))
    parts = [part for part in shapely.get_parts(beside) if isinstance(part, LineString) and part.length]
    if not parts:
        return None
    smooth = _smooth_enough(max(parts, key=lambda part: part.length), GENTLER * rig.pass_radius_m, rig)
    beyond_m = left_of(smooth.lengthened(_reach_m(rest)), places)
    first_m = float(beyond_m.min() if left_m.min() >= 0 else beyond_m.max())
    return Guide(line=smooth, first_m=first_m)


def _smooth_enough(line: LineString, radius_m: float, rig: Rig) -> SmoothLine:
    """A line, thinned until no arc at its bends is tighter than a radius."""
    away_m = THINNED_W * rig.width_m
    while True:
        points = shapely.get_coordinates(line.simplify(away_m))
        tangent_m = rounding_m(points, ROUNDED_W * rig.width_m, radius_m)
        if len(points) == 2 or radii_m(points, tangent_m).min() >= radius_m * (1 - 1e-9):
            return smoothed(points, tangent_m)
        away_m *= 1.5


def _reach_m(ground: Polygon) -> float:
    """How far a line through ground may have to be lengthened to cross it."""
    return 2 * float(np.hypot(*np.ptp(shapely.get_coordinates(ground), axis=0)))


def _between_corners(points: Array, rig: Rig) -> list[Array]:
    """The outline's points, (n, 2) without the closing one, from each corner to the next; none without a corner."""
    n = len(points)
    thrice = np.concatenate([points[-2:], points, points[:2]])
    radius_m = radii_m(thrice, rounding_m(thrice, ROUNDED_W * rig.width_m))[2 : n + 2]
    corners: IntArray = np.flatnonzero(radius_m < rig.pass_radius_m)
    if not len(corners):
        return []
    around = np.concatenate([points, points, points[:1]])
    return [
        around[start : end + 1]
        for start, end in zip(corners, [*corners[1:], corners[0] + n], strict=True)
        if end - start > 1
    ]


def _is_curved(side: Array, rig: Rig) -> bool:
    """Whether a side lies off the straight line between its ends."""
    chord = side[-1] - side[0]
    across_m = ((side - side[0]) @ np.array([-chord[1], chord[0]])) / max(float(np.hypot(*chord)), 1e-9)
    return bool(np.ptp(across_m) > MIN_CURVED_W * rig.width_m)


def _beside_all(side: Array, full: Array, rig: Rig) -> Guide:
    """A side as a guide: strips begin as far to its right as the outline's points along it lie."""
    tangent_m = rounding_m(side, ROUNDED_W * rig.width_m)
    smooth = smoothed(side, tangent_m)
    near = full[
        shapely.dwithin(shapely.points(full), LineString(side), THINNED_W * rig.width_m + SAGITTA_M)
    ]
    right_m = float(-left_of(smooth, near).min(initial=0.0)) + SAGITTA_M
    return Guide(line=smooth, first_m=-right_m)


def left_of(smooth: SmoothLine, places: Array) -> Array:
    """How far to the left of a line places, (n, 2), lie, (n,); negative to its right."""
    points = numbers(smooth.points)
    # the same but for rounding; at a bend, that decides on which side of it a place is taken to lie
    along_m = np.append(0.0, np.abs(np.diff(points.view(np.complex128)[:, 0])).cumsum())
    station_m = np.append(0.0, np.hypot(*np.diff(points, axis=0).T).cumsum())
    first, none = np.array([0, len(points)]), np.zeros(len(places), dtype=np.int64)
    near_m = nearest_stations(points, along_m, first, numbers(places), none)
    return to_left_m(points, numbers(smooth.left), station_m, numbers(places), near_m)
