"""Outlines without their jags: straight stretches in place of what leaves them by less than a tolerance.

The stretches are those of D. H. Douglas and T. K. Peucker, Algorithms for the reduction of the number of points
required to represent a digitized line or its caricature, Cartographica 10, 1973. Each is then moved inward until
it leads outside the outline by no more than it may, and corners are where neighbors meet.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely import LinearRing, MultiPolygon, Polygon

from fieldplan.model.coverage import Array, IntArray

_PARALLEL_SIN = 0.17
"""Stretches whose angle has a smaller sine (ten degrees) are not brought to where they cross, which may be far away."""
_FITTED = 6
"""Chains of so many points have the direction in which they run as a whole, others that from end to end."""
_RISER_DEG = 45.0
"""Edges between a bend to one side and one to the other, both sharper than this, are steps."""
_MIN_RISERS, _MIN_RISERS_FRAC = 8, 0.2
"""An outline is drawn in steps if so many of its edges, and this share of them, are steps."""


def straightened(ground: MultiPolygon, tolerance_m: float, outside_m: float) -> MultiPolygon | None:
    """Ground with every ring straightened; ``None`` if that would split, join or lose any of it.

    Parameters
    ----------
    tolerance_m
        How far the outline may leave a straight stretch.
    outside_m
        How far a stretch may lead outside the outline.

    Examples
    --------
    >>> notched = Polygon([(0, 0), (50, 0), (50, 1), (51, 1), (51, 0), (100, 0), (100, 60), (0, 60)])
    >>> [round(m, 1) for m in straightened(MultiPolygon([notched]), 1.5, 0.0).bounds]
    [0.0, 1.0, 100.0, 60.0]
    """
    parts = []
    for part in shapely.orient_polygons(ground, exterior_cw=False).geoms:
        rings = [_ring(shapely.get_coordinates(ring), tolerance_m, outside_m) for ring in _rings_of(part)]
        if any(len(ring) < 3 for ring in rings):
            return None
        parts.append(Polygon(rings[0], rings[1:]))
    found = MultiPolygon(parts)
    return found if bool(shapely.is_valid(found)) else None


class Steps(NamedTuple):
    """How many steps an outline is drawn in, and how high most of them are at most; none of a traced one."""

    n: int = 0
    high_m: float = 0.0


def steps_of(ground: MultiPolygon, most_m: float) -> Steps:
    """The steps of an outline that was made of pixels, none higher than a length.

    Examples
    --------
    >>> stairs = [(x + dx, x) for x in range(20) for dx in (0, 1)]
    >>> steps_of(MultiPolygon([Polygon([*stairs, (0, 20)])]), 3.0).high_m
    1.0
    """
    lengths_m, n_edges = [np.zeros(0)], 0
    for ring in (ring for part in ground.geoms for ring in _rings_of(part)):
        step = np.diff(shapely.get_coordinates(ring), axis=0)
        after = np.roll(step, -1, axis=0)
        bend_deg = np.degrees(np.arctan2(_cross(step, after), (step * after).sum(axis=1)))
        before_deg = np.roll(bend_deg, 1)
        length_m = np.hypot(*step.T)
        both = np.minimum(np.abs(bend_deg), np.abs(before_deg)) > _RISER_DEG
        riser = both & (bend_deg * before_deg < 0) & (length_m <= most_m)
        lengths_m.append(length_m[riser])
        n_edges += len(step)
    found = np.concatenate(lengths_m)
    if len(found) < max(_MIN_RISERS, _MIN_RISERS_FRAC * n_edges):
        return Steps()
    return Steps(len(found), float(np.quantile(found, 0.9)))


def apart_m(one: MultiPolygon, other: MultiPolygon) -> float:
    """How far the edges of two grounds are apart where they are farthest: Hausdorff distance of their vertices from
    the other's edges.
    """
    edges = [shapely.boundary(one), shapely.boundary(other)]
    each = [
        shapely.distance(shapely.points(shapely.get_coordinates(edges[i])), edges[1 - i]).max()
        for i in range(2)
    ]
    return float(max(each))


def _rings_of(part: Polygon) -> list[LinearRing]:
    return [part.exterior, *part.interiors]


def _ring(points: Array, tolerance_m: float, outside_m: float) -> Array:
    """The corners of a closed ring, (n + 1, 2), with the ground on its left, once it is straightened: (m, 2)."""
    points = _begun_at_corner(points[:-1])
    ring = LinearRing(np.vstack([points, points[:1]]))
    corners = shapely.get_coordinates(shapely.simplify(ring, tolerance_m))[:-1]
    if len(corners) < 3:
        return points
    at = _where(points, corners)
    # even so the first point may be straightened away
    closed = np.roll(points, -at[0], axis=0)
    closed = np.vstack([closed, closed[:1]])
    return _met(corners, *_stretches(closed, np.append((at - at[0]) % len(points), len(points)), outside_m))


def _begun_at_corner(points: Array) -> Array:
    """The ring from one of its outermost points on: the first point of a line is never straightened away."""
    middle = points.mean(axis=0)
    return np.roll(points, -int(np.hypot(*(points - middle).T).argmax()), axis=0)


def _where(points: Array, some: Array) -> IntArray:
    """Which points, no two of them at one place, some of them are."""
    place, wanted = (np.ascontiguousarray(each).view(np.complex128)[:, 0] for each in (points, some))
    order = place.argsort(kind="stable")
    return np.asarray(order[place[order].searchsorted(wanted)])


def _stretches(closed: Array, at: IntArray, outside_m: float) -> tuple[Array, Array]:
    """A point and the direction, (m, 2) each, of the straight stretches in place of the chains of points, of a closed
    ring, (n + 1, 2), between corners, (m + 1,).

    Each has as much of the ground on one side of it as on the other, but is moved inward until it leads outside by no
    more than it may.
    """
    since, chain = at[:-1], np.arange(len(at) - 1).repeat(np.diff(at))
    center, length_m = (closed[1:] + closed[:-1]) / 2, np.hypot(*np.diff(closed, axis=0).T)
    weighed = np.column_stack([length_m[:, None] * center, length_m])
    sums = np.add.reduceat(weighed, since)
    middle = sums[:, :2] / sums[:, 2:]
    # the direction in which a long chain is longest: the first principal component
    x, y = (center - middle[chain]).T
    xx, xy, yy = np.add.reduceat(length_m * np.array([x * x, x * y, y * y]), since, axis=1)
    turned = np.arctan2(2 * xy, xx - yy) / 2
    axis = np.column_stack([np.cos(turned), np.sin(turned)])
    along = np.diff(closed[at], axis=0)
    axis *= np.sign((axis * along).sum(axis=1))[:, None]
    along = np.where((np.diff(at) + 1 >= _FITTED)[:, None], axis, along)
    along = along / np.hypot(*along.T)[:, None]
    left = np.column_stack([-along[:, 1], along[:, 0]])
    off_m = ((closed[:-1] - middle[chain]) * left[chain]).sum(axis=1)
    last_m = ((closed[at[1:]] - middle) * left).sum(axis=1)
    inward_m = np.maximum(0.0, np.maximum(np.maximum.reduceat(off_m, since), last_m) - outside_m)
    return middle + inward_m[:, None] * left, along


def _met(corners: Array, on: Array, along: Array) -> Array:
    """Where each stretch, by a point on it and its direction, meets the one before, (n, 2)."""
    before_on, before_along = np.roll(on, 1, axis=0), np.roll(along, 1, axis=0)
    sine = _cross(before_along, along)
    parallel = np.abs(sine) < _PARALLEL_SIN
    # on a stretch lies what is nowhere beside it: (p − on) × along = 0, with p = before_on + t·before_along
    ahead_m = _cross(on - before_on, along) / np.where(parallel, 1.0, sine)
    met = before_on + before_along * ahead_m[:, None]
    # of the places beside the corner on either stretch, the one farther inside
    own, other = (
        at + ((corners - at) * way).sum(axis=1)[:, None] * way
        for at, way in ((on, along), (before_on, before_along))
    )
    inward = np.column_stack([-(along + before_along)[:, 1], (along + before_along)[:, 0]])
    deeper = ((own - other) * inward).sum(axis=1) > 0
    return np.where(parallel[:, None], np.where(deeper[:, None], own, other), met)


def _cross(one: Array, other: Array) -> Array:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
