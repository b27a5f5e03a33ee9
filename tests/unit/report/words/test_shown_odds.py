"""Odds as people read them."""

from __future__ import annotations

import pytest

from fieldplan.report.words.numbers import odds_text


@pytest.mark.parametrize(
    ("prob", "asked_prob", "shown"),
    [
        (0.7975, 0.8, "79.7 %"),
        (0.79999, 0.8, "79.9 %"),
        (0.8, 0.8, "80 %"),
        (0.7975, 0.9, "80 %"),
        (0.996, 0.8, "over 99 %"),
    ],
)
def test_odds_just_under_those_asked_for_do_not_read_as_reached(
    prob: float, asked_prob: float, shown: str
) -> None:
    """1 − 0.45² = 79.75 % in two days is not the 80 % that was asked for, and does not read so."""
    assert odds_text(prob, asked_prob) == shown


@pytest.mark.parametrize(
    ("prob", "shown"),
    [
        (0.0, "0 %"),
        (0.004, "0 %"),
        (0.5, "50 %"),
        (0.9949, "99 %"),
        (0.995, "over 99 %"),
        (0.999999, "over 99 %"),
        (1.0, "100 %"),
    ],
)
def test_only_what_is_certain_reads_so(prob: float, shown: str) -> None:
    """From 99.5 %, which rounds to 100 %, up to certainty itself."""
    assert odds_text(prob) == shown
