"""Curves at a fixed distance from a line: true parallels, as long as they have a radius.

A line is rounded at its bends, so that it is made of straight stretches and arcs. A parallel of such a line is one too:
at a distance d to the left, an arc of curvature K has the curvature K/(1 − d·K), and none where d reaches 1/K: there
the parallel has a cusp, which trimmed offsets hide.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.model.coverage import Array
from fieldplan.plane.ragged import members

STEP_DEG, SAGITTA_M = 2.0, 0.01
"""Arcs are drawn in steps of no more than this, that leave them by no more than this on the line itself."""
_STRAIGHT_RAD = 1e-9


@dataclass(frozen=True, slots=True)
class SmoothLine:
    """A line of straight stretches and arcs.

    Parameters
    ----------
    points
        (n, 2) plane meters.
    left
        (n, 2) unit vectors to the left of the line.
    curvature_per_m
        (n,) left positive; 0 on straight stretches.
    """

    points: Array
    left: Array
    curvature_per_m: Array

    def parallel(self, left_m: float) -> Array:
        """The points of the curve so far to the left, (n, 2)."""
        return np.asarray(self.points + left_m * self.left)

    def radius_m(self, left_m: float | Array) -> Array:
        """The radius of that curve at each point, (n,): infinite where it is straight, 0 or less from a cusp on.

        For distances (k, 1) those of each curve, (k, n).
        """
        bends = np.abs(self.curvature_per_m)
        with np.errstate(divide="ignore"):
            radius_m = 1 / bends
        return np.asarray(np.where(bends > 0, radius_m - left_m * np.sign(self.curvature_per_m), np.inf))

    def lengthened(self, by_m: float) -> SmoothLine:
        """The line going straight on at both ends."""
        ahead = np.stack([self.left[:, 1], -self.left[:, 0]], axis=1)
        first, last = self.points[0] - by_m * ahead[0], self.points[-1] + by_m * ahead[-1]
        return SmoothLine(
            np.concatenate([[first], self.points, [last]]),
            np.concatenate([self.left[:1], self.left, self.left[-1:]]),
            np.concatenate([[0.0], self.curvature_per_m, [0.0]]),
        )


def bends_rad(points: Array) -> Array:
    """How far a line turns at each of its points, (n,), left positive; 0 at its ends."""
    step = np.diff(points, axis=0)
    (x, y), (next_x, next_y) = step[:-1].T, step[1:].T
    turns = np.arctan2(x * next_y - y * next_x, x * next_x + y * next_y)
    return np.concatenate([[0.0], turns, [0.0]])


def rounding_m(points: Array, away_m: float, least_radius_m: float = 0.0) -> Array:
    """How far before and after each point of a line its arc begins, (n,).

    An arc touches both sides of its bend no farther than their middles, so that neighbors do not meet, and leaves the
    bend by no more than t·tan(|θ|/4); t is R·tan(|θ|/2) for the radius R.

    Parameters
    ----------
    points
        (n, 2) of the line, n >= 2.
    away_m
        How far arcs may leave the line,
    least_radius_m
        or farther where they need to for this radius.
    """
    length_m = np.hypot(*np.diff(points, axis=0).T)
    half_m = np.minimum(np.append(np.inf, length_m), np.append(length_m, np.inf)) / 2
    turn = np.abs(bends_rad(points))
    bend = turn > _STRAIGHT_RAD
    quarter, half = np.tan(turn[bend] / 4), np.tan(np.minimum(turn[bend] / 2, 1.55))
    tangent_m = np.zeros(len(points))
    tangent_m[bend] = np.minimum(half_m[bend], np.maximum(away_m / quarter, least_radius_m * half))
    return tangent_m


def radii_m(points: Array, tangent_m: Array) -> Array:
    """The radius of the arc at each point of a line, (n,); infinite where it goes straight on."""
    turn = np.abs(bends_rad(points))
    bend = turn > _STRAIGHT_RAD
    radius_m = np.full(len(points), np.inf)
    radius_m[bend] = tangent_m[bend] / np.tan(np.minimum(turn[bend] / 2, 1.55))
    return radius_m


def leaves_m(points: Array, tangent_m: Array) -> Array:
    """How far the arc at each point of a line leaves it, (n,): to the left where the line turns left."""
    turn = bends_rad(points)
    return np.asarray(tangent_m * np.tan(turn / 4))


def smoothed(points: Array, tangent_m: Array) -> SmoothLine:
    """A line with an arc at each bend.

    Parameters
    ----------
    points
        (n, 2) of the line, none twice in a row.
    tangent_m
        (n,) as from `rounding_m`.

    Examples
    --------
    >>> corner = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]])
    >>> line = smoothed(corner, rounding_m(corner, away_m=9.0))
    >>> round(float(line.radius_m(0.0).min()), 6), round(float(line.radius_m(4.0).min()), 6)
    (5.0, 1.0)
    """
    ahead = np.diff(points, axis=0)
    ahead /= np.hypot(*ahead.T)[:, None]
    turn, radius_m = bends_rad(points), radii_m(points, tangent_m)
    arc = (tangent_m > 0) & np.isfinite(radius_m)
    # steps no longer than the sagitta allows: s²/8R
    step_rad = np.minimum(
        np.radians(STEP_DEG), np.sqrt(8 * SAGITTA_M / np.maximum(radius_m[arc], SAGITTA_M))
    )
    n_steps = np.zeros(len(points), dtype=np.int64)
    n_steps[arc] = np.maximum(2, np.ceil(np.abs(turn[arc]) / step_rad)).astype(np.int64)
    of, nth = members(n_steps + 1)
    before = ahead[np.maximum(of - 1, 0)]
    turned = np.where(n_steps[of] > 0, turn[of] * nth / np.maximum(n_steps[of], 1), 0.0)
    left = np.stack([-before[:, 1], before[:, 0]], axis=1)
    side = np.sign(turn[of])
    radius = np.where(arc, radius_m, 0.0)[of]
    start = points[of] - before * tangent_m[of, None]
    ahead_m, left_m = radius * np.sin(np.abs(turned)), radius * (1 - np.cos(turned)) * side
    drawn = np.where(arc[of, None], start + before * ahead_m[:, None] + left * left_m[:, None], points[of])
    cos, sin = np.cos(turned), np.sin(turned)
    normal = np.stack([left[:, 0] * cos - left[:, 1] * sin, left[:, 0] * sin + left[:, 1] * cos], axis=1)
    curvature = np.where(arc[of], side / np.maximum(radius, 1e-9), 0.0)
    # arcs that meet half way share that point
    same = np.append(False, np.hypot(*np.diff(drawn, axis=0).T) < 1e-9)
    return SmoothLine(drawn[~same], normal[~same], curvature[~same])
