"""What units are, against pint and the definitions in NIST SP 811 (2008), appendix B."""

from __future__ import annotations

from typing import get_args

import pint
import pytest

from fieldplan.typed_number import NUMBER_WORDS, number_in
from fieldplan.typed_quantity import EXAMPLES, parse_quantity
from fieldplan.typed_unit import _WORDS, USUAL
from fieldplan.units import FACTORS, Kind

_REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
_REGISTRY.define("seeds = [seeds]")
_REGISTRY.define("international_acre = 43560 foot**2")
_PINT = {
    "mph": "mile/hour",
    "hp": "horsepower",
    "kw": "kilowatt",
    "w": "watt",
    "°": "degree",
    "deg": "degree",
    "%": "percent",
    "h": "hour",
    "ha": "hectare",
    "l": "liter",
    "gal": "gallon",
    "bu": "bushel",
    "ac": "international_acre",
    "oz": "ounce",
    "t": "metric_ton",
    "hl": "hectoliter",
    "ft2": "foot**2",
    "m2": "meter**2",
    "ft3": "foot**3",
    "m3": "meter**3",
    "yd3": "yard**3",
    "in3": "inch**3",
    "in": "inch",
}
"""As pint spells them; its own acre is the survey acre, so that of the international foot is defined: 43,560 ft²."""
_SI: dict[Kind, str] = {
    "length": "m",
    "area": "m**2",
    "speed": "m/s",
    "time": "s",
    "mass": "kg",
    "volume": "m**3",
    "power": "W",
    "angle": "degree",
    "share": "dimensionless",
    "density": "kg/m**3",
    "volume rate": "m",
    "mass rate": "kg/m**2",
    "count rate": "seeds/m**2",
}


def _in_si(unit: str, kind: Kind) -> float:
    spelled = "/".join(_PINT.get(part, part) for part in unit.split("/"))
    return float(_REGISTRY.Quantity(1, spelled).to(_SI[kind]).magnitude)


@pytest.mark.parametrize(
    ("kind", "unit"), [(kind, unit) for kind, factors in FACTORS.items() for unit in factors]
)
def test_every_unit_is_what_pint_says(kind: Kind, unit: str) -> None:
    """As text and to all digits that a definition has."""
    assert parse_quantity(f"2.5 {unit}", kind) == pytest.approx(2.5 * _in_si(unit, kind), rel=1e-12)


@pytest.mark.parametrize(
    ("kind", "units"),
    [
        ("length", "m cm mm km in ft yd mi"),
        ("area", "m2 ha ac ft2"),
        ("speed", "m/s km/h mph"),
        ("time", "s min h"),
        ("mass", "kg g t lb oz"),
        ("volume", "m3 l ft3 bu gal yd3 in3"),
        ("power", "w kw hp"),
        ("angle", "deg °"),
        ("share", "%"),
        ("density", "lb/bu lb/ft3 kg/hl kg/m3 g/l kg/l oz/gal t/m3"),
        ("volume rate", "bu/ac ft3/ac gal/ac l/ha m3/ha"),
        ("mass rate", "lb/ac oz/ac kg/ha g/m2 t/ha"),
        ("count rate", "seeds/m2 seeds/ha seeds/ac seeds/ft2"),
    ],
)
def test_units_in_use_on_farms_are_all_known(kind: Kind, units: str) -> None:
    """None is lost from a table unnoticed, nor a rate made of two."""
    assert set(units.split()) <= set(FACTORS[kind])


@pytest.mark.parametrize("kind", get_args(Kind))
def test_what_people_are_told_to_write_can_be_written(kind: Kind) -> None:
    """The example of each kind and the units named where one is unknown."""
    assert parse_quantity(EXAMPLES[kind].strip('"'), kind) > 0
    assert all(parse_quantity(f"1 {unit}", kind) > 0 for unit in USUAL[kind])


@pytest.mark.parametrize("kind", ["length", "area", "speed", "time", "mass", "volume", "share"])
def test_every_unit_that_is_no_rate_is_named_to_who_wrote_an_unknown_one(kind: Kind) -> None:
    """Of rates the usual ones are named."""
    assert {unit.lower() for unit in USUAL[kind]} == set(FACTORS[kind])


