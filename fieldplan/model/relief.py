"""What heights say of a field: how steep it is, its surface, and how passes rise and fall."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import MultiPolygon

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
    """

    chord_m: float
    steepest_frac: float
    length_m: float
    over_m: float
    steepest_across_frac: float
    pools: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hills:
    """How steep a field is; and how its passes rise and fall, ``None`` without any on ground of known height.

    ``steep`` is the ground steeper than each of `SLOPE_CLASSES_FRAC`, in the plane of the field.
    """

    relief: Relief
    grades: RowGrades | None
    steep: tuple[MultiPolygon, ...] = ()
