"""Places, distances and areas in errors."""

from __future__ import annotations

from decimal import Decimal

import pytest

from fieldplan.report.words.money_and_places import money_text, place_text


@pytest.mark.parametrize(
    ("lon", "shown"),
    [
        (-93.5, "-93.50000"),
        (180.0, "180.00000"),
        (-180.0, "-180.00000"),
        (180.25, "-179.75000"),
        (-180.25, "179.75000"),
        (190.0, "-170.00000"),
        (266.5, "-93.50000"),
        (360.0, "0.00000"),
        (-453.5, "-93.50000"),
    ],
)
def test_a_longitude_beyond_the_date_line_is_told_from_its_other_side(lon: float, shown: str) -> None:
    """A whole turn more or less is the same place; latitude first, to five decimals."""
    assert place_text((lon, 42.123456)) == f"42.12346, {shown}"


@pytest.mark.parametrize(
    ("amount", "currency", "exact", "shown"),
    [
        ("1234.5", "$", False, "$1,234.50"),
        ("-7", "EUR", False, "−7.00 EUR"),
        ("0", "$", False, "$0.00"),
        ("-0.125", "$", True, "−$0.125"),
        ("1234.125", "CAD", True, "1,234.125 CAD"),
        ("0.125", "$", False, "$0.12"),
    ],
)
def test_money_is_told_to_the_cent_or_in_its_own_digits(
    amount: str, currency: str, exact: bool, shown: str
) -> None:
    """A sign before it, a code after."""
    assert money_text(Decimal(amount), currency, exact=exact) == shown
