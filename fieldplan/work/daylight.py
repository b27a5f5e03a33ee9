"""Sunrise and sunset by date and place.

The equations of the NOAA solar calculator, after J. Meeus, Astronomical Algorithms (2nd edition, 1998): the
sun's apparent longitude and the equation of time, the sun's upper edge on a level horizon with 34' of
refraction, −0.833°. Refraction varies with the weather: a minute either way is as good as it gets.
"""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache

from fieldplan.units import HOUR_S

_HORIZON_DEG = -0.833
_EPOCH = datetime(2000, 1, 1, 12, tzinfo=UTC)
_ROUNDS = 4


def sun_times(on: date, lat_deg: float, lon_deg: float) -> tuple[datetime, datetime] | None:
    """Sunrise and sunset of the local day whose noon falls on a date, in UTC; ``None`` where the sun does
    not rise or not set.
    """
    noon = datetime(on.year, on.month, on.day, 12, tzinfo=UTC) - timedelta(hours=lon_deg / 15)
    found = []
    for side in (-1, 1):
        at = noon
        for _ in range(_ROUNDS):
            declination, equation_min = _sun(at)
            hour_angle = _hour_angle_deg(lat_deg, declination)
            if hour_angle is None:
                return None
            at = noon - timedelta(minutes=equation_min) + timedelta(minutes=side * 4 * hour_angle)
        found.append(at)
    return found[0], found[1]


@lru_cache(maxsize=4096)
def daylight_s(on: date, lat_deg: float, lon_deg: float) -> float:
    """Seconds from sunrise to sunset; none in a polar night, a whole day under a midnight sun."""
    times = sun_times(on, lat_deg, lon_deg)
    if times is not None:
        return (times[1] - times[0]).total_seconds()
    declination, _ = _sun(datetime(on.year, on.month, on.day, 12, tzinfo=UTC))
    return 24 * HOUR_S if lat_deg * declination > 0 else 0.0


def _hour_angle_deg(lat_deg: float, declination_deg: float) -> float | None:
    lat, declination = math.radians(lat_deg), math.radians(declination_deg)
    cosine = math.sin(math.radians(_HORIZON_DEG)) / (math.cos(lat) * math.cos(declination)) - math.tan(
        lat
    ) * math.tan(declination)
    return math.degrees(math.acos(cosine)) if -1 <= cosine <= 1 else None


def _sun(at: datetime) -> tuple[float, float]:
    """Declination in degrees and equation of time in minutes."""
    t = (at - _EPOCH).total_seconds() / 86_400 / 36_525
    mean_longitude = math.radians((280.46646 + t * (36_000.76983 + t * 0.0003032)) % 360)
    anomaly = math.radians(357.52911 + t * (35_999.05029 - 0.0001537 * t))
    eccentricity = 0.016708634 - t * (0.000042037 + 0.0000001267 * t)
    centre = (
        math.sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t))
        + math.sin(2 * anomaly) * (0.019993 - 0.000101 * t)
        + math.sin(3 * anomaly) * 0.000289
    )
    node = math.radians(125.04 - 1934.136 * t)
    longitude = math.radians(math.degrees(mean_longitude) + centre - 0.00569 - 0.00478 * math.sin(node))
    obliquity = 23 + (26 + (21.448 - t * (46.815 + t * (0.00059 - t * 0.001813))) / 60) / 60
    tilt = math.radians(obliquity + 0.00256 * math.cos(node))
    declination = math.degrees(math.asin(math.sin(tilt) * math.sin(longitude)))
    y = math.tan(tilt / 2) ** 2
    equation = (
        y * math.sin(2 * mean_longitude)
        - 2 * eccentricity * math.sin(anomaly)
        + 4 * eccentricity * y * math.sin(anomaly) * math.cos(2 * mean_longitude)
        - y * y / 2 * math.sin(4 * mean_longitude)
        - 1.25 * eccentricity**2 * math.sin(2 * anomaly)
    )
    return declination, 4 * math.degrees(equation)
