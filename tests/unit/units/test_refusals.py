"""What is said of text that is no quantity."""

from __future__ import annotations

from typing import get_args

import pytest

from fieldplan.errors import Problem, QuantityError
from fieldplan.typed_number import number_in
from fieldplan.typed_quantity import EXAMPLES, called, kind_of, parse_quantity, written
from fieldplan.typed_unit import unit_meant
from fieldplan.units import Kind


def _refused(text: object, kind: Kind) -> Problem:
    with pytest.raises(QuantityError) as refused:
        parse_quantity(text, kind)
    (problem,) = refused.value.problems
    return problem


@pytest.mark.parametrize(
    ("text", "kind", "example"),
    [
        ("7,5 in", "length", '"7.5 in"'),
        ("7,5", "length", '"7.5 ft"'),
        ("0,25 kg/ha", "mass rate", '"0.25 kg/ha"'),
        ("0,250 ac", "area", '"0.250 ac"'),
        ("-1,5 mph", "speed", '"-1.5 mph"'),
        ("12,3456 m", "length", '"12.3456 m"'),
        ("1234,567 m", "length", '"1234.567 m"'),
        ("12,5", "mass rate", '"12.5 lb/ac"'),
        ("4,5", "speed", '"4.5 mph"'),
    ],
)
def test_a_decimal_comma_is_shown_as_a_point(text: str, kind: Kind, example: str) -> None:
    """With the unit that was written, or else the usual one."""
    problem = _refused(text, kind)
    assert (problem.code, problem.values["given"], problem.values["example"]) == (
        "quantity-comma",
        text,
        example,
    )


@pytest.mark.parametrize(
    ("text", "kind", "code", "case", "example"),
    [
        (7, "length", "quantity-needs-unit", "number", '"7 ft"'),
        (None, "length", "quantity-unreadable", "not-text", '"10 ft"'),
        (True, "length", "quantity-unreadable", "not-text", '"10 ft"'),
        ("7", "length", "quantity-needs-unit", "", '"7 ft"'),
        ("seven", "length", "quantity-unreadable", "no-digits", '"7 ft"'),
        ("5 to 7 ft", "length", "quantity-unknown-unit", "", '"10 ft"'),
        ("7 8 ft", "length", "quantity-unreadable", "several-numbers", '"10 ft"'),
        ("ft 7", "length", "quantity-unreadable", "", '"7 ft"'),
        ("7 lb", "length", "quantity-unknown-unit", "", '"7 ft"'),
        ("7 fet", "length", "quantity-unknown-unit", "", '"7 ft"'),
        ("1e308 km", "length", "quantity-unreadable", "too-large", '"1e+308 km"'),
    ],
)
def test_a_refusal_says_what_is_wrong_and_how_it_is_written(
    text: object, kind: Kind, code: str, case: str, example: str
) -> None:
    """With the number that was given, where there is one."""
    problem = _refused(text, kind)
    assert (problem.code, problem.case, problem.values["example"]) == (code, case, example)


@pytest.mark.parametrize(
    ("given", "number"),
    [
        ("about 7,5 in", 7.5),
        ("7,5", 7.5),
        ("1,250 lb", 1250.0),
        ("7 1/2 in", 7.5),
        ("twelve", 12.0),
        ("5 to 7", None),
        ("seven or 8", None),
        ("thirty", None),
        ("half", None),
        ("none", None),
        ("5 ft2", 5.0),
        (12, 12.0),
        (1e15, None),
        (True, None),
        (None, None),
        ("-4 ft", -4.0),
    ],
)
def test_the_only_number_is_found(given: object, number: float | None) -> None:
    """None where there are two or none."""
    assert number_in(given) == number


@pytest.mark.parametrize(
    ("given", "kind", "unit"),
    [
        ("7 fet", "length", "ft"),
        ("12 pounds", "mass rate", "lb/ac"),
        ("12 lb/acr", "mass rate", "lb/ac"),
        ("5 ft", "area", "ft2"),
        ("5 in", "volume", "in3"),
        ("8 bags/ac", "mass rate", ""),
        ("7 lb", "length", ""),
        ("bushls", "volume", "bu"),
        (7, "length", ""),
        ("twelve feet", "length", "ft"),
        ("75 kw", "power", "kw"),
    ],
)
def test_the_unit_that_is_meant_is_named(given: object, kind: Kind, unit: str) -> None:
    """One that is nearly spelled so, of the kind that is asked for."""
    assert unit_meant(given, kind) == unit


@pytest.mark.parametrize("kind", get_args(Kind))
def test_what_a_text_measures_is_told_by_its_unit(kind: Kind) -> None:
    """Of each kind the example."""
    assert kind_of(EXAMPLES[kind].strip('"')) == kind
    assert written("4", kind).startswith('"4 ')


def test_a_text_of_no_known_unit_measures_nothing() -> None:
    """Nor does a number."""
    assert [kind_of(one) for one in ("7 bags", "7", 7, "")] == [None, None, None, None]


@pytest.mark.parametrize("kind", get_args(Kind))
def test_a_kind_is_called_by_its_own_name(kind: Kind) -> None:
    """Such as "length", "volume per area"."""
    assert called(kind).code == f"kind/{kind.replace(' ', '-')}"


@pytest.mark.parametrize(
    ("given", "kind", "unit"),
    [
        ("8 lb", "density", "lb/bu"),
        ("8 kg", "density", "kg/hl"),
        ("8 g", "density", "g/l"),
        ("8 lb", "mass rate", "lb/ac"),
        ("8 kg", "mass rate", "kg/ha"),
        ("8 oz", "mass rate", "oz/ac"),
        ("8 bu", "volume rate", "bu/ac"),
        ("8 l", "volume rate", "l/ha"),
        ("8 gal", "volume rate", "gal/ac"),
        ("8 km", "speed", "km/h"),
        ("8 m", "speed", "m/s"),
    ],
)
def test_half_a_rate_is_the_usual_one(given: str, kind: Kind, unit: str) -> None:
    """Whoever leaves out by what is asked whether the usual ground or room is meant."""
    assert unit_meant(given, kind) == unit


@pytest.mark.parametrize(
    ("kind", "known"),
    [
        ("density", "lb/bu lb/ft3 kg/hl kg/m3 g/l"),
        ("volume rate", "bu/ac ft3/ac gal/ac l/ha"),
        ("mass rate", "lb/ac oz/ac kg/ha g/m2"),
        ("count rate", "seeds/ft2 seeds/m2 seeds/ac seeds/ha"),
        ("length", "ft in yd mi m cm mm km"),
        ("angle", "deg"),
        ("power", "hp kW"),
    ],
)
def test_who_writes_an_unknown_unit_is_told_the_usual_ones(kind: Kind, known: str) -> None:
    """The usual first."""
    assert _refused("7 bags", kind).values["known"] == tuple(known.split())
