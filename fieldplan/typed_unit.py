"""Units as people spell them: which one is meant, also where it is misspelled."""

from __future__ import annotations

import difflib
import re

from fieldplan.typed_number import NUMBER_WORDS, plain_signs
from fieldplan.units import FACTORS, Kind

USUAL: dict[Kind, tuple[str, ...]] = {
    "length": ("ft", "in", "yd", "mi", "m", "cm", "mm", "km"),
    "area": ("ac", "ft2", "ha", "m2"),
    "speed": ("mph", "km/h", "m/s"),
    "time": ("h", "min", "s"),
    "mass": ("lb", "oz", "kg", "g", "t"),
    "volume": ("ft3", "bu", "gal", "l", "m3", "yd3", "in3"),
    "power": ("hp", "kW"),
    "angle": ("deg",),
    "share": ("%",),
    "density": ("lb/bu", "lb/ft3", "kg/hl", "kg/m3", "g/l"),
    "volume rate": ("bu/ac", "ft3/ac", "gal/ac", "l/ha"),
    "mass rate": ("lb/ac", "oz/ac", "kg/ha", "g/m2"),
    "count rate": ("seeds/ft2", "seeds/m2", "seeds/ac", "seeds/ha"),
}
"""Units that a message lists after one that is unknown; the usual first."""
_USUAL_RATES = (
    "lb/bu",
    "kg/hl",
    "g/l",
    "lb/ac",
    "kg/ha",
    "bu/ac",
    "l/ha",
    "gal/ac",
    "oz/ac",
    "km/h",
    "m/s",
)
_NO_UNIT = re.compile(rf"^(?:(?:{'|'.join(NUMBER_WORDS)}|about|approx)\b\s*)+")
_WORDS = {
    "feet": "ft",
    "foot": "ft",
    "inches": "in",
    "inch": "in",
    "metres": "m",
    "meters": "m",
    "metre": "m",
    "meter": "m",
    "acres": "ac",
    "acre": "ac",
    "hectares": "ha",
    "hectare": "ha",
    "minutes": "min",
    "minute": "min",
    "mins": "min",
    "hours": "h",
    "hour": "h",
    "hr": "h",
    "hrs": "h",
    "seconds": "s",
    "second": "s",
    "sec": "s",
    "secs": "s",
    "pounds": "lb",
    "pound": "lb",
    "lbs": "lb",
    "ounces": "oz",
    "ounce": "oz",
    "bushels": "bu",
    "bushel": "bu",
    "percent": "%",
    "per cent": "%",
    "pct": "%",
    "degrees": "deg",
    "degree": "deg",
    "miles": "mi",
    "mile": "mi",
    "yards": "yd",
    "yard": "yd",
    "kph": "km/h",
    "kmh": "km/h",
    "km/hr": "km/h",
    "mi/h": "mph",
    "miles an hour": "mph",
    "litres": "l",
    "liters": "l",
    "liter": "l",
    "litre": "l",
    "gallons": "gal",
    "gallon": "gal",
    "sqft": "ft2",
    "cuft": "ft3",
    "seed": "seeds",
    "horsepower": "hp",
    "kilograms": "kg",
    "kilogram": "kg",
    "grams": "g",
    "gram": "g",
    "centimeters": "cm",
    "centimetres": "cm",
    "millimeters": "mm",
    "millimetres": "mm",
    "#": "lb",
    "lb/a": "lb/ac",
    "bu/a": "bu/ac",
    '"': "in",
    "''": "in",
    "'": "ft",
}


def unit_meant(given: object, kind: Kind) -> str:
    """Return the unit of a kind that a text names or misspells, as fieldplan writes it; or empty.

    Examples
    --------
    >>> unit_meant("10 feets", "length"), unit_meant("12 pounds", "mass rate"), unit_meant("10 mph", "length")
    ('ft', 'lb/ac', '')
    """
    if not isinstance(given, str):
        return ""
    words = re.sub(
        r"[^a-z%°/\"\' ]", "", re.sub(r"(?<=[a-z])([23])", r"\1", plain_signs(given).lower())
    ).strip()
    spelled = tidy_unit(_NO_UNIT.sub("", words) or words)
    if spelled in FACTORS[kind]:
        return spelled
    if powered := next((f"{spelled}{power}" for power in "23" if f"{spelled}{power}" in FACTORS[kind]), ""):
        return powered
    # a unit of another kind may be the upper half of the rate that was meant: "12 lb" for 12 lb/ac
    if any(spelled in factors for factors in FACTORS.values()):
        return next(
            (unit for unit in _USUAL_RATES if unit in FACTORS[kind] and unit.startswith(f"{spelled}/")), ""
        )
    if "/" in spelled:
        return next(
            (unit for unit in FACTORS[kind] if unit.count("/") == 1 and _halves_alike(spelled, unit)), ""
        )
    known = {unit: unit for unit in FACTORS[kind]}
    known |= {word: unit for word, unit in _WORDS.items() if unit in FACTORS[kind]}
    near = difflib.get_close_matches(spelled, known, n=1, cutoff=0.65)
    return known[near[0]] if near else ""


def _halves_alike(spelled: str, unit: str) -> bool:
    """Whether each half of a rate is that of the unit or close to it: "bags/ac" is not close to "g/ac"."""
    if spelled.count("/") != 1:
        return False
    given, wanted = (text.split("/") for text in (spelled, unit))
    return all(_spelled_alike(half.strip(), right) for half, right in zip(given, wanted, strict=True))


def _spelled_alike(text: str, unit: str) -> bool:
    if text == unit:
        return True
    spellings = {unit, *(word for word, meaning in _WORDS.items() if meaning == unit)}
    return len(text) > 1 and bool(difflib.get_close_matches(text, spellings, n=1, cutoff=0.75))


def tidy_unit(unit: str) -> str:
    """Return a unit as the factor tables spell it: lower case, no spaces, plain digits, short words."""
    plain = unit.strip().lower().replace("²", "2").replace("³", "3").replace("^", "").replace(" per ", "/")
    plain = _WORDS.get(plain, plain)
    plain = re.sub(r"(?<=[a-z])\.", "", plain)
    plain = re.sub(r"\b(?:square|sq)\s*(\w+)", lambda found: f"{_WORDS.get(found[1], found[1])}2", plain)
    plain = re.sub(r"\b(?:cubic|cu)\s*(\w+)", lambda found: f"{_WORDS.get(found[1], found[1])}3", plain)
    parts = (part.strip() for part in plain.split("/"))
    plain = "/".join(_WORDS.get(part, part) for part in parts)
    return _WORDS.get(plain, plain)
