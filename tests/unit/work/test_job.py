"""Hours around the fields, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldplan.model.job import WorkingTerms
from fieldplan.report.words.phrases.table import PHRASES
from fieldplan.work.job import PARTS, job_time, longest_load_s, no_time

DEGREE_M = 111_319.490793
"""A degree of longitude on the equator: π × 6,378,137 m / 180, exact by the definition of WGS 84."""


@pytest.fixture
def terms(working: WorkingTerms) -> WorkingTerms:
    """An hour to fetch the drill, half an hour each to set it up, calibrate and clean it; 10 m/s on roads
    half as long again.
    """
    return replace(
        working,
        pick_up_s=3600.0,
        set_up_s=1800.0,
        calibration_s=1800.0,
        clean_out_s=1800.0,
        towing_speed_m_per_s=10.0,
        road_factor=1.5,
    )


def test_all_parts_add_to_the_job_and_have_a_name(terms: WorkingTerms) -> None:
    """One field of 10,000 s and box changes of 600: 3,600 + 3 × 1,800 + 10,600, and nothing to move."""
    time = job_time(10_000.0, [(0.0, 0.0)], terms, changing_s=600.0)
    assert {part.key: part.spent_s for part in time.parts} == {
        "pick_up": 3600,
        "set_up": 1800,
        "calibration": 1800,
        "field": 10_000,
        "changing": 600,
        "moving": 0,
        "clean_out": 1800,
    }
    assert (time.job_s, time.field_s) == (19_600, 10_000)
    assert {f"time-part/{key}" for key in PARTS} <= PHRASES.keys()


def test_a_move_is_the_straight_way_by_the_road_factor_over_the_speed(terms: WorkingTerms) -> None:
    """A hundredth of a degree on the equator = 1,113.195 m; × 1.5 / 10 m/s."""
    time = job_time(0.0, [(0.0, 0.0), (0.01, 0.0)], terms)
    assert time.job_s - job_time(0.0, [(0.0, 0.0)], terms).job_s == pytest.approx(DEGREE_M / 100 * 0.15)


def test_a_move_that_was_given_stands_in_for_the_reckoned_one(terms: WorkingTerms) -> None:
    """The second of three gates in 240 s, as said; the third reckoned. What is said of the first, which
    nobody moves to, is left out.
    """
    gates = [(0.0, 0.0), (0.01, 0.0), (0.02, 0.0)]
    time = job_time(0.0, gates, terms, [999.0, 240.0, None])
    assert next(part.spent_s for part in time.parts if part.key == "moving") == pytest.approx(
        240 + DEGREE_M / 100 * 0.15
    )


def test_other_hours_in_the_fields_change_nothing_around_them(terms: WorkingTerms) -> None:
    """19,000 s less 10,000 in the fields and 4,000 instead."""
    time = job_time(10_000.0, [(0.0, 0.0)], terms).with_field_s(4_000.0)
    assert (time.job_s, time.field_s) == (13_000, 4_000)


@pytest.mark.parametrize(("crews", "longest"), [(1, 24), (2, 13), (3, 9), (9, 9)])
def test_the_longest_field_goes_to_the_crew_with_the_min(crews: int, longest: float) -> None:
    """9, 7, 4, 4: two crews take 9 + 4 and 7 + 4; three 9, 7 and 4 + 4; more crews than fields stand
    idle.
    """
    assert longest_load_s([4.0, 9.0, 4.0, 7.0], crews) == longest


def test_nobody_fetches_a_drill_for_nothing() -> None:
    """All parts are there, and nothing in them."""
    assert [part.key for part in no_time().parts] == list(PARTS)
    assert no_time().job_s == 0
