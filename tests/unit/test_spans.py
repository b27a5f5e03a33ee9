"""Least and most as people write them."""

from __future__ import annotations

import pytest

from fieldplan.errors import InputError
from fieldplan.jobfile.spans import budget, span
from fieldplan.units import ACRE_M2, Kind

READ: tuple[tuple[str, Kind, tuple[float | None, float | None]], ...] = (
    ("at least 20 %", "share", (0.2, None)),
    ("At  most 20 %", "share", (None, 0.2)),
    ("up to 20 %", "share", (None, 0.2)),
    ("20 to 30 %", "share", (0.2, 0.3)),
    ("20 % to 30 %", "share", (0.2, 0.3)),
    ("20-30 %", "share", (0.2, 0.3)),
    ("20 %", "share", (0.2, 0.2)),
    ("430 to 540 seeds/m2", "count rate", (430.0, 540.0)),
    ("at least 1 kg/m2", "mass rate", (1.0, None)),
)


@pytest.mark.parametrize(("text", "kind", "ends"), READ)
def test_ends_are_read(text: str, kind: Kind, ends: tuple[float | None, float | None]) -> None:
    """One end, two ends, or one value for both."""
    assert span(kind)(text) == pytest.approx(ends)


@pytest.mark.parametrize(
    "value", ["", "some", 20, None, "30 to 20 %", "at least", "-5 %", "at least -5 %", "20 to %"]
)
def test_what_is_no_span_is_refused(value: object) -> None:
    """With a form that would be right, and no traceback."""
    with pytest.raises(InputError):
        span("share")(value)


@pytest.mark.parametrize(
    ("text", "amount", "currency"),
    [
        ("$150/ac", 150 / ACRE_M2, "$"),
        ("300 EUR/ha", 0.03, "EUR"),
        ("$1,500 per acre", 1500 / ACRE_M2, "$"),
    ],
)
def test_budgets_are_read(text: str, amount: float, currency: str) -> None:
    """Money for an area."""
    assert budget(text) == (pytest.approx(amount), currency)


@pytest.mark.parametrize("value", ["$150", "150/ac", "$/ac", "$150/lb", 150, None, "$-5/ac"])
def test_what_is_no_budget_is_refused(value: object) -> None:
    """Without a currency or an area it means nothing."""
    with pytest.raises(InputError):
        budget(value)
