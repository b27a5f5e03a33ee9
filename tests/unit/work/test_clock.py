"""The clock of a route of a few legs, each second worked by hand from the terms below."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from shapely import LineString

from fieldplan.model.coverage import Leg, LegKind
from fieldplan.model.job import WorkingTerms
from fieldplan.model.work import FieldTime
from fieldplan.report.words.phrases.table import PHRASES
from fieldplan.work.clock import KIND_OF, KINDS, field_time, leg_s

TERMS = WorkingTerms(
    field_speed_m_per_s=2.0,
    turn_speed_m_per_s=1.0,
    turn_extra_s=5.0,
    backing_speed_m_per_s=0.5,
    direction_change_s=4.0,
    backing_saves_s=10.0,
    smallest_obstacle_m2=0.0,
    lift_over_m=0.0,
    refill_time_s=600.0,
    tube_check_s=0.0,
    pick_up_s=0.0,
    set_up_s=0.0,
    calibration_s=0.0,
    clean_out_s=0.0,
    towing_speed_m_per_s=10.0,
    road_factor=1.3,
    break_every_s=4 * 3600.0,
)
WIDTH_M = 3.0


def _leg(kind: LegKind, length_m: float = 0.0) -> Leg:
    return Leg(kind=kind, line=LineString([(0, 0), (length_m, 0)]), length_m=length_m)


ROUTE = (
    _leg("pass", 400),
    _leg("turn", 15),
    _leg("pass", 400),
    _leg("transfer", 50),
    _leg("refill"),
    _leg("transfer", 50),
    _leg("headland", 400),
)
"""Sown 3 × 400 m at 2 m/s = 600 s; turned 15 m at 1 m/s and 5 s = 20 s; driven lifted 100 s; filled 600 s: 1,320 s in all."""


def _time(
    terms: WorkingTerms = TERMS, expected: tuple[float, float] = (0.0, 9.0), route: tuple[Leg, ...] = ROUTE
) -> FieldTime:
    return field_time("a", route, 3600.0, WIDTH_M, terms, (0.65, 0.70), expected)


def _spent(time: FieldTime) -> dict[str, float]:
    return {part.key: part.spent_s for part in time.parts}


def test_every_kind_of_leg_is_time_of_one_part_that_has_a_name() -> None:
    """No leg is driven off the clock, none counts twice, and each part can be told in full and in short."""
    assert sorted(leg for kind in KINDS for leg in kind.legs) == sorted(get_args(LegKind))
    assert {
        f"{name}/{kind.key}" for name in ("time-part", "time-part-short") for kind in KINDS
    } <= PHRASES.keys()
    assert {f"leg/{leg}" for leg in KIND_OF} <= PHRASES.keys()


def test_parts_are_the_lengths_over_their_speeds() -> None:
    """600 s of sowing, 20 s of turns, 100 s lifted, 600 s of refills."""
    time = _time()
    assert _spent(time) == {
        "drilling": 600,
        "turning": 20,
        "travelling": 100,
        "refilling": 600,
        "checking": 0,
        "breaks": 0,
    }
    assert time.field_s == 1320


def test_legs_follow_each_other_on_the_clock() -> None:
    """200, 220, 420, 470, 1,070, 1,120 s: each begins where the one before ends."""
    assert [leg.start_s for leg in _time().legs] == [0, 200, 220, 420, 470, 1070, 1120]


def test_efficiency_is_ground_over_width_speed_and_time() -> None:
    """3,600 m² / (3 m × 2 m/s × 1,320 s) = 5/11; capacity 3,600 / 1,320 m²/s; the handbook: 3,600 / (6 ×
    0.70) and / (6 × 0.65) s.
    """
    time = _time()
    assert time.field_efficiency_frac == pytest.approx(5 / 11)
    assert time.field_capacity_m2_per_s == pytest.approx(3600 / 1320)
    assert time.handbook_s == (pytest.approx(3600 / 4.2), pytest.approx(3600 / 3.9))


def test_a_tube_check_stands_before_the_first_sown_leg_and_after_each_refill() -> None:
    """Two of 60 s; the second waits for the way back to be driven."""
    time = _time(replace(TERMS, tube_check_s=60.0))
    assert [leg.leg.kind for leg in time.legs] == [
        "check",
        "pass",
        "turn",
        "pass",
        "transfer",
        "refill",
        "transfer",
        "check",
        "headland",
    ]
    assert _spent(time)["checking"] == 120


def test_a_break_comes_at_the_end_of_the_sown_leg_in_which_it_falls_due() -> None:
    """Due after 600 s: at 1,320 s the last leg is done and nobody waits; with a leg more it is taken before
    it.
    """
    terms = replace(TERMS, break_s=900.0, break_every_s=600.0)
    assert _spent(_time(terms))["breaks"] == 0
    longer = _time(terms, route=(*ROUTE, _leg("turn", 15), _leg("pass", 400)))
    assert [leg.leg.kind for leg in longer.legs][-4:] == ["headland", "break", "turn", "pass"]
    assert _spent(longer)["breaks"] == 900


def test_the_clock_of_breaks_goes_on_from_the_last_one() -> None:
    """Passes of 400 s, due every 600 s: after the second, the fourth and the sixth of seven, and not at the
    end.
    """
    route = tuple(_leg("pass", 800) for _ in range(7))
    time = _time(replace(TERMS, break_s=100.0, break_every_s=600.0), route=route)
    assert [n for n, leg in enumerate(time.legs) if leg.leg.kind == "break"] == [2, 5, 8]


def test_what_is_not_asked_for_is_not_counted() -> None:
    """Checks and breaks are parts of a job that asks for them, even where none comes due."""
    assert [part.key for part in _time().parts if not part.counted] == ["checking", "breaks"]
    asked = _time(replace(TERMS, tube_check_s=1.0, break_s=900.0))
    assert all(part.counted for part in asked.parts)


def test_nothing_driven_takes_no_time() -> None:
    """All parts are there and empty; there is no efficiency and no note on it."""
    time = _time(route=())
    assert (time.field_s, time.field_efficiency_frac, time.notes) == (0, None, ())
    assert set(_spent(time)) == {kind.key for kind in KINDS}


@pytest.mark.parametrize(
    ("expected", "sentence"),
    [
        (
            (0.50, 0.80),
            "Field efficiency is 45 %, below the usual 50 % to 80 %: 45 % of the time goes into refills in a field this small or odd in shape.",
        ),
        (
            (0.458, 0.80),
            "Field efficiency is 45.5 %, below the usual 46 % to 80 %: 45 % of the time goes into refills in a field this small or odd in shape.",
        ),
        (
            (0.20, 0.40),
            "Field efficiency is 45 %, above the usual 20 % to 40 %: passes are long and stops few; breaks, plugging and adjusting are not on the clock.",
        ),
        (
            (0.20, 0.452),
            "Field efficiency is 45.5 %, above the usual 20 % to 45 %: passes are long and stops few; breaks, plugging and adjusting are not on the clock.",
        ),
    ],
)
def test_an_unusual_efficiency_is_told_with_its_cause(expected: tuple[float, float], sentence: str) -> None:
    """5/11 = 45.45 %, refills 600 of 1,320 s; just beside a bound with a decimal, so that the two do not
    read the same.
    """
    (note,) = _time(expected=expected).notes
    assert note.text == sentence


def test_each_sowing_counts_the_ground_once_more_for_the_handbook_and_the_judgement() -> None:
    """Sown twice over, 5/11 is judged as 10/11, and the handbook's hours are those of twice the ground."""
    time = _time(replace(TERMS, sowings=2), expected=(0.5, 0.95))
    assert time.notes == ()
    assert time.handbook_s[0] == pytest.approx(2 * 3600 / 4.2)


def test_a_turn_has_its_extra_and_a_way_has_not() -> None:
    """30 m at 1 m/s: 35 s turned, 30 s driven over."""
    assert (leg_s(_leg("turn", 30), TERMS), leg_s(_leg("transfer", 30), TERMS)) == (35, 30)
