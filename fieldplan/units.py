"""Units at the edges: text with a unit in, SI out; SI in, users' units out.

Inside fieldplan every number is SI. This module is the one place that knows what an acre is.

Sources: the international foot, acre and pound are exact by definition (85 FR 62698, NIST and NOAA, 2020;
NIST SP 811 appendix B). The US bushel is 2150.42 cubic inches (NIST Handbook 133 appendix E).
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from typing import Literal

from fieldplan.errors import QuantityError

INCH_M = 0.0254
FOOT_M = 0.3048
MILE_M = 1609.344
ACRE_M2 = 4046.8564224
HECTARE_M2 = 10_000.0
SQUARE_FOOT_M2 = FOOT_M**2
POUND_KG = 0.45359237
BUSHEL_M3 = 2150.42 * INCH_M**3
CUBIC_FOOT_M3 = FOOT_M**3
GALLON_M3 = 231 * INCH_M**3
HOUR_S = 3600.0
MINUTE_S = 60.0
MPH_M_PER_S = MILE_M / HOUR_S
KMH_M_PER_S = 1000.0 / HOUR_S
HORSEPOWER_W = 550 * FOOT_M * POUND_KG * 9.80665

Kind = Literal[
    "length", "area", "speed", "time", "mass", "volume", "power", "angle", "share", "density", "volume rate",
    "mass rate", "count rate",
]  # fmt: skip

_LENGTH = {"m": 1.0, "cm": 0.01, "mm": 0.001, "km": 1000.0, "in": INCH_M, "ft": FOOT_M, "yd": 3 * FOOT_M,
           "mi": MILE_M}  # fmt: skip
_AREA = {"m2": 1.0, "ha": HECTARE_M2, "ac": ACRE_M2, "ft2": SQUARE_FOOT_M2}
_MASS = {"kg": 1.0, "g": 0.001, "t": 1000.0, "lb": POUND_KG, "oz": POUND_KG / 16}
_VOLUME = {"m3": 1.0, "l": 0.001, "ft3": CUBIC_FOOT_M3, "bu": BUSHEL_M3, "gal": GALLON_M3}


def _ratio(above: dict[str, float], below: dict[str, float]) -> dict[str, float]:
    return {f"{a}/{b}": x / y for a, x in above.items() for b, y in below.items()}


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
    "count rate": {f"seeds/{b}": 1 / y for b, y in _AREA.items()},
}

EXAMPLES: dict[Kind, str] = {
    "length": '"10 ft"', "area": '"100 ft2"', "speed": '"4.5 mph"', "time": '"15 min"', "mass": '"50 lb"',
    "volume": '"8 ft3"', "power": '"75 hp"', "angle": '"30 deg"', "share": '"90 %"', "density": '"8 lb/bu"',
    "volume rate": '"0.2 bu/ac"', "mass rate": '"12 lb/ac"', "count rate": '"20 seeds/ft2"',
}  # fmt: skip

_NUMBER = r"[+-]?(?:\d+(?:,\d{3})+|\d+)?(?:\.\d+)?(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>[^\d\s.].*?)?\s*")
_FEET_AND_INCHES = re.compile(r"\s*(?P<feet>\d+)\s*(?:'|ft)\s*(?P<inches>\d+(?:\.\d+)?)\s*(?:\"|''|in)\s*")
_WORDS = {
    "feet": "ft", "foot": "ft", "inches": "in", "inch": "in", "metres": "m", "meters": "m", "metre": "m", "meter": "m",
    "acres": "ac", "acre": "ac", "hectares": "ha", "minutes": "min", "minute": "min", "hours": "h", "hour": "h",
    "hr": "h", "hrs": "h", "seconds": "s", "second": "s", "sec": "s", "pounds": "lb", "pound": "lb", "lbs": "lb",
    "bushels": "bu", "bushel": "bu", "percent": "%", "degrees": "deg", "degree": "deg", "miles": "mi", "mile": "mi",
    "kph": "km/h", "litres": "l", "liters": "l", "liter": "l", "litre": "l", "gallons": "gal",
    "sqft": "ft2", "cuft": "ft3", "seed": "seeds",
}  # fmt: skip


def parse_quantity(text: object, kind: Kind) -> float:
    """SI value of a quantity written as text with its unit.

    Parameters
    ----------
    text
        For example ``"10 ft"``, ``"7.5 in"``, ``"11'3\\""``, ``"4.5 mph"``, ``"55 %"``.
    kind
        What is measured; shares come back as a fraction, angles as degrees.

    Returns
    -------
    float
        In m, m², m/s, s, kg, m³, W, degrees, fraction, kg/m³, m³/m², kg/m² or 1/m².

    Raises
    ------
    QuantityError
        If it is no text, has no number, no unit or a unit of another kind, or is not finite.

    Examples
    --------
    >>> parse_quantity("10 ft", "length")
    3.048
    """
    example = EXAMPLES[kind]
    if not isinstance(text, str):
        raise QuantityError.of("quantity-needs-unit", f"is {text!r}, without a unit", f"write it as {example}")
    if kind == "length" and (match := _FEET_AND_INCHES.fullmatch(text)):
        return float(match["feet"]) * FOOT_M + float(match["inches"]) * INCH_M
    match = _QUANTITY.fullmatch(text)
    if not match or not any(c.isdigit() for c in match["number"]):
        raise QuantityError.of("quantity-unreadable", f'"{text}" is no {kind}', f"write it as {example}")
    number = float(match["number"].replace(",", ""))
    if not match["unit"]:
        raise QuantityError.of("quantity-needs-unit", f'"{text}" has no unit', f"write it as {example}")
    factor = FACTORS[kind].get(_tidy_unit(match["unit"]))
    if factor is None:
        known = ", ".join(sorted(FACTORS[kind], key=len)[:8])
        raise QuantityError.of(
            "quantity-unknown-unit",
            f'"{match["unit"]}" is no unit of {kind} (known: {known})',
            f"write it as {example}",
        )
    value = number * factor
    if not math.isfinite(value):
        raise QuantityError.of("quantity-unreadable", f'"{text}" is too large a number', f"write it as {example}")
    return value


def _tidy_unit(unit: str) -> str:
    """The unit as the factor tables spell it: lower case, no spaces, plain digits, short words."""
    plain = unit.lower().replace("²", "2").replace("³", "3").replace("^", "").replace(" per ", "/")
    plain = re.sub(r"\bsq\.?\s*(\w+)", r"\g<1>2", plain)
    plain = re.sub(r"\bcu\.?\s*(\w+)", r"\g<1>3", plain)
    parts = (part.strip() for part in plain.split("/"))
    return "/".join(_WORDS.get(part, part) for part in parts)


def shown_place(lonlat: tuple[float, float]) -> str:
    """A place as people read it: latitude, longitude, to about a metre."""
    return f"{lonlat[1]:.5f}, {lonlat[0]:.5f}"


def shown_heading(heading_deg: float, digits: int = 0) -> str:
    """Degrees of a heading that is driven either way: from 0 to under 180, also as rounded."""
    return f"{round(heading_deg, digits) % 180:.{digits}f}"


def shown_distance(distance_m: float) -> str:
    """A distance in metres and feet, or kilometres and miles."""
    if distance_m >= 10_000:
        return f"{distance_m / 1000:,.0f} km ({distance_m / MILE_M:,.0f} mi)"
    digits = 2 if distance_m < 1 else 1 if distance_m < 100 else 0
    return f"{distance_m:,.{digits}f} m ({distance_m / FOOT_M:,.{digits}f} ft)"


def shown_acres(area_m2: float) -> str:
    """An area in acres, as fine as needed to see it."""
    acres = area_m2 / ACRE_M2
    return f"{acres:,.2f} ac" if acres >= 0.1 else f"{acres:.4f} ac"


def shown_money(amount: Decimal | float, currency: str) -> str:
    """An amount with its currency as it was written: a sign before, a code after."""
    shown = f"{abs(amount):,.2f}"
    minus = "−" if amount < 0 else ""
    return f"{minus}{shown} {currency}" if currency.isalpha() else f"{minus}{currency}{shown}"
