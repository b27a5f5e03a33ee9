"""Quantities as people write them, a number and its unit, read into SI."""

from __future__ import annotations

import json
import math
import re
from datetime import date, time

from fieldplan.errors import QuantityError
from fieldplan.facts import Fact
from fieldplan.typed_number import DECIMAL_COMMA, FRACTION, PLAIN, number_in, plain_signs, value_of
from fieldplan.typed_unit import USUAL, tidy_unit, unit_meant
from fieldplan.units import FACTORS, FOOT_M, HOUR_S, INCH_M, MINUTE_S, Kind

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
_QUANTITY = re.compile(rf"(?P<number>{FRACTION}|[+-]?{PLAIN})\s*(?P<unit>[^\d\s.,:+-].*)?")
_FEET_AND_INCHES = re.compile(
    r"(?P<feet>\d+)\s*(?:'|ft|feet|foot)\.?\s*(?P<inches>\d+(?:\.\d+)?)\s*(?:\"|''|in|inches|inch)"
)
_HOURS_AND_MINUTES = re.compile(
    r"(?P<hours>\d+)\s*(?:h|hr|hrs|hours?)\s*(?P<minutes>\d+)\s*(?:m|min|mins|minutes?)?", re.IGNORECASE
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
    plain = plain_signs(text)
    if kind == "length" and (match := _FEET_AND_INCHES.fullmatch(plain)):
        return float(match["feet"]) * FOOT_M + float(match["inches"]) * INCH_M
    if kind == "time" and (match := _HOURS_AND_MINUTES.fullmatch(plain)):
        return float(match["hours"]) * HOUR_S + float(match["minutes"]) * MINUTE_S
    if comma := DECIMAL_COMMA.fullmatch(plain):
        unit = comma[3] or EXAMPLES[kind].strip('"').partition(" ")[2]
        raise QuantityError.of("quantity-comma", given=text, example=f'"{comma[1]}.{comma[2]} {unit}"')
    match = _QUANTITY.fullmatch(plain)
    if not match or not any(c.isdigit() for c in match["number"]):
        raise QuantityError.of(
            _unreadable(plain), given=text, kind=called(kind), example=written(text, kind)
        )
    number = value_of(match["number"])
    if not match["unit"]:
        raise QuantityError.of("quantity-needs-unit", given=text, example=written(text, kind))
    factor = FACTORS[kind].get(tidy_unit(match["unit"]))
    if factor is None:
        raise QuantityError.of(
            "quantity-unknown-unit",
            unit=match["unit"].strip(),
            kind=called(kind),
            known=USUAL[kind],
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


def kind_of(given: object) -> Kind | None:
    """Return what a text with a unit measures; ``None`` if it has no known unit.

    Examples
    --------
    >>> kind_of("10 ft"), kind_of("12 lb/ac"), kind_of("10")
    ('length', 'mass rate', None)
    """
    match = _QUANTITY.fullmatch(plain_signs(given)) if isinstance(given, str) else None
    unit = tidy_unit(match["unit"]) if match and match["unit"] else ""
    return next((kind for kind, factors in FACTORS.items() if unit in factors), None)


def _unreadable(plain: str) -> str:
    """Return the case of the problem of a text that is no quantity."""
    if len(re.findall(r"\d+(?:\.\d+)?", plain)) > 1:
        return "quantity-unreadable/several-numbers"
    return "quantity-unreadable" if any(c.isdigit() for c in plain) else "quantity-unreadable/no-digits"
