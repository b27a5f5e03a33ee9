"""How passes rise and fall: over chords, since the noise of single cells would look like steep ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiLineString, MultiPolygon

from fieldplan.model.coverage import Array, BoolArray, IntArray, Lines
from fieldplan.model.relief import GradeLimit, RowGrades
from fieldplan.terrain.heights import Heights

CHORD_M = 30.0
_STEP_M = 5.0
_POOL_M = 0.05
"""A pass that ends this much higher than its lowest place keeps water there."""


@dataclass(frozen=True, slots=True)
class Chords:
    """Chords along lines: the line of each, (n,), its ends, (n, 2, 2), its length, its grade and the slope across it, rise over run, and the
    limit of its grade.
    """

    line: IntArray
    ends: Array
    length_m: Array
    grade_frac: Array
    across_frac: Array
    limit_frac: Array

    @property
    def over(self) -> BoolArray:
        """Which are steeper than their limit, (n,); what is not known is not."""
        with np.errstate(invalid="ignore"):
            return np.asarray(np.abs(self.grade_frac) > self.limit_frac + 1e-9)


def chords_along(
    lines: Lines, heights: Heights, limit: GradeLimit, outlets: MultiPolygon | None = None
) -> Chords:
    """Chords of `CHORD_M` along lines, (n,): each line in as many equal parts as come nearest to that.

    Parameters
    ----------
    outlets
        Waterways and other places where water leaves the field without harm.
    """
    length_m = shapely.length(lines)
    n_parts = np.maximum(1, np.rint(length_m / CHORD_M)).astype(np.int64)
    line = np.repeat(np.arange(len(lines)), n_parts)
    nth = np.arange(len(line)) - np.repeat(n_parts.cumsum() - n_parts, n_parts)
    share = np.stack([nth, nth + 0.5, nth + 1], axis=1) / n_parts[line][:, None]
    station_m = share * length_m[line][:, None]
    points = shapely.get_coordinates(
        shapely.line_interpolate_point(np.repeat(lines[line], 3), station_m.ravel())
    ).reshape(-1, 3, 2)
    z = heights.at(points.reshape(-1, 2)).reshape(-1, 3)
    part_m = length_m[line] / n_parts[line]
    gradient = heights.gradient_at(points[:, 1])
    along = points[:, 2] - points[:, 0]
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    across = np.abs(gradient[:, 0] * -along[:, 1] + gradient[:, 1] * along[:, 0])
    away_m = np.full(len(line), np.inf)
    if outlets is not None and not outlets.is_empty:
        away_m = np.asarray(shapely.distance(shapely.points(points[:, 1]), outlets))
    slope = np.hypot(*gradient.T)
    limit_frac = np.where(np.isfinite(slope), limit.at(np.nan_to_num(slope), away_m), np.inf)
    return Chords(
        line, points[:, [0, 2]], part_m, (z[:, 2] - z[:, 0]) / np.maximum(part_m, 1e-9), across, limit_frac
    )


def row_grades(
    lines: Lines,
    heights: Heights,
    limit: GradeLimit,
    outlets: MultiPolygon | None = None,
    numbers: Sequence[int] | None = None,
) -> RowGrades | None:
    """How passes, (n,), rise and fall; ``None`` where no height is known.

    Parameters
    ----------
    numbers
        Of the passes; from 1 if not given.
    """
    if not len(lines):
        return None
    chords = chords_along(lines, heights, limit, outlets)
    known = np.isfinite(chords.grade_frac)
    if not known.any():
        return None
    pools = _pools(lines, heights, outlets, limit.outlet_m)
    return RowGrades(
        chord_m=CHORD_M,
        steepest_frac=float(np.abs(chords.grade_frac[known]).max()),
        length_m=float(chords.length_m[known].sum()),
        over_m=float(chords.length_m[known & chords.over].sum()),
        steepest_across_frac=float(np.nan_to_num(chords.across_frac).max()),
        pools=len(pools),
        pool_passes=tuple(k + 1 if numbers is None else numbers[k] for k in pools),
        over_limit=MultiLineString(list(chords.ends[known & chords.over])),
    )


def _pools(lines: Lines, heights: Heights, outlets: MultiPolygon | None, near_m: float) -> list[int]:
    """Which lines have their lowest place between their ends, away from an outlet."""
    found = []
    for k, line in enumerate(lines):
        points = shapely.get_coordinates(shapely.segmentize(line, _STEP_M))
        z = heights.at(points)
        if len(z) < 3 or not np.isfinite(z).all():
            continue
        lowest = int(z.argmin())
        kept = min(z[0], z[-1]) - z[lowest] > _POOL_M
        if kept and (
            outlets is None
            or outlets.is_empty
            or shapely.distance(shapely.Point(points[lowest]), outlets) > near_m
        ):
            found.append(k)
    return found
