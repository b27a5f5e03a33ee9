"""What to catch so that a drill sows the wanted rate, and what a catch says about it.

Ground of a row = row spacing × distance (Virginia Cooperative Extension 418-121); a catch over that ground
is the rate.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from fieldplan.errors import InputError
from fieldplan.model.machine import ChartPoint

_ROUNDING = 1e-12


def catch_kg(rate_kg_per_m2: float, row_spacing_m: float, distance_m: float, rows: int = 1) -> float:
    """What so many rows let fall over a distance at a rate.

    Examples
    --------
    25 lb/ac at 7.5 in over 160 ft, 100 square feet of a row, is 26.03 g.
    """
    return rate_kg_per_m2 * row_spacing_m * distance_m * rows


def caught_rate_kg_per_m2(kg: float, row_spacing_m: float, distance_m: float, rows: int = 1) -> float:
    """The rate that a catch from so many rows over a distance stands for."""
    return kg / (row_spacing_m * distance_m * rows)


def ground_of_turns_m(turns: float, circumference_m: float, slip_frac: float = 0.0) -> float:
    """The way that the drill makes in the field while its drive wheel turns so often.

    Slip = 1 − turns counted in the field / turns expected from the jacked-up wheel. A wheel that slips
    turns less often on the same way, so as many turns stand for more ground, and a drill set on jacked-up
    turns alone would sow (1 − slip) of its rate.
    """
    return turns * circumference_m / (1 - slip_frac)


def slip_of(counted: float, expected: float) -> float:
    """Slip of a drive wheel: 1 − turns counted in the field / turns expected from its circumference."""
    return 1 - counted / expected


def charted(points: Sequence[ChartPoint], seed: str, gear_range: str | None) -> list[ChartPoint]:
    """The lines of a rate chart for a seed in a gear range, by setting.

    Raises
    ------
    InputError
        If the chart has fewer than two, or several ranges and none was named.
    """
    own = [point for point in points if point.seed.casefold() == seed.casefold()]
    ranges = sorted({one.gear_range for one in own})
    named = tuple(f'"{range_}"' for range_ in ranges)
    if not own:
        known = tuple(sorted({point.seed for point in points})) or ("nothing",)
        raise InputError.of("chart-seed", seed=seed, known=known)
    if gear_range is None and len(ranges) > 1:
        raise InputError.of("chart-range", seed=seed, ranges=named)
    lines = sorted(
        (one for one in own if gear_range is None or one.gear_range.casefold() == gear_range.casefold()),
        key=lambda one: one.setting,
    )
    if len(lines) < 2:
        raise InputError.of("chart-thin", seed=seed, gear_range=gear_range or "", ranges=named)
    return lines


def charted_rate_kg_per_m2(lines: Sequence[ChartPoint], setting: float) -> float:
    """What the chart says a setting sows, straight between its lines; outside them it says nothing."""
    settings = [line.setting for line in lines]
    if not _within(setting, settings):
        raise InputError.of("chart-outside/setting")
    return float(np.interp(setting, settings, [line.bulk_kg_per_m2 for line in lines]))


def charted_setting(lines: Sequence[ChartPoint], rate_kg_per_m2: float) -> float:
    """The setting at which the chart says a rate is sown."""
    rates = [line.bulk_kg_per_m2 for line in lines]
    if any(after <= before for before, after in pairwise(rates)):
        raise InputError.of("chart-order")
    if not _within(rate_kg_per_m2, rates):
        raise InputError.of("chart-outside/rate")
    return float(np.interp(rate_kg_per_m2, rates, [line.setting for line in lines]))


def next_setting(
    setting: float, wanted_kg_per_m2: float, real_kg_per_m2: float, lines: Sequence[ChartPoint] = ()
) -> float:
    """The setting to try after a catch: along the chart, taken to be wrong by the same share all over, or
    else in proportion.
    """
    if not lines:
        return setting * wanted_kg_per_m2 / real_kg_per_m2
    wrong = real_kg_per_m2 / charted_rate_kg_per_m2(lines, setting)
    return charted_setting(lines, wanted_kg_per_m2 / wrong)


def _within(value: float, known: Sequence[float]) -> bool:
    return min(known) - _ROUNDING <= value <= max(known) + _ROUNDING
