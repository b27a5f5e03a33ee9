"""Places, distances and areas in errors."""

from __future__ import annotations

from decimal import Decimal

import pytest

from fieldplan.report.words.shown import shown_money, shown_place
from fieldplan.units import shown_acres, shown_distance


@pytest.mark.parametrize(
    ("lon", "shown"),
    [(-93.5, "-93.50000"), (180.0, "180.00000"), (-180.0, "-180.00000"), (180.25, "-179.75000"), (-180.25, "179.75000"),
     (190.0, "-170.00000"), (266.5, "-93.50000"), (360.0, "0.00000"), (-453.5, "-93.50000")],
)  # fmt: skip
def test_a_longitude_beyond_the_date_line_is_told_from_its_other_side(lon: float, shown: str) -> None:
    """A whole turn more or less is the same place; latitude first, to five decimals."""
    assert shown_place((lon, 42.123456)) == f"42.12346, {shown}"


@pytest.mark.parametrize(
    ("distance_m", "shown"),
    [(0.5, "0.50 m (1.64 ft)"), (0.999, "1.00 m (3.28 ft)"), (1.0, "1.0 m (3.3 ft)"), (30.48, "30.5 m (100.0 ft)"), (100.0, "100 m (328 ft)"),
     (9999.0, "9,999 m (32,805 ft)"), (10_000.0, "10 km (6 mi)"), (1609.344e3, "1,609 km (1,000 mi)")],
)  # fmt: skip
def test_a_distance_is_told_as_fine_as_it_is_long(distance_m: float, shown: str) -> None:
    """1 ft = 0.3048 m, 1 mi = 1609.344 m (NIST SP 811, B.8)."""
    assert shown_distance(distance_m) == shown


@pytest.mark.parametrize(
    ("acres", "shown"),
    [(0.0, "0.0000 ac (0.0000 ha)"), (0.0999, "0.0999 ac (0.0404 ha)"), (0.1, "0.10 ac (0.04 ha)"), (2.5, "2.50 ac (1.01 ha)"), (2471.05, "2,471.05 ac (1,000.00 ha)")],
)  # fmt: skip
def test_an_area_is_told_as_fine_as_it_is_small(acres: float, shown: str) -> None:
    """1 ac = 0.40468564224 ha; from a tenth of an acre on, itself included, two decimals do."""
    assert shown_acres(acres * 4046.8564224) == shown


@pytest.mark.parametrize(
    ("amount", "currency", "exact", "shown"),
    [("1234.5", "$", False, "$1,234.50"), ("-7", "EUR", False, "−7.00 EUR"), ("0", "$", False, "$0.00"), ("-0.125", "$", True, "−$0.125"),
     ("1234.125", "CAD", True, "1,234.125 CAD"), ("0.125", "$", False, "$0.12")],
)  # fmt: skip
def test_money_is_told_to_the_cent_or_in_its_own_digits(amount: str, currency: str, exact: bool, shown: str) -> None:
    """A sign before it, a code after."""
    assert shown_money(Decimal(amount), currency, exact=exact) == shown
