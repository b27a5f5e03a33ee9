"""Evaporation from temperatures alone, by Hargreaves.

ET0 = 0.0023 (Tmean + 17.8) √(Tx − Tn) · 0.408 Ra, in mm a day, with Tmean = (Tx + Tn) / 2 and the radiation
Ra above the air in MJ/m² a day: FAO Irrigation and Drainage Paper 56 (Allen et al., 1998), equations 21 to
25 and 52.
"""

from __future__ import annotations

import math

import numpy as np

from fieldplan.model.weather import Array

_SOLAR_MJ_PER_M2_MIN = 0.0820
_MM_PER_MJ = 0.408
"""Depth of water that a megajoule evaporates from a square meter."""


def radiation_mj_per_m2(day_of_year: Array, lat_deg: float) -> Array:
    """Radiation above the air, in MJ/m² a day, for days of the year (1 to 366): shape as given.

    Examples
    --------
    FAO-56 prints 32.2 for 20° south on 3 September.

    >>> float(radiation_mj_per_m2(np.array([246.0]), -20.0).round(1)[0])
    32.2
    """
    lat = math.radians(lat_deg)
    angle = 2 * np.pi * day_of_year / 365
    distance = 1 + 0.033 * np.cos(angle)
    declination = 0.409 * np.sin(angle - 1.39)
    # beyond the polar circles the sun does not set, or does not rise: half a turn, or none
    sunset = np.arccos(np.clip(-math.tan(lat) * np.tan(declination), -1, 1))
    height = sunset * math.sin(lat) * np.sin(declination) + math.cos(lat) * np.cos(declination) * np.sin(
        sunset
    )
    return np.asarray(24 * 60 / np.pi * _SOLAR_MJ_PER_M2_MIN * distance * height)


def hargreaves_mm(tmax_c: Array, tmin_c: Array, day_of_year: Array, lat_deg: float) -> Array:
    """Evaporation of each day in mm, never below 0; NaN where a temperature is missing."""
    mean_c = (tmax_c + tmin_c) / 2
    radiation = radiation_mj_per_m2(day_of_year, lat_deg)
    et0 = 0.0023 * (mean_c + 17.8) * np.sqrt(np.maximum(tmax_c - tmin_c, 0)) * _MM_PER_MJ * radiation
    return np.asarray(np.maximum(et0, 0.0))
