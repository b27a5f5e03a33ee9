"""Quantities as people write them, read into SI.

Inside fieldplan every number is in SI. This module alone knows what an acre is.

Sources: the international foot, acre and pound are exact by definition (85 FR 62698, NIST and NOAA, 2020;
NIST SP 811 appendix B). The US bushel is 2150.42 cubic inches (NIST Handbook 133 appendix E).
"""

from __future__ import annotations

import difflib
import json
import math
import re
from datetime import date, time
from typing import Literal

from fieldplan.errors import QuantityError
from fieldplan.facts import Fact

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

EXAMPLES: dict[Kind, str] = {
    "length": '"10 ft"',
    "area": '"100 ft2"',
    "speed": '"4.5 mph"',
    "time": '"15 min"',
    "mass": '"50 lb"',
    "volume": '"8 ft3"',
    "power": '"75 hp"',
    "angle": '"30 deg"',
    "share": '"90 %"',
    "density": '"8 lb/bu"',
    "volume rate": '"0.2 bu/ac"',
    "mass rate": '"12 lb/ac"',
    "count rate": '"20 seeds/ft2"',
}
"""A quantity of each kind as a job file has it."""

_PLAIN = r"(?:\d{1,3}(?:,\d{3})+(?!\d)|\d+)?(?:\.\d+)?(?:[eE][+-]?\d+)?"
_FRACTION = r"(?:\d{1,6}(?:\s+|\s?-\s?))?\d{1,3}\s?/\s?\d{1,3}(?![\d.])"
_QUANTITY = re.compile(rf"(?P<number>{_FRACTION}|[+-]?{_PLAIN})\s*(?P<unit>[^\d\s.,:+-].*)?")
_FEET_AND_INCHES = re.compile(
    r"(?P<feet>\d+)\s*(?:'|ft|feet|foot)\.?\s*(?P<inches>\d+(?:\.\d+)?)\s*(?:\"|''|in|inches|inch)"
)
_HOURS_AND_MINUTES = re.compile(
    r"(?P<hours>\d+)\s*(?:h|hr|hrs|hours?)\s*(?P<minutes>\d+)\s*(?:m|min|mins|minutes?)?", re.IGNORECASE
)
_DECIMAL_COMMA = re.compile(
    r"([+-]?(?:0(?=,)|\d+(?=,(?:\d{1,2}|\d{4,})(?!\d))|\d{4,}(?=,))),(\d+)\s*([^\d\s.,].*)?"
)
_NUMBERS = re.compile(
    rf"(?<![\w.]){_FRACTION}|[+-]?(?:\d{{1,3}}(?:[, ]\d{{3}})+(?!\d)|\d+)?(?:\.\d+)?(?<=[\d])(?:[eE][+-]?\d+)?"
)
_VULGAR = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
_SIGNS = str.maketrans(
    {"’": "'", "‘": "'", "′": "'", "”": '"', "“": '"', "″": '"', "\u00a0": " ", "\u202f": " ", "−": "-"}
)
_KIND_WORDS: dict[Kind, str] = {
    "length": "kind/length",
    "area": "kind/area",
    "speed": "kind/speed",
    "time": "kind/time",
    "mass": "kind/mass",
    "volume": "kind/volume",
    "power": "kind/power",
    "angle": "kind/angle",
    "share": "kind/share",
    "density": "kind/density",
    "volume rate": "kind/volume-rate",
    "mass rate": "kind/mass-rate",
    "count rate": "kind/count-rate",
}
_USUAL: dict[Kind, tuple[str, ...]] = {
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
_NUMBER_WORDS = """
    zero one two three four five six seven eight nine ten
    eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty
"""
_COUNTED = tuple(_NUMBER_WORDS.split())
"""Number words; the place of each is its value."""
_OTHER_NUMBER_WORD = re.compile(
    r"(?:thir|for|fif|six|seven|eigh|nine)ty\b|\b(?:hundred|thousand|dozen|half|quarter)\b"
)
_NO_UNIT = re.compile(rf"^(?:(?:{'|'.join(_COUNTED)}|about|approx)\b\s*)+")
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


def parse_quantity(text: object, kind: Kind) -> float:
    """Return the SI value of a quantity written as text with its unit.

    Parameters
    ----------
    text
        For example ``"10 ft"``, ``"7.5 in"``, ``"7 1/2 in"``, ``"11'3\\""``, ``"1 h 30 min"``,
        ``"4.5 mph"``, ``"55 %"``. A comma separates thousands; a decimal comma is refused.
    kind
        What is measured.

    Returns
    -------
    float
        In m, m², m/s, s, kg, m³, W, degrees, fraction, kg/m³, m³/m², kg/m² or 1/m².

    Raises
    ------
    QuantityError
        If it is not text, has no number, no unit or a unit of another kind, or is not finite.

    Examples
    --------
    >>> parse_quantity("10 ft", "length")
    3.048
    >>> parse_quantity("7 1/2 in", "length")
    0.1905
    >>> parse_quantity("55 %", "share")
    0.55
    """
    if not isinstance(text, str | int | float) or isinstance(text, bool):
        raise QuantityError.of(
            "quantity-unreadable/not-text", given=_typed(text), kind=called(kind), example=EXAMPLES[kind]
        )
    if not isinstance(text, str):
        raise QuantityError.of("quantity-needs-unit/number", given=repr(text), example=written(text, kind))
    plain = _plain_signs(text)
    if kind == "length" and (match := _FEET_AND_INCHES.fullmatch(plain)):
        return float(match["feet"]) * FOOT_M + float(match["inches"]) * INCH_M
    if kind == "time" and (match := _HOURS_AND_MINUTES.fullmatch(plain)):
        return float(match["hours"]) * HOUR_S + float(match["minutes"]) * MINUTE_S
    if comma := _DECIMAL_COMMA.fullmatch(plain):
        unit = comma[3] or EXAMPLES[kind].strip('"').partition(" ")[2]
        raise QuantityError.of("quantity-comma", given=text, example=f'"{comma[1]}.{comma[2]} {unit}"')
    match = _QUANTITY.fullmatch(plain)
    if not match or not any(c.isdigit() for c in match["number"]):
        raise QuantityError.of(
            _unreadable(plain), given=text, kind=called(kind), example=written(text, kind)
        )
    number = _value(match["number"])
    if not match["unit"]:
        raise QuantityError.of("quantity-needs-unit", given=text, example=written(text, kind))
    factor = FACTORS[kind].get(_tidy_unit(match["unit"]))
    if factor is None:
        raise QuantityError.of(
            "quantity-unknown-unit",
            unit=match["unit"].strip(),
            kind=called(kind),
            known=_USUAL[kind],
            example=written(text, kind),
        )
    value = number * factor
    if not math.isfinite(value):
        raise QuantityError.of("quantity-unreadable/too-large", given=text, example=written(text, kind))
    return value


def _typed(value: object) -> str:
    """A value that is no quantity, much as it was typed."""
    if isinstance(value, date | time):
        return str(value)
    return json.dumps(value, ensure_ascii=False, default=str)[:60]


def called(kind: Kind) -> Fact:
    """Return the name of a kind of quantity, to stand in a sentence."""
    return Fact(_KIND_WORDS[kind])


def written(given: object, kind: Kind, unit: str = "") -> str:
    """Return how to write a quantity, in quotes, with the number and unit of a faulty text if it has them.

    Parameters
    ----------
    given
        What was written.
    kind
        What it should measure.
    unit
        The unit to use where the text has none; without it, that of the kind's example.

    Examples
    --------
    >>> written("ten feet", "length"), written("75", "power"), written("wide", "length")
    ('"10 ft"', '"75 hp"', '"10 ft"')
    """
    number = number_in(given)
    if number is None:
        return EXAMPLES[kind]
    unit = unit_meant(given, kind) or unit or EXAMPLES[kind].strip('"').partition(" ")[2]
    return f'"{number:.10g} {unit}"'


def number_in(given: object) -> float | None:
    """Return the number in a value; ``None`` if there is none, or more than one.

    Parameters
    ----------
    given
        A number, or text with a number in digits or as a word up to twenty.

    Examples
    --------
    >>> number_in("about 7 1/2 in"), number_in("twelve rows"), number_in("8 to 10 ft")
    (7.5, 12.0, None)
    """
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        return None
    if not isinstance(given, str):
        return float(given) if abs(given) < 1e15 else None
    plain = _plain_signs(given)
    if comma := _DECIMAL_COMMA.fullmatch(plain):
        return float(f"{comma[1]}.{comma[2]}")
    plain = re.sub(r"(?<![\d,.])(\d+),(\d{1,2})(?![\d,])", r"\1.\2", plain)  # a decimal comma
    amount = re.sub(r"(?<=[a-z])\^?[23](?!\d)", "", plain.lower())  # the power of a unit is no number
    in_digits = [match for match in _NUMBERS.findall(amount) if any(c.isdigit() for c in match)]
    if _OTHER_NUMBER_WORD.search(amount):
        return None
    counted = [_COUNTED.index(word) for word in re.findall(r"[a-z]+", amount) if word in _COUNTED]
    if len(in_digits) == 1 and not counted:
        value = _value(in_digits[0] if "/" in in_digits[0] else in_digits[0].replace(" ", ""))
        return value if math.isfinite(value) else None
    return float(counted[0]) if len(counted) == 1 and not in_digits else None


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
        r"[^a-z%°/\"\' ]", "", re.sub(r"(?<=[a-z])([23])", r"\1", _plain_signs(given).lower())
    ).strip()
    spelled = _tidy_unit(_NO_UNIT.sub("", words) or words)
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


