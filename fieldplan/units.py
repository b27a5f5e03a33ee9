"""Units and what one of each is in SI. Inside fieldplan every number is in SI; this module alone knows what an acre is.

Sources: the international foot, acre and pound are exact by definition (85 FR 62698, NIST and NOAA, 2020;
NIST SP 811 appendix B). The US bushel is 2150.42 cubic inches (NIST Handbook 133 appendix E).
"""

from __future__ import annotations

from typing import Literal

INCH_M = 0.0254
FOOT_M = 0.3048
HEIGHT_UNITS_M = {"m": 1.0, "ft": FOOT_M, "us-ft": 1200 / 3937}
"""Units of heights, in meters; the last is the US survey foot."""
MILE_M = 1609.344
ACRE_M2 = 4046.8564224
HECTARE_M2 = 10_000.0
SQUARE_FOOT_M2 = FOOT_M**2
POUND_KG = 0.45359237
OUNCE_KG = POUND_KG / 16
BUSHEL_M3 = 2150.42 * INCH_M**3
CUBIC_FOOT_M3 = FOOT_M**3
GALLON_M3 = 231 * INCH_M**3
HOUR_S = 3600.0
MINUTE_S = 60.0
MPH_M_PER_S = MILE_M / HOUR_S
KMH_M_PER_S = 1000.0 / HOUR_S
HORSEPOWER_W = 550 * FOOT_M * POUND_KG * 9.80665

Kind = Literal[
    "length",
    "area",
    "speed",
    "time",
    "mass",
    "volume",
    "power",
    "angle",
    "share",
    "density",
    "volume rate",
    "mass rate",
    "count rate",
]

_LENGTH = {
    "m": 1.0,
    "cm": 0.01,
    "mm": 0.001,
    "km": 1000.0,
    "in": INCH_M,
    "ft": FOOT_M,
    "yd": 3 * FOOT_M,
    "mi": MILE_M,
}
_AREA = {"m2": 1.0, "ha": HECTARE_M2, "ac": ACRE_M2, "ft2": SQUARE_FOOT_M2}
_MASS = {"kg": 1.0, "g": 0.001, "t": 1000.0, "lb": POUND_KG, "oz": OUNCE_KG}
_VOLUME = {
    "m3": 1.0,
    "l": 0.001,
    "ft3": CUBIC_FOOT_M3,
    "bu": BUSHEL_M3,
    "gal": GALLON_M3,
    "yd3": (3 * FOOT_M) ** 3,
    "in3": INCH_M**3,
}


def _ratio(above: dict[str, float], below: dict[str, float]) -> dict[str, float]:
    return {f"{upper}/{lower}": x / y for upper, x in above.items() for lower, y in below.items()}


FACTORS: dict[Kind, dict[str, float]] = {
    "length": _LENGTH,
    "area": _AREA,
    "speed": {"m/s": 1.0, "km/h": KMH_M_PER_S, "mph": MPH_M_PER_S},
    "time": {"s": 1.0, "min": MINUTE_S, "h": HOUR_S},
    "mass": _MASS,
    "volume": _VOLUME,
    "power": {"w": 1.0, "kw": 1000.0, "hp": HORSEPOWER_W},
    "angle": {"deg": 1.0, "°": 1.0},
    "share": {"%": 0.01},
    "density": _ratio(_MASS, _VOLUME) | {"kg/hl": 10.0},
    "volume rate": _ratio(_VOLUME, _AREA),
    "mass rate": _ratio(_MASS, _AREA),
    "count rate": {f"seeds/{unit}": 1 / area_m2 for unit, area_m2 in _AREA.items()},
}
"""What one of each unit is in SI, by kind of quantity."""
