"""Passes across the slope: guides of equal height, followed as long as their parallels keep to the limit of grade."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.guide import GENTLER, Guide, drawn_guide
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, Lines
from fieldplan.model.relief import GradeLimit
from fieldplan.terrain.contours import contour_through
from fieldplan.terrain.grade import chords_along
from fieldplan.terrain.heights import Heights

MAX_OVER_FRAC = 0.1
"""Parallels are laid as long as no more of a pass than this is steeper than the limit."""
MIN_GUIDE_W = 4.0
"""A line of equal height that is shorter than this on a piece, in drill widths, is none to follow."""


@dataclass(frozen=True)
class Contours:
    """What decides how far passes keep across the slope.

    Parameters
    ----------
    heights
        In the plane of the field.
    limit
        Of the grade along passes.
    outlets
        Waterways and other places where water leaves the field without harm.
    """

    heights: Heights
    limit: GradeLimit
    outlets: MultiPolygon = field(default_factory=MultiPolygon)

    def keeps(self, lines: Lines) -> BoolArray:
        """Which lines, (n,), keep to the limit but for `MAX_OVER_FRAC` of their length; unknown ground does not count."""
        chords = chords_along(lines, self.heights, self.limit, self.outlets)
        over_m = np.bincount(chords.line, chords.length_m * chords.over, minlength=len(lines))
        return np.asarray(over_m <= MAX_OVER_FRAC * shapely.length(lines))

    def over_m(self, lines: Lines) -> float:
        """How much of lines is steeper than the limit."""
        chords = chords_along(lines, self.heights, self.limit, self.outlets)
        return float(chords.length_m[chords.over].sum())

    def guide(self, piece: Polygon, rig: Rig) -> Guide | None:
        """The line of the height of the middle of a piece, gentle enough for many parallels; ``None`` if it is short."""
        line = contour_through(self.heights, _middle(piece), piece.convex_hull)
        if line is None or line.length < MIN_GUIDE_W * rig.width_m:
            return None
        return drawn_guide(line, rig, GENTLER)

    def across(self, ground: MultiPolygon) -> Array | None:
        """The heading straight across the slope on the whole, as a unit vector; ``None`` on level or unknown ground."""
        x, y = np.meshgrid(self.heights.x_m, self.heights.y_m)
        gradient = self.heights.gradient[:, shapely.contains_xy(ground, x, y)]
        east, north = gradient[:, np.isfinite(gradient).all(axis=0)].sum(axis=1)
        rise = math.hypot(east, north)
        return None if rise < 1e-9 else np.array([-north, east]) / rise

    def straight(self, ground: MultiPolygon, rig: Rig) -> Array | None:
        """The heading of straight passes that all keep to the limit with the fewest passes, as a unit vector.

        Tried are that straight across the slope and those along long edges of the ground. How far they may leave the
        contour follows from the limit: on a plane of slope s a pass at the angle θ rises by s·sin θ, so that half the
        slope allows 30°. ``None`` where none keeps to it, or no slope is known.
        """
        across = self.across(ground)
        if across is None:
            return None
        found: list[tuple[int, int, Array]] = []
        for nth, along in enumerate([across, *_edge_headings(ground, MIN_GUIDE_W * rig.width_m)]):
            lines = _parallels(ground, along, rig.width_m)
            if len(lines) and self.keeps(lines).all():
                found.append((len(lines), nth, along))
        return min(found, key=lambda one: one[:2])[2] if found else None


MAX_HEADINGS = 6
"""Edges whose heading is tried, the longest."""


def _edge_headings(ground: MultiPolygon, least_m: float) -> list[Array]:
    """The headings of the longest edges, as unit vectors."""
    steps = [
        np.diff(shapely.get_coordinates(ring.simplify(1.0)), axis=0)
        for part in ground.geoms
        for ring in (part.exterior, *part.interiors)
    ]
    every = np.concatenate(steps)
    length_m = np.hypot(*every.T)
    longest = np.argsort(-length_m, kind="stable")[:MAX_HEADINGS]
    return [every[i] / length_m[i] for i in longest.tolist() if length_m[i] >= least_m]


def _parallels(ground: MultiPolygon, along: Array, width_m: float) -> Lines:
    """The middle lines of straight passes over ground, (n,): as far as each lies on it, a line for each stretch."""
    left = np.array([-along[1], along[0]])
    corners = shapely.get_coordinates(ground)
    low, high = (corners @ left).min(), (corners @ left).max()
    since, until = (corners @ along).min(), (corners @ along).max()
    offset_m = np.arange(low + width_m / 2, high, width_m)[:, None]
    ends = np.stack([offset_m * left + since * along, offset_m * left + until * along], axis=1)
    pieces = shapely.get_parts(shapely.intersection(shapely.linestrings(ends), ground))
    return np.asarray(pieces[shapely.length(pieces) > width_m])


def _middle(piece: Polygon) -> shapely.Point:
    center = piece.centroid
    return center if piece.contains(center) else piece.representative_point()
