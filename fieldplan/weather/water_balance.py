"""Excess water of the plough layer day by day, and whether it can be worked.

The workability bucket of the WOFOST and CGMS crop models (after Wind 1972, van Wijk & Feddes 1975), described
in its public code: rain fills it; evaporation empties it, at full rate while the top is wet and else as fast
as dry soil lets it; what is in excess drains.
"""

from __future__ import annotations

import numpy as np

from fieldplan.model.weather import Array, Bools, Drainage
from fieldplan.tables import read as tables

TOLERANCE_CM = 1e-9
"""Excess water lands on the limit exactly on some soils."""


def excess_water_cm(rain_cm: Array, evaporation_cm: Array, drainage: Drainage, start_cm: float) -> Array:
    """Excess water after each day, in cm; negative where the layer is drier than its limit of drainage.

    Parameters
    ----------
    rain_cm, evaporation_cm
        Of each day, shape (n,). Where rain is missing the layer counts as wet as at the start of a run.
    start_cm
        Excess before the first day.
    """
    deficits, most = _drying()
    floor, wet = tables.weather_figure("driest excess water", "cm"), tables.weather_figure("wet top", "cm")
    refill = tables.weather_figure("excess water at the start", "cm")
    excess = np.empty(len(rain_cm))
    now = start_cm
    # one step depends on the one before: plain floats are quicker here than arrays
    for k, (rain, potential) in enumerate(zip(rain_cm.tolist(), evaporation_cm.tolist(), strict=True)):
        if rain != rain:
            now = excess[k] = max(now, refill)
            continue
        lost = potential if now >= wet else min(potential, _between(-now, deficits, most) + rain)
        now = max(floor, now + rain - lost)
        if now > 0:
            now -= min(drainage.a_per_day * now + drainage.b_cm_per_day, now)
        excess[k] = now
    return excess


def workable(excess_cm: Array, drainage: Drainage) -> Bools:
    """Whether the layer can be worked on each day, shape (n,)."""
    return excess_cm <= drainage.limit_cm + TOLERANCE_CM


def _drying() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Deficits in cm, rising, and the most that bare soil with each loses in a day, in cm."""
    rows = tables.rows("soil_evaporation")
    return (
        tuple(float(row["deficit_cm"]) for row in rows),
        tuple(float(row["most_cm_per_day"]) for row in rows),
    )


def _between(x: float, xs: tuple[float, ...], ys: tuple[float, ...]) -> float:
    """Linear interpolation; the end values beyond the ends."""
    if x <= xs[0]:
        return ys[0]
    for k in range(1, len(xs)):
        if x <= xs[k]:
            return ys[k - 1] + (ys[k] - ys[k - 1]) * (x - xs[k - 1]) / (xs[k] - xs[k - 1])
    return ys[-1]
