"""Headings as people read them."""

from __future__ import annotations

import pytest

from fieldplan.report.words.money_and_places import heading_text


@pytest.mark.parametrize(
    ("heading_deg", "digits", "shown"),
    [
        (0.0, 0, "0"),
        (179.4, 0, "179"),
        (179.6, 0, "0"),
        (179.96, 1, "0.0"),
        (89.96, 1, "90.0"),
        (0.04, 1, "0.0"),
    ],
)
def test_passes_run_either_way_so_180_degrees_are_none(heading_deg: float, digits: int, shown: str) -> None:
    """A heading just under 180° is north and south, like one of 0°: the two read alike."""
    assert heading_text(heading_deg, digits) == shown


def test_a_heading_is_told_in_whole_degrees_unless_more_is_asked_for() -> None:
    """As on a compass."""
    assert heading_text(89.6) == "90"
