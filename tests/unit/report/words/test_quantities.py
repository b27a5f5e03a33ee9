"""Quantities as people read them, against pint at the printed digits."""

from __future__ import annotations

import json
from decimal import ROUND_HALF_EVEN, Decimal

import pint
import pytest

from fieldplan.report.html.page import words_and_units
from fieldplan.report.words.both_units import BothUnits
from fieldplan.report.words.hours import hours
from fieldplan.report.words.numbers import percent, share, significant
from fieldplan.report.words.quantities import _ENDINGS, Quantities, System, measures

_REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
_REGISTRY.define("seeds = [seeds]")
_REGISTRY.define("international_acre = 43560 foot**2")
US, METRIC = Quantities("us"), Quantities("metric")
_PINT = {
    "ft": "foot",
    "in": "inch",
    "mi": "mile",
    "ac": "international_acre",
    "acres": "international_acre",
    "lb": "pound",
    "mph": "mile/hour",
    "bu": "bushel",
    "gal": "US_liquid_gallon",
    "hp": "horsepower",
    "ft2": "foot**2",
    "ft3": "foot**3",
    "m": "meter",
    "cm": "centimeter",
    "km": "kilometer",
    "ha": "hectare",
    "kg": "kilogram",
    "L": "liter",
    "hL": "hectoliter",
    "kW": "kilowatt",
    "m2": "meter**2",
    "h": "hour",
    "min": "minute",
    "%": "percent",
    "°": "degree",
    "seeds": "seeds",
    "g": "gram",
    "/": "/",
}
_SI = {
    "m": "meter",
    "m2": "meter**2",
    "m3": "meter**3",
    "kg": "kilogram",
    "s": "second",
    "w": "watt",
    "m_per_s": "meter/second",
    "deg": "degree",
    "kg_per_m2": "kilogram/meter**2",
    "kg_per_m3": "kilogram/meter**3",
    "m3_per_m2": "meter**3/meter**2",
    "seeds_per_m2": "seeds/meter**2",
    "seeds_per_kg": "seeds/kilogram",
    "m2_per_s": "meter**2/second",
    "frac": "dimensionless",
    "prob": "dimensionless",
}


_METRIC = {"m", "cm", "km", "kg", "g", "L", "hL", "ha", "m2", "kW"}


def _told(value: float, si: str, unit: str, digits: str) -> str:
    """The quantity in a unit, by pint, with "2" decimals or "3s" digits that count."""
    spelled = "/".join(_PINT[part] for part in unit.split("/"))
    amount = Decimal(_REGISTRY.Quantity(value, _SI[si]).to(spelled).magnitude)
    if digits.endswith("s"):
        minimum = min(0, amount.adjusted() - int(digits[:-1]) + 1)
        number = f"{amount.quantize(Decimal(1).scaleb(minimum), ROUND_HALF_EVEN):,f}"
        number = number.rstrip("0").rstrip(".") if "." in number else number
    else:
        number = f"{amount.quantize(Decimal(1).scaleb(-int(digits)), ROUND_HALF_EVEN):,f}"
    if _METRIC & set(unit.split("/")):
        number = number.replace(",", "\u00a0")  # as ISO 80000-1 asks: a space, no point or comma
    return f"{number}°" if unit == "°" else f"{number} {unit}"


