"""Sunrise and sunset by date and place.

The equations of the NOAA solar calculator, after J. Meeus, Astronomical Algorithms (2nd edition, 1998):
apparent longitude of the sun and equation of time. At sunrise and sunset the sun's upper edge is on a level
horizon with 34' of refraction, its center at −0.833°. Refraction varies with the weather, so times are good
to about a minute.
"""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache

from fieldplan.units import HOUR_S

_HORIZON_DEG = -0.833
_EPOCH = datetime(2000, 1, 1, 12, tzinfo=UTC)
_ITERATIONS = 4
"""The sun moves between noon and sunrise: each iteration takes its position at the last estimate."""


def sun_times(on: date, lat_deg: float, lon_deg: float) -> tuple[datetime, datetime] | None:
    """Sunrise and sunset, in UTC, of the local day whose solar noon falls on a date.

    Parameters
    ----------
    lat_deg, lon_deg
        Latitude, north positive, and longitude, east positive.

    Returns
    -------
    tuple of datetime or None
        ``None`` where the sun does not rise or does not set on that day.

    Examples
    --------
    >>> rise, set_ = sun_times(date(2026, 3, 20), 42.0, -93.6)
    >>> 12.0 < (set_ - rise).total_seconds() / 3600 < 12.3
    True
    """
    noon = datetime(on.year, on.month, on.day, 12, tzinfo=UTC) - timedelta(hours=lon_deg / 15)
    rise_and_set = []
    for side in (-1, 1):
        at = noon
        for _ in range(_ITERATIONS):
            declination, equation_min = _sun(at)
            hour_angle = _hour_angle_deg(lat_deg, declination)
            if hour_angle is None:
                return None
            # the earth turns by one degree in four minutes
            at = noon - timedelta(minutes=equation_min) + timedelta(minutes=side * 4 * hour_angle)
        rise_and_set.append(at)
    return rise_and_set[0], rise_and_set[1]


@lru_cache(maxsize=4096)
def daylight_s(on: date, lat_deg: float, lon_deg: float) -> float:
    """Seconds from sunrise to sunset; 0 in polar night, 24 hours under the midnight sun.

    Parameters
    ----------
    lat_deg, lon_deg
        Latitude, north positive, and longitude, east positive.
    """
    times = sun_times(on, lat_deg, lon_deg)
    if times is not None:
        return (times[1] - times[0]).total_seconds()
    declination, _ = _sun(datetime(on.year, on.month, on.day, 12, tzinfo=UTC))
    return 24 * HOUR_S if lat_deg * declination > 0 else 0.0


def _hour_angle_deg(lat_deg: float, declination_deg: float) -> float | None:
    """Hour angle of sunrise and sunset, in degrees from noon; ``None`` where there is neither.

    cos H = (sin h − sin φ sin δ) / (cos φ cos δ), with h the height of the sun's center on the horizon.
    """
    lat, declination = math.radians(lat_deg), math.radians(declination_deg)
    cosine = math.sin(math.radians(_HORIZON_DEG)) / (math.cos(lat) * math.cos(declination)) - math.tan(
        lat
    ) * math.tan(declination)
    return math.degrees(math.acos(cosine)) if -1 <= cosine <= 1 else None


def _sun(at: datetime) -> tuple[float, float]:
    """Declination in degrees and equation of time in minutes, by the low-precision series of Meeus."""
    t = (at - _EPOCH).total_seconds() / 86_400 / 36_525
    mean_longitude = math.radians((280.46646 + t * (36_000.76983 + t * 0.0003032)) % 360)
    anomaly = math.radians(357.52911 + t * (35_999.05029 - 0.0001537 * t))
    eccentricity = 0.016708634 - t * (0.000042037 + 0.0000001267 * t)
    equation_of_center = (
        math.sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t))
        + math.sin(2 * anomaly) * (0.019993 - 0.000101 * t)
        + math.sin(3 * anomaly) * 0.000289
    )
    node = math.radians(125.04 - 1934.136 * t)
    longitude = math.radians(
        math.degrees(mean_longitude) + equation_of_center - 0.00569 - 0.00478 * math.sin(node)
    )
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
