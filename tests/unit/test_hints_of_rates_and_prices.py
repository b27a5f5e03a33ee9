"""A hint that is pasted means what was typed: a number never moves to another unit on the way."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fieldplan.errors import FieldplanError, Problem
from fieldplan.jobfile.rates import money, price, rate
from fieldplan.typed_quantity import parse_quantity
from fieldplan.units import Kind


def _refused(call: Any, given: object) -> Problem:
    with pytest.raises(FieldplanError) as caught:
        call(given)
    return caught.value.problems[0]


@pytest.mark.parametrize(
    "given",
    [
        "30 PLS/ft2",
        "30 PLS / sq ft",
        "30 PLS seeds/ft2",
        "30 pure live seeds per square foot",
        "30 pure live seed/ft²",
        "30 pls per sq. ft.",
    ],
)
def test_pure_live_seeds_by_the_square_foot_are_counted(given: str) -> None:
    """Seeders say PLS for the seeds as well as for their weight; by the square foot it can only be seeds."""
    assert rate(given) == rate("30 seeds/ft2")


def test_pure_live_seed_by_the_acre_stays_a_weight() -> None:
    """Read as pounds, or refused with a hint of pounds."""
    assert rate("60 lb/ac PLS").basis == "pls"
    assert '"60 lb/ac PLS"' in _refused(rate, "60 lb PLS/ac").hint


def test_a_million_seeds_are_not_those_in_digits() -> None:
    """The hint is an example, not 1.2 seeds to the square foot."""
    assert "1.2" not in _refused(rate, "1.2 million seeds/ac").hint


@pytest.mark.parametrize(
    ("kind", "given"),
    [
        ("time", "$240/day"),
        ("time", "$50,000/yr"),
        ("volume", "395 cents/gal"),
        ("volume", "$-3.95/gal"),
        ("volume", "$3.95/imperial gal"),
    ],
)
def test_a_price_by_something_else_is_answered_by_an_example(kind: Kind, given: str) -> None:
    """An hour at the price of a day would make the job ten times as dear."""
    hint = _refused(money(kind), given).hint
    assert not any(number in hint for number in ("240", "50000", "50,000", "395", "$-"))
    money(kind)(hint.split('"')[1])


@pytest.mark.parametrize(
    ("kind", "given", "meant"),
    [
        ("time", "24/h", "$24/h"),
        ("time", "24", "$24/h"),
        ("volume", "3.95/L", "$3.95/L"),
        ("volume", "3.95", "$3.95/gal"),
    ],
)
def test_a_price_without_a_sign_keeps_its_number_and_unit(kind: Kind, given: str, meant: str) -> None:
    """As it was meant."""
    hint = _refused(money(kind), given).hint
    assert meant in hint
    money(kind)(meant)


def test_a_price_of_a_ton_of_seed_is_not_that_of_a_pound() -> None:
    """Nor of a bag."""
    assert "900" not in _refused(price, "$900/ton").hint
    assert '"$9/lb"' in _refused(price, "9").hint


@pytest.mark.parametrize(
    ("given", "shown"), [(True, "true"), (date(2026, 1, 1), "2026-01-01"), ([7.5, "in"], '[7.5, "in"]')]
)
def test_what_is_no_quantity_is_quoted_as_it_was_typed(given: object, shown: str) -> None:
    """Not as a programming language writes it."""
    assert _refused(lambda value: parse_quantity(value, "length"), given).values["given"] == shown