ENDINGS = {
    "_typed_m": ("m", 3.7123456789, "ft", "4s", "m", "3s"),
    "_typed_small_m": ("m", 0.18765432197, "in", "4s", "cm", "3s"),
    "_typed_small_m2": ("m2", 13.456789123, "ft2", "4s", "m2", "3s"),
    "_typed_m2": ("m2", 98765.4321987, "ac", "4s", "ha", "3s"),
    "_typed_kg_per_m2": ("kg_per_m2", 0.0123456789123, "lb/ac", "4s", "kg/ha", "3s"),
    "_typed_kg": ("kg", 22.678912345, "lb", "4s", "kg", "3s"),
    "_typed_m_per_s": ("m_per_s", 2.345678912, "mph", "4s", "km/h", "3s"),
    "_typed_frac": ("frac", 0.123456, "%", "4s", "%", "4s"),
    "_typed_seeds_per_m2": ("seeds_per_m2", 345.678, "seeds/ft2", "4s", "seeds/m2", "4s"),
    "_fuel_m3_per_m2": ("m3_per_m2", 4.5678e-7, "gal/ac", "3s", "L/ha", "3s"),
    "_fuel_m3": ("m3", 0.23456, "gal", "0", "L", "0"),
    "_seeds_per_m2": ("seeds_per_m2", 345.678, "seeds/ft2", "0", "seeds/m2", "0"),
    "_seeds_per_kg": ("seeds_per_kg", 123456.78, "seeds/lb", "6s", "seeds/kg", "6s"),
    "_box_m3": ("m3", 0.56789, "ft3", "3s", "L", "3s"),
    "_small_m": ("m", 0.192345678912, "in", "4s", "cm", "4s"),
    "_kg_per_m2": ("kg_per_m2", 0.0123456, "lb/ac", "1", "kg/ha", "1"),
    "_kg_per_m3": ("kg_per_m3", 412.345, "lb/bu", "3s", "kg/hL", "3s"),
    "_m3_per_m2": ("m3_per_m2", 2.34567e-5, "bu/ac", "3s", "L/ha", "0"),
    "_m_per_s": ("m_per_s", 2.01234, "mph", "3s", "km/h", "1"),
    "_small_m2": ("m2", 456.789, "ft2", "0", "m2", "0"),
    "_m2": ("m2", 98765.4, "ac", "2", "ha", "2"),
    "_m3": ("m3", 1.23456, "bu", "1", "L", "0"),
    "_m": ("m", 123.4, "ft", "0", "m", "0"),
    "_kg": ("kg", 34.5678, "lb", "1", "kg", "1"),
    "_s": ("s", 45678.0, "h", "1", "h", "1"),
    "_w": ("w", 56789.0, "hp", "0", "kW", "0"),
    "_frac": ("frac", 0.4567, "%", "0", "%", "0"),
    "_prob": ("prob", 0.8765, "%", "0", "%", "0"),
    "_deg": ("deg", 123.456, "°", "0", "°", "0"),
}
"""Of each ending: what it is in, a value, and unit and digits in which it is shown, US and metric."""
OWN = {
    "_plain": (0.123456, "0.123", "0.123"),
    "_catch_kg_per_m": (0.00123456, "37.6 g", "37 g"),  # × 30.48 m and × 30 m
    "_catch_per_m": (0.5, "15.2", "15.0"),
    "_box_m3_per_m": (
        0.0464515,
        "0.5 ft3 per foot",
        "46 L per meter",
    ),  # half a square foot, 0.09290304 m² / 2
    "_bytes": (2_345_678.0, "2.35 MB", "2.35 MB"),
    "_signed_frac": (0.055, "+5.5 %", "+5.5 %"),
    "_billed": (12.3456789, "12.3457", "12.3457"),
    "_billed_ac": (12.3456789, "12.3457 ac", "12.3457 ac"),
    "_billed_day": (2.3456789, "2.34568 days", "2.34568 days"),
    "_billed_hour": (7.3456789, "7.34568 h", "7.34568 h"),
    "_billed_mile": (31.456789, "31.4568 mi", "31.4568 mi"),
    "_setting": (23.456, "23.5", "23.5"),
    "_rain_mm": (12.7, "0.5 in", "12.7 mm"),
    "_c": (10.0, "50 °F", "10 °C"),
    "scale_kg": (0.005, "5 g", "5 g"),
}
"""Endings of what is in no unit, in one that does not change with the reader, or in words of its own."""


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_quantity_is_shown_in_the_units_of_its_reader(ending: str) -> None:
    """Factors from pint, rounded in decimals."""
    si, value, us, us_digits, metric, metric_digits = ENDINGS[ending]
    name = "value" + ending
    expected = [_told(value, si, us, us_digits), _told(value, si, metric, metric_digits)]
    assert [US.measured(name, value), METRIC.measured(name, value)] == expected
    assert BothUnits().measured(name, value) == (
        expected[0] if len(set(expected)) == 1 else f"{expected[0]} ({expected[1]})".replace("\u00a0", ",")
    )


@pytest.mark.parametrize("ending", OWN)
def test_what_has_words_of_its_own_is_shown_so(ending: str) -> None:
    """By hand."""
    value, us, metric = OWN[ending]
    assert (US.measured("value" + ending, value), METRIC.measured("value" + ending, value)) == (us, metric)


def test_every_ending_is_tried() -> None:
    """None is added without a row here, and each makes a name a quantity."""
    assert set(_ENDINGS) == {*ENDINGS, *OWN}
    assert all(measures(f"value{ending}") for ending in _ENDINGS)
    assert measures("n_days")
    assert not measures("species")


def test_a_count_has_no_unit_and_an_unknown_ending_is_a_slip() -> None:
    """Thousands are parted."""
    assert US.measured("n_seeds", 12345.0) == "12,345"
    assert US.measured("n_years", 1.26, 1) == "1.3"
    with pytest.raises(KeyError):
        US.measured("width", 3.0)