SPELLED: dict[str, tuple[Kind, str]] = {
    "feet": ("length", "ft"),
    "foot": ("length", "ft"),
    "'": ("length", "ft"),
    "inches": ("length", "in"),
    "inch": ("length", "in"),
    '"': ("length", "in"),
    "''": ("length", "in"),
    "metres": ("length", "m"),
    "meters": ("length", "m"),
    "metre": ("length", "m"),
    "meter": ("length", "m"),
    "miles": ("length", "mi"),
    "mile": ("length", "mi"),
    "yards": ("length", "yd"),
    "yard": ("length", "yd"),
    "centimeters": ("length", "cm"),
    "centimetres": ("length", "cm"),
    "millimeters": ("length", "mm"),
    "millimetres": ("length", "mm"),
    "acres": ("area", "ac"),
    "acre": ("area", "ac"),
    "hectares": ("area", "ha"),
    "hectare": ("area", "ha"),
    "sqft": ("area", "ft2"),
    "minutes": ("time", "min"),
    "minute": ("time", "min"),
    "mins": ("time", "min"),
    "hours": ("time", "h"),
    "hour": ("time", "h"),
    "hr": ("time", "h"),
    "hrs": ("time", "h"),
    "seconds": ("time", "s"),
    "second": ("time", "s"),
    "sec": ("time", "s"),
    "secs": ("time", "s"),
    "pounds": ("mass", "lb"),
    "pound": ("mass", "lb"),
    "lbs": ("mass", "lb"),
    "#": ("mass", "lb"),
    "ounces": ("mass", "oz"),
    "ounce": ("mass", "oz"),
    "kilograms": ("mass", "kg"),
    "kilogram": ("mass", "kg"),
    "grams": ("mass", "g"),
    "gram": ("mass", "g"),
    "bushels": ("volume", "bu"),
    "bushel": ("volume", "bu"),
    "litres": ("volume", "l"),
    "liters": ("volume", "l"),
    "liter": ("volume", "l"),
    "litre": ("volume", "l"),
    "gallons": ("volume", "gal"),
    "gallon": ("volume", "gal"),
    "cuft": ("volume", "ft3"),
    "percent": ("share", "%"),
    "per cent": ("share", "%"),
    "pct": ("share", "%"),
    "degrees": ("angle", "deg"),
    "degree": ("angle", "deg"),
    "kph": ("speed", "km/h"),
    "kmh": ("speed", "km/h"),
    "km/hr": ("speed", "km/h"),
    "mi/h": ("speed", "mph"),
    "miles an hour": ("speed", "mph"),
    "horsepower": ("power", "hp"),
    "lb/a": ("mass rate", "lb/ac"),
    "bu/a": ("volume rate", "bu/ac"),
}


@pytest.mark.parametrize("word", [*SPELLED, *_WORDS])
def test_a_word_is_the_unit_that_it_names(word: str) -> None:
    """All that are taken are listed here, and each is worth what its unit is."""
    if word == "seed":
        assert parse_quantity("20 seed/ft2", "count rate") == pytest.approx(
            20 * _in_si("seeds/ft2", "count rate")
        )
        return
    kind, unit = SPELLED[word]
    assert parse_quantity(f"3 {word}", kind) == pytest.approx(3 * _in_si(unit, kind), rel=1e-12)
    assert parse_quantity(f"3 {word.upper()}", kind) == pytest.approx(3 * _in_si(unit, kind), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("100 sq ft", "area", 100 * 0.3048**2),
        ("100 square feet", "area", 100 * 0.3048**2),
        ("8 cu. ft", "volume", 8 * 0.3048**3),
        ("8 cubic feet", "volume", 8 * 0.3048**3),
        ("12 lb per acre", "mass rate", 12 * 0.45359237 / 4046.8564224),
        ("3 #/acre", "mass rate", 3 * 0.45359237 / 4046.8564224),
        ("5 m²", "area", 5.0),
        ("5 m^3", "volume", 5.0),
        ("3 lbs/acre", "mass rate", 3 * 0.45359237 / 4046.8564224),
        ("7 1/2 in", "length", 7.5 * 0.0254),
        ("7½ in", "length", 7.5 * 0.0254),
        ("7-1/2 in", "length", 7.5 * 0.0254),
        ("11'3\"", "length", 11 * 0.3048 + 3 * 0.0254),
        ("6 ft 8.5 in", "length", 6 * 0.3048 + 8.5 * 0.0254),
        ("1 h 30 min", "time", 5400.0),
        ("2h15", "time", 8100.0),
        ("1,250 lb", "mass", 1250 * 0.45359237),
        ("-1.5e2 m", "length", -150.0),
    ],
)
def test_quantities_are_read_as_people_write_them(text: str, kind: Kind, si: float) -> None:
    """The foot, the acre and the pound by NIST SP 811, B.8: 0.3048 m, 4046.8564224 m² by 43,560 of its
    square, 0.45359237 kg.
    """
    assert parse_quantity(text, kind) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("sign", "frac"),
    [
        ("½", 1 / 2),
        ("¼", 1 / 4),
        ("¾", 3 / 4),
        ("⅛", 1 / 8),
        ("⅜", 3 / 8),
        ("⅝", 5 / 8),
        ("⅞", 7 / 8),
        ("⅓", 1 / 3),
        ("⅔", 2 / 3),
    ],
)
def test_a_fraction_of_one_sign_is_that_fraction(sign: str, frac: float) -> None:
    """Alone and behind a whole number."""
    assert parse_quantity(f"{sign} m", "length") == pytest.approx(frac)
    assert parse_quantity(f"2{sign} m", "length") == pytest.approx(2 + frac)


def test_numbers_in_words_are_counted_on() -> None:
    """From nothing to twenty, none left out: each is the one before and one."""
    words = (
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
        "twenty",
    )
    assert [number_in(f"{word} feet") for word in words] == list(range(21))
    assert words == NUMBER_WORDS


@pytest.mark.parametrize(
    ("text", "si"),
    [
        ("11’3”", 3.429),
        ("11‘3“", 3.429),
        ("11′3″", 3.429),
        ("5\u00a0m", 5.0),
        ("5\u202fm", 5.0),
        ("−5 m", -5.0),
        (" 5 m. ", 5.0),
    ],
)
def test_signs_of_typesetters_are_read_as_plain_ones(text: str, si: float) -> None:
    """11 ft 3 in are 135 × 0.0254 m."""
    assert parse_quantity(text, "length") == pytest.approx(si, rel=1e-12)