def kind_of(given: object) -> Kind | None:
    """Return what a text with a unit measures; ``None`` if it has no known unit.

    Examples
    --------
    >>> kind_of("10 ft"), kind_of("12 lb/ac"), kind_of("10")
    ('length', 'mass rate', None)
    """
    match = _QUANTITY.fullmatch(_plain_signs(given)) if isinstance(given, str) else None
    unit = _tidy_unit(match["unit"]) if match and match["unit"] else ""
    return next((kind for kind, factors in FACTORS.items() if unit in factors), None)


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


def _plain_signs(text: str) -> str:
    """Return text with plain quotes, signs, spaces and fractions, without a period or spaces at its ends."""
    plain = text.translate(_SIGNS)
    for sign, fraction in _VULGAR.items():
        plain = plain.replace(sign, f" {fraction}")
    return plain.strip().removesuffix(".").rstrip()


def _value(number: str) -> float:
    """Return the value of a number, which may be a fraction such as "7 1/2"."""
    if "/" not in number:
        return float(number.replace(",", ""))
    *whole, above, below = (float(digits) for digits in re.findall(r"\d+", number))
    return sum(whole) + (above / below if below else math.inf)


def _unreadable(plain: str) -> str:
    """Return the case of the problem of a text that is no quantity."""
    if len(re.findall(r"\d+(?:\.\d+)?", plain)) > 1:
        return "quantity-unreadable/several-numbers"
    return "quantity-unreadable" if any(c.isdigit() for c in plain) else "quantity-unreadable/no-digits"


def _tidy_unit(unit: str) -> str:
    """Return a unit as the factor tables spell it: lower case, no spaces, plain digits, short words."""
    plain = unit.strip().lower().replace("²", "2").replace("³", "3").replace("^", "").replace(" per ", "/")
    plain = _WORDS.get(plain, plain)
    plain = re.sub(r"(?<=[a-z])\.", "", plain)
    plain = re.sub(r"\b(?:square|sq)\s*(\w+)", lambda found: f"{_WORDS.get(found[1], found[1])}2", plain)
    plain = re.sub(r"\b(?:cubic|cu)\s*(\w+)", lambda found: f"{_WORDS.get(found[1], found[1])}3", plain)
    parts = (part.strip() for part in plain.split("/"))
    plain = "/".join(_WORDS.get(part, part) for part in parts)
    return _WORDS.get(plain, plain)
