"""Rate charts: straight between lines, and nothing beside them."""

from __future__ import annotations

import pytest

from fieldplan.errors import InputError
from fieldplan.model.machine import ChartPoint
from fieldplan.seed.calibration import (
    catch_kg,
    caught_rate_kg_per_m2,
    charted,
    charted_rate_kg_per_m2,
    charted_setting,
    ground_of_turns_m,
    next_setting,
    slip_of,
)


def _points(*lines: tuple[str, str, float, float]) -> list[ChartPoint]:
    return [
        ChartPoint(seed=seed, gear_range=gear, setting=setting, bulk_kg_per_m2=rate)
        for seed, gear, setting, rate in lines
    ]


OATS = _points(("oats", "low", 20, 0.006), ("oats", "low", 40, 0.010), ("oats", "low", 30, 0.008))


def test_lines_of_a_chart_stand_by_setting() -> None:
    """However they were written down, and whatever capitals the seed has."""
    assert [one.setting for one in charted(OATS, "Oats", None)] == [20, 30, 40]


def test_between_lines_a_chart_is_straight() -> None:
    """Half way from 6 to 8 g/m² is half way from 20 to 30, there and back."""
    lines = charted(OATS, "oats", "LOW")
    assert charted_setting(lines, 0.007) == pytest.approx(25)
    assert charted_rate_kg_per_m2(lines, 25) == pytest.approx(0.007)


def test_a_chart_taken_to_be_wrong_by_one_share_gives_the_next_setting() -> None:
    """At 30 it says 8 and 10 g/m² fell: a quarter more all over, so 10 is wanted where it says 8. Without a
    chart, in proportion.
    """
    assert next_setting(30, 0.0075, 0.010, charted(OATS, "oats", None)) == pytest.approx(20)
    assert next_setting(30, 0.008, 0.010) == pytest.approx(24)


def test_a_catch_is_rate_times_ground() -> None:
    """10 g/m² over 20 m of two rows 0.2 m apart, 8 m², is 80 g, and back."""
    assert catch_kg(0.010, 0.2, 20, 2) == pytest.approx(0.080)
    assert caught_rate_kg_per_m2(0.080, 0.2, 20, 2) == pytest.approx(0.010)


@pytest.mark.parametrize(
    ("points", "seed", "gear", "code", "text", "hint"),
    [
        (OATS, "rye", None, "chart-seed", 'the rate chart has no line for "rye".', "it has: oats"),
        ([], "rye", None, "chart-seed", 'the rate chart has no line for "rye".', "it has: nothing"),
        (
            OATS[:1],
            "oats",
            None,
            "chart-thin",
            'the rate chart has fewer than two settings for "oats".',
            'add lines, or use another gear range: "low"',
        ),
        (
            OATS,
            "oats",
            "high",
            "chart-thin",
            'the rate chart has fewer than two settings for "oats" in gear range "high".',
            'add lines, or use another gear range: "low"',
        ),
        (
            [*OATS, *_points(("oats", "high", 20, 0.02))],
            "oats",
            None,
            "chart-range",
            'the rate chart has "oats" in several gear ranges: "high", "low".',
            'name one of: "high", "low"',
        ),
    ],
)
def test_what_a_chart_does_not_say(
    points: list[ChartPoint], seed: str, gear: str | None, code: str, text: str, hint: str
) -> None:
    """Which lines it has instead."""
    with pytest.raises(InputError) as found:
        charted(points, seed, gear)
    (problem,) = found.value.problems
    assert (problem.code, problem.text, problem.hint) == (code, text, hint)


def test_outside_its_lines_a_chart_says_nothing() -> None:
    """Neither of a rate nor of a setting; nor of rates that fall while settings rise."""
    lines = charted(OATS, "oats", None)
    with pytest.raises(InputError, match="the rate is outside the rate chart in this gear range"):
        charted_setting(lines, 0.011)
    with pytest.raises(InputError, match=r"^the setting is outside the rate chart\.$"):
        charted_rate_kg_per_m2(lines, 19)
    with pytest.raises(InputError, match="do not rise"):
        charted_setting(charted(_points(("a", "", 1, 0.02), ("a", "", 2, 0.01)), "a", None), 0.015)


def test_a_wheel_that_slips_stands_for_more_ground() -> None:
    """20 turns of 2.5 m are 50 m; of 25 that were expected, so a fifth of them slip, and 50 m of turns are
    62.5 m of ground.
    """
    assert ground_of_turns_m(20, 2.5) == pytest.approx(50)
    assert slip_of(20, 25) == pytest.approx(0.2)
    assert ground_of_turns_m(20, 2.5, slip_of(20, 25)) == pytest.approx(62.5)


def test_the_ends_of_a_chart_are_on_it() -> None:
    """20 sows 6 g/m² and 40 sows 10, there and back."""
    lines = charted(OATS, "oats", None)
    assert [charted_rate_kg_per_m2(lines, setting) for setting in (20, 40)] == [0.006, 0.010]
    assert [charted_setting(lines, rate) for rate in (0.006, 0.010)] == [20, 40]
