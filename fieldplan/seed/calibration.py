"""Calibration of a drill: the catch that means the right rate, and the rate that a catch means.

Ground of one row = row spacing × distance; rate = catch / ground (Virginia Cooperative Extension 418-121,
source key vce-418-121).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from fieldplan.errors import InputError
from fieldplan.model.machine import ChartPoint

_ROUNDING = 1e-12


def catch_kg(rate_kg_per_m2: float, row_spacing_m: float, distance_m: float, rows: int = 1) -> float:
    """The weight that rows drop over a distance at a rate: rate × row spacing × distance × rows.

    Parameters
    ----------
    rate_kg_per_m2
        Rate of all that the box holds, seed and carrier.
    rows
        Rows whose seed is caught together.

    Examples
    --------
    Eight rows 0.19 m apart, over 50 m, at 20 kg/ha:

    >>> round(catch_kg(0.002, 0.19, 50.0, rows=8), 3)
    0.152
    """
    return rate_kg_per_m2 * row_spacing_m * distance_m * rows


def caught_rate_kg_per_m2(kg: float, row_spacing_m: float, distance_m: float, rows: int = 1) -> float:
    """The rate that a catch means, in kg/m²: catch / (row spacing × distance × rows).

    Examples
    --------
    >>> round(caught_rate_kg_per_m2(0.152, 0.19, 50.0, rows=8), 6)
    0.002
    """
    return kg / (row_spacing_m * distance_m * rows)


def ground_of_turns_m(turns: float, circumference_m: float, slip_frac: float = 0.0) -> float:
    """Distance in the field for a number of drive wheel turns: turns × circumference / (1 − slip).

    A wheel that slips turns less often over the same distance, so the same turns mean more ground. A drill
    set on a jacked-up wheel, without slip, would sow only (1 − slip) of its rate.

    Parameters
    ----------
    slip_frac
        Slip of the drive wheel, from 0 to below 1, as `slip_of` gives it.

    Examples
    --------
    >>> round(ground_of_turns_m(20, 2.3, slip_frac=0.08), 2)
    50.0
    """
    return turns * circumference_m / (1 - slip_frac)


def slip_of(counted: float, expected: float) -> float:
    """Slip of a drive wheel: 1 − counted / expected turns.

    Parameters
    ----------
    counted
        Turns counted in the field over a measured distance.
    expected
        Turns over that distance without slip: distance / circumference.

    Examples
    --------
    >>> round(slip_of(46, 50), 2)
    0.08
    """
    return 1 - counted / expected


def charted(points: Sequence[ChartPoint], seed: str, gear_range: str | None) -> list[ChartPoint]:
    """The lines of a rate chart for one seed in one gear range, sorted by setting.

    Parameters
    ----------
    gear_range
        The range to use; ``None`` if the chart has only one for this seed.

    Raises
    ------
    InputError
        If the chart has no line for the seed, several gear ranges and none was named, or fewer than two
        lines in the range.
    """
    seed_points = [point for point in points if point.seed.casefold() == seed.casefold()]
    ranges = sorted({point.gear_range for point in seed_points})
    quoted_ranges = tuple(f'"{gear}"' for gear in ranges)
    if not seed_points:
        known = tuple(sorted({point.seed for point in points})) or ("nothing",)
        raise InputError.of("chart-seed", seed=seed, known=known)
    if gear_range is None and len(ranges) > 1:
        raise InputError.of("chart-range", seed=seed, ranges=quoted_ranges)
    in_range = [
        point
        for point in seed_points
        if gear_range is None or point.gear_range.casefold() == gear_range.casefold()
    ]
    lines = sorted(in_range, key=lambda point: point.setting)
    if len(lines) < 2:
        raise InputError.of("chart-thin", seed=seed, gear_range=gear_range or "", ranges=quoted_ranges)
    return lines


def charted_rate_kg_per_m2(lines: Sequence[ChartPoint], setting: float) -> float:
    """The rate that a chart gives for a setting, in kg/m², linear between its lines.

    Parameters
    ----------
    lines
        At least two lines of one seed and gear range, by setting, as `charted` gives them.

    Raises
    ------
    InputError
        If the setting lies outside the chart.
    """
    settings = [line.setting for line in lines]
    if not _within(setting, settings):
        raise InputError.of("chart-outside/setting")
    return float(np.interp(setting, settings, [line.bulk_kg_per_m2 for line in lines]))


def charted_setting(lines: Sequence[ChartPoint], rate_kg_per_m2: float) -> float:
    """The setting at which a chart says a rate is sown, linear between its lines.

    Parameters
    ----------
    lines
        At least two lines of one seed and gear range, by setting, as `charted` gives them.

    Raises
    ------
    InputError
        If the rates do not rise with the settings, or the rate lies outside the chart.
    """
    rates = [line.bulk_kg_per_m2 for line in lines]
    if any(after <= before for before, after in pairwise(rates)):
        raise InputError.of("chart-order")
    if not _within(rate_kg_per_m2, rates):
        raise InputError.of("chart-outside/rate")
    return float(np.interp(rate_kg_per_m2, rates, [line.setting for line in lines]))


def next_setting(
    setting: float, wanted_kg_per_m2: float, real_kg_per_m2: float, lines: Sequence[ChartPoint] = ()
) -> float:
    """The setting to try after a catch.

    With a chart: the setting for wanted × charted / real, as if the chart were off by the same share all
    along. Without one: setting × wanted / real.

    Parameters
    ----------
    real_kg_per_m2
        The rate that the catch means at ``setting``.
    lines
        Lines of the rate chart, as `charted` gives them; none to go in proportion.

    Raises
    ------
    InputError
        If the chart does not reach the setting or the corrected rate, or its rates do not rise.

    Examples
    --------
    >>> next_setting(40, wanted_kg_per_m2=0.002, real_kg_per_m2=0.0025)
    32.0
    """
    if not lines:
        return setting * wanted_kg_per_m2 / real_kg_per_m2
    chart_error = real_kg_per_m2 / charted_rate_kg_per_m2(lines, setting)
    return charted_setting(lines, wanted_kg_per_m2 / chart_error)


def _within(value: float, known: Sequence[float]) -> bool:
    return min(known) - _ROUNDING <= value <= max(known) + _ROUNDING