DIGITS = {
    "_fuel_m3": ("m3", 0.23456, "gal", "L"),
    "_seeds_per_m2": ("seeds_per_m2", 345.678, "seeds/ft2", "seeds/m2"),
    "_small_m2": ("m2", 456.789, "ft2", "m2"),
    "_m2": ("m2", 98765.4, "ac", "ha"),
    "_m": ("m", 123.4, "ft", "m"),
    "_kg": ("kg", 34.5678, "lb", "kg"),
    "_s": ("s", 1234.0, "h", "h"),
    "_w": ("w", 56789.0, "hp", "kW"),
    "_frac": ("frac", 0.4567, "%", "%"),
    "_prob": ("prob", 0.8765, "%", "%"),
    "_deg": ("deg", 123.456, "°", "°"),
}


@pytest.mark.parametrize("ending", DIGITS)
def test_digits_that_are_asked_for_are_those_shown(ending: str) -> None:
    """Three, which none shows by itself."""
    si, value, us, metric = DIGITS[ending]
    told = [q.measured("value" + ending, value, 3) for q in (US, METRIC)]
    assert told == [_told(value, si, us, "3"), _told(value, si, metric, "3")]
    assert US.measured("value_plain", 0.123456, 2) == "0.12"


@pytest.mark.parametrize(
    ("name", "value", "us", "metric"),
    [
        ("a_m", 0.5, ("ft", "2"), ("m", "2")),
        ("a_m", 1.0, ("ft", "1"), ("m", "1")),
        ("a_m", 9.99, ("ft", "1"), ("m", "1")),
        ("a_m", 10.0, ("ft", "0"), ("m", "0")),
        ("a_m", 9_999.0, ("ft", "0"), ("m", "0")),
        ("a_m", 10_000.0, ("mi", "0"), ("km", "0")),
        ("a_m", -0.5, ("ft", "2"), ("m", "2")),
        ("a_m", -20_000.0, ("mi", "0"), ("km", "0")),
        ("a_m2", 300.0, ("ac", "4"), ("ha", "4")),
        ("a_m2", 404.7, ("ac", "2"), ("ha", "4")),
        ("a_m2", 1000.0, ("ac", "2"), ("ha", "2")),
        ("a_m2", 0.0, ("ac", "2"), ("ha", "2")),
        ("a_kg", 0.002, ("lb", "1"), ("kg", "1")),
        ("a_kg", 0.3, ("lb", "2"), ("kg", "2")),
        ("a_kg", 0.994, ("lb", "1"), ("kg", "2")),
        ("a_kg", 50.0, ("lb", "0"), ("kg", "1")),
        ("a_kg", 99.96, ("lb", "0"), ("kg", "0")),
        ("a_kg_per_m2", 1.0e-4, ("lb/ac", "2"), ("kg/ha", "1")),
        ("a_kg_per_m2", 9.9e-5, ("lb/ac", "2"), ("kg/ha", "2")),
    ],
)
def test_small_quantities_are_shown_finer(
    name: str, value: float, us: tuple[str, str], metric: tuple[str, str]
) -> None:
    """Each border from both sides: a metre, ten metres, ten kilometres, a tenth of an acre, a pound, a
    hundred, one by the acre.
    """
    si = name.partition("_")[2]
    assert [US.measured(name, value), METRIC.measured(name, value)] == [
        _told(value, si, *us),
        _told(value, si, *metric),
    ]


@pytest.mark.parametrize("system", ["us", "metric"])
def test_words_of_a_system_are_its_own_and_worth_what_they_say(system: System) -> None:
    """Names of the units in headers, and what one of each is, by pint."""
    q = Quantities(system)
    words = (q.area_unit, q.area_word, q.area_one, q.mass_unit, q.small_area_unit)
    assert words == (
        ("ac", "acres", "acre", "lb", "ft2")
        if system == "us"
        else ("ha", "hectares", "hectare", "kg", "m2")
    )
    worth = [
        float(_REGISTRY.Quantity(1, _PINT[one]).to_base_units().magnitude)
        for one in (q.area_unit, q.mass_unit, q.small_area_unit)
    ]
    assert [q.area_unit_m2, q.mass_unit_kg, q.small_area_m2] == pytest.approx(worth, rel=1e-12)


