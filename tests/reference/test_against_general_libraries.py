"""Units against pint, odds against scipy."""

from __future__ import annotations

import pint
import pytest
from scipy.stats import binom

from fieldplan.typed_quantity import parse_quantity
from fieldplan.work.booking import prob_done_within


@pytest.mark.parametrize(
    ("text", "kind", "pint_text", "si"),
    [
        ("10 ft", "length", "10 foot", "m"),
        ("7.5 in", "length", "7.5 inch", "m"),
        ("4.5 mph", "speed", "4.5 mile/hour", "m/s"),
        ("12 lb/ac", "mass rate", "12 pound/(43560 foot**2)", "kg/m**2"),
        ("8 lb/bu", "density", "8 pound/(2150.42 inch**3)", "kg/m**3"),
        ("75 hp", "power", "75 horsepower", "W"),
        ("50 lb", "mass", "50 pound", "kg"),
        ("2 h", "time", "2 hour", "s"),
    ],
)
def test_units_agree_with_pint(text: str, kind: str, pint_text: str, si: str) -> None:
    """The acre is the international one, 43,560 ft²; pint's own acre is the survey acre."""
    assert parse_quantity(text, kind) == pytest.approx(
        pint.UnitRegistry()(pint_text).to(si).magnitude, rel=1e-9
    )  # type: ignore[arg-type]


@pytest.mark.parametrize("needed", [1, 2, 5, 9])
@pytest.mark.parametrize("prob", [0.05, 0.55, 0.9, 1.0])
def test_odds_are_the_binomial_tail(needed: int, prob: float) -> None:
    """P(at least k fit days among N)."""
    for days in range(needed, needed + 15):
        assert prob_done_within(days, needed, prob) == pytest.approx(
            binom.sf(needed - 1, days, prob), abs=1e-12
        )
