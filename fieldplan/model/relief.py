"""What heights say of a field: how steep it is, its surface, and how passes rise and fall."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from shapely import MultiLineString, MultiPolygon

from fieldplan.model.checks import require_between
from fieldplan.model.coverage import Array

SLOPE_CLASSES_FRAC = (0.08, 0.15, 0.25)
"""Ground steeper than each of these is told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """How steep a field is.

    Parameters
    ----------
    file
        Name of the file of heights.
    cell_m
        Distance between the heights that slope is worked out from.
    known_frac
        Share of the field with a slope; the other figures are of that ground.
    median_frac, p90_frac
        Slope, rise over run: the median over the ground, and what nine tenths of it do not exceed.
    over_frac
        Share of the ground that is steeper than each of `SLOPE_CLASSES_FRAC`.
    surface_frac
        By how much the surface of the ground is larger than its plan: the mean of √(1 + s²), less 1.
    fall_deg
        True bearing in which the ground falls on the whole, in [0, 360).
    """

    file: str
    cell_m: float
    known_frac: float
    median_frac: float
    p90_frac: float
    over_frac: tuple[float, ...]
    surface_frac: float
    fall_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeLimit:
    """How far rows across the slope may rise or fall.

    Parameters
    ----------
    most_frac, of_slope_frac
        The lesser of a grade and a share of the slope of the ground.
    outlet_frac, outlet_m
        The grade allowed within a distance of an outlet.
    least_slope_frac
        On flatter ground no limit applies.
    """

    most_frac: float
    of_slope_frac: float
    outlet_frac: float
    outlet_m: float
    least_slope_frac: float

    def __post_init__(self) -> None:
        """Check ranges."""
        for name, value in (
            ("row_grade", self.most_frac),
            ("row_grade_of_slope", self.of_slope_frac),
            ("outlet_grade", self.outlet_frac),
            ("contour_from", self.least_slope_frac),
        ):
            require_between(name, value, 0, 1, "_typed_frac", example='"2 %"')
        require_between("outlet_within", self.outlet_m, 0, 1000, "_m", example='"150 ft"')

    def at(self, slope_frac: Array, outlet_away_m: Array) -> Array:
        """The limit where the ground has a slope, (n,), so far from an outlet, (n,); infinite on flat ground."""
        limit = np.minimum(self.most_frac, self.of_slope_frac * slope_frac)
        limit = np.where(outlet_away_m <= self.outlet_m, np.maximum(limit, self.outlet_frac), limit)
        return np.where(slope_frac < self.least_slope_frac, np.inf, limit)


@dataclass(frozen=True, slots=True, kw_only=True)
class RowGrades:
    """How passes rise and fall along their way, and across it, over chords of a length.

    Parameters
    ----------
    chord_m
        Length of the chords.
    steepest_frac
        The steepest chord along a pass, rise over run.
    length_m, over_m
        Length of all passes on ground of known height, and of what of it is steeper than the limit there.
    steepest_across_frac
        The steepest slope across a pass: the drill leans as much.
    pools
        How many passes have their lowest place inside the field, away from a waterway.
    pool_passes
        The numbers of these passes.
    over_limit
        The chords that are steeper than the limit, in the plane of the field.
    """

    chord_m: float
    steepest_frac: float
    length_m: float
    over_m: float
    steepest_across_frac: float
    pools: int = 0
    pool_passes: tuple[int, ...] = ()
    over_limit: MultiLineString = field(default_factory=MultiLineString)


@dataclass(frozen=True, slots=True, kw_only=True)
class StraightAcross:
    """Straight passes that all keep to the limit of grade, and what they cost in time.

    Parameters
    ----------
    heading_deg
        Their true heading, in [0, 180).
    field_s
        Time in the field with them.
    quickest_s
        With the quickest pattern, whatever its grade.
    contour_s
        With passes along the contour; ``None`` where those are straight across too.
    """

    heading_deg: float
    field_s: float
    quickest_s: float
    contour_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hills:
    """How steep a field is; and how its passes rise and fall, ``None`` without any on ground of known height.

    ``steep`` is the ground steeper than each of `SLOPE_CLASSES_FRAC`, in the plane of the field. ``straight`` is
    ``None`` where no straight passes keep to the limit, or the field is not driven.
    """

    relief: Relief
    grades: RowGrades | None
    steep: tuple[MultiPolygon, ...] = ()
    straight: StraightAcross | None = None
