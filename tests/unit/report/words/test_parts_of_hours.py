"""Hours of parts as shown: what is shown adds up to what is shown of the whole."""

from __future__ import annotations

import random
from itertools import starmap

import pytest

from fieldplan.report.words.hours import clock_in_parts, hours, hours_in_parts


def _minutes(shown: str) -> float:
    """Of "1 h 5 min", "2.5 h" or "40 min"."""
    words = shown.replace(",", "").split()
    return sum(
        float(number) * (60 if unit == "h" else 1)
        for number, unit in zip(words[::2], words[1::2], strict=True)
    )


def _drawn(seed: int, min_s: int, max_s: int) -> list[float]:
    draw = random.Random(seed)
    return [float(draw.randint(min_s, max_s)) for _ in range(draw.randint(1, 7))]


@pytest.mark.parametrize("seed", range(20))
def test_parts_on_the_clock_add_up_to_the_minute(seed: int) -> None:
    """And each is within a minute of what it is."""
    parts_s = _drawn(seed, 0, 20_000)
    shown, whole = clock_in_parts(parts_s)
    assert sum(map(_minutes, shown)) == _minutes(whole) == round(sum(parts_s) / 60)
    assert all(
        starmap(lambda part, text: abs(part / 60 - _minutes(text)) < 1, zip(parts_s, shown, strict=True))
    )


@pytest.mark.parametrize("seed", range(20))
def test_hours_of_parts_add_up_to_the_tenth(seed: int) -> None:
    """Parts of an hour and more, and so do minutes where all are shorter."""
    long_s, short_s = _drawn(seed, 3600, 40_000), _drawn(seed, 0, 3599)
    assert sum(map(_minutes, hours_in_parts(long_s))) == pytest.approx(_minutes(hours(sum(long_s))))
    assert sum(map(_minutes, hours_in_parts(short_s))) == round(sum(short_s) / 60)


@pytest.mark.parametrize(
    ("parts_s", "shown"),
    [
        ([3744, 3744, 3744], ["1.1 h", "1.0 h", "1.0 h"]),  # 1.04 h each, 3.12 h in all
        ([7200, 1800], ["2.0 h", "30 min"]),
        ([90, 90], ["2 min", "1 min"]),
        ([3600], ["1.0 h"]),
        ([3599], ["60 min"]),
        ([], []),
    ],
)
def test_the_part_that_loses_max_by_rounding_is_rounded_up(parts_s: list[float], shown: list[str]) -> None:
    """By the largest remainder; of equal ones the first."""
    assert hours_in_parts(parts_s) == shown


@pytest.mark.parametrize(
    ("parts_s", "shown", "whole"),
    [
        ([0.0], ["0 min"], "0 min"),
        ([3600.0, 300.0], ["1 h", "5 min"], "1 h 5 min"),
        ([3540.0, 60.0], ["59 min", "1 min"], "1 h"),
        ([90.0, 90.0], ["2 min", "1 min"], "3 min"),
        ([3_600_000.0], ["1,000 h"], "1,000 h"),
    ],
)
def test_a_clock_says_hours_and_minutes(parts_s: list[float], shown: list[str], whole: str) -> None:
    """Neither where there are none, but for nothing at all."""
    assert clock_in_parts(parts_s) == (shown, whole)
