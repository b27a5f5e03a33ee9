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


def _middle(piece: Polygon) -> shapely.Point:
    center = piece.centroid
    return center if piece.contains(center) else piece.representative_point()