def test_methods_without_an_ending_agree_with_pint() -> None:
    """An area without its unit, a capacity by the hour, a long way."""
    assert f"{US.area(98765.4)} ac" == _told(98765.4, "m2", "ac", "2")
    assert f"{METRIC.area(98765.4)} ha" == _told(98765.4, "m2", "ha", "2")
    assert US.capacity(4.321) == _told(4.321, "m2_per_s", "ac/h", "1")
    assert METRIC.capacity(4.321) == _told(4.321, "m2_per_s", "ha/h", "1")
    assert US.distance(23456.0) == _told(23456.0, "m", "mi", "1")
    assert METRIC.distance(23456.0) == _told(23456.0, "m", "km", "1")
    assert US.length(12.345, 2) == _told(12.345, "m", "ft", "2")
    assert (US.length(12.345), METRIC.length(12.345)) == ("41 ft", "12 m")
    assert [US.catch_m, METRIC.catch_m] == pytest.approx([30.48, 30.0])


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (0.0, 3, "0"),
        (1.5, 4, "1.5"),
        (1234.5, 2, "1,234"),
        (1235.5, 3, "1,236"),
        (999.6, 3, "1,000"),
        (0.00001234, 2, "0.000012"),
        (12345.678, 6, "12,345.7"),
        (-4567.0, 2, "-4,567"),
        (0.0999996, 4, "0.1"),
    ],
)
def test_digits_that_count(value: float, digits: int, shown: str) -> None:
    """All before the point, if those are more; never an exponent."""
    assert significant(value, digits) == shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (0.0, "0 bytes"),
        (999_999.0, "999,999 bytes"),
        (1e6, "1 MB"),
        (999e6, "999 MB"),
        (1e9, "1 GB"),
        (1.234e9, "1.23 GB"),
    ],
)
def test_sizes_change_their_unit_at_a_million_and_a_billion(value: float, shown: str) -> None:
    """SI prefixes: a megabyte is 10⁶ bytes."""
    assert US.measured("read_bytes", value) == shown


def test_hours_under_one_are_minutes() -> None:
    """An hour itself is an hour; thousands are parted."""
    assert [hours(s) for s in (0, 1770, 3599, 3600, 5400, 3_600_000)] == [
        "0 min",
        "30 min",
        "60 min",
        "1.0 h",
        "1.5 h",
        "1,000.0 h",
    ]


def test_shares() -> None:
    """A share of nothing is none."""
    assert (percent(0.1234), percent(0.1234, 1), share(1, 8, 1), share(1, 0), share(0, 3)) == (
        "12 %",
        "12.3 %",
        "12.5 %",
        "–",
        "0 %",
    )


@pytest.mark.parametrize(
    ("kg", "scale_kg", "us", "metric"),
    [
        (0.0181437, 0.001, "0.63 oz", "18 g"),
        (0.4535, 0.001, "1.00 lb", "454 g"),
        (0.4530, 0.001, "15.98 oz", "453 g"),
        (1.0, 0.001, "2.20 lb", "1.00 kg"),
        (53.207, 0.001, "117.3 lb", "53.21 kg"),
        (1000.0, 0.001, "2,205 lb", "1\u00a0000 kg"),
        (0.1733, 0.1, "7 oz", "200 g"),
        (5.03, 0.5, "11 lb", "5.0 kg"),
        (0.0, 0.001, "0 lb", "0 kg"),
        (0.0003, 0.001, "under 0.04 oz", "under 1 g"),
    ],
)
def test_a_weight_is_read_off_a_scale(kg: float, scale_kg: float, us: str, metric: str) -> None:
    """Ounces or grams under a pound or a kilogram; no finer than the scale, and never 6 % off by rounding."""
    assert Quantities("us").weight(kg, scale_kg) == us
    assert Quantities("metric").weight(kg, scale_kg) == metric


def test_thousands_are_parted_as_the_reader_parts_them_in_every_medium() -> None:
    """A comma in US units; in metric ones, which are read where a comma begins the decimals, a space that does not break;
    beside each other, where the reader is not known, a comma in both. The page's script has the same sign.
    """
    kg = 1593.0
    assert (US.mass(kg), METRIC.mass(kg), METRIC.count(12_345.6, 1)) == (
        "3,512",
        "1\u00a0593",
        "12\u00a0345.6",
    )
    assert BothUnits().measured("load_kg", kg) == "3,512 lb (1,593 kg)"
    for q in (US, METRIC):
        group = json.loads(words_and_units(q))["units"]["group"]
        assert q.mass(kg, 0).replace(group, "").isdigit()
        assert group in q.mass(kg, 0)


@pytest.mark.parametrize(("scale_kg", "shown"), [(0.001, "1 g"), (0.005, "5 g"), (0.0001, "0.1 g")])
def test_the_step_of_a_scale_is_read_in_grams(scale_kg: float, shown: str) -> None:
    """In pounds a gram would be none."""
    assert [q.measured("scale_kg", scale_kg) for q in (US, METRIC)] == [shown, shown]
