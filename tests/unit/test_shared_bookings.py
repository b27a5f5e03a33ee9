"""Parties and what is left of them, by hours that add up on paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from conftest import SAMPLES

from fieldplan.facts import fact
from fieldplan.model.booked import Booked, BookingDuration
from fieldplan.model.rental_program import RentalProgram, SeasonDrill
from fieldplan.season.going_on import begun_together, left_s
from fieldplan.season.program import load_program
from fieldplan.season.shared_bookings import shared_bookings_of
from fieldplan.units import HOUR_S, MINUTE_S

MAY = (date(2027, 5, 3), date(2027, 5, 7))


@pytest.fixture
def program() -> RentalProgram:
    """The sample season where days may be shared."""
    found = load_program(SAMPLES / "season.toml")
    return replace(found, terms=replace(found.terms, share_days=True))


def _drill(program: RentalProgram, **booking: float) -> SeasonDrill:
    """A drill of 8 hours a day that is towed at 10 m/s; half of all days are fit."""
    drill = program.drills[0]
    job = drill.job
    working = replace(job.working, towing_speed_m_per_s=10.0, clean_out_s=45 * MINUTE_S)
    terms = replace(
        job.booking,
        **{
            "day_s": 8 * HOUR_S,
            "fieldwork_day_prob": 0.5,
            "uncertainty_frac": 0.0,
            "persistence_frac": 0.0,
            **booking,
        },
    )
    return replace(drill, job=replace(job, working=working, booking=terms))


def _length(job_s: float, road_s: float = 30 * MINUTE_S, days: int = 3) -> BookingDuration:
    return BookingDuration(days=days, job_s=job_s, road_s=road_s, field_s=2 * HOUR_S, ground_m2=1.0)


ROADS = [[0, 9_000], [9_000, 0]]
"""A quarter of an hour at 10 m/s."""


def test_hours_that_fill_the_day_share_it_and_a_minute_more_does_not(program: RentalProgram) -> None:
    """4 h + (4 h 15 min − 30 min + 15 min) = 8 h either way round; booked for the days of one fit day: 1 −
    0.5³ ≥ 80 %.
    """
    drill = _drill(program)
    a, b = _length(4 * HOUR_S), _length(4 * HOUR_S + 15 * MINUTE_S)
    found = list(shared_bookings_of(drill, program, {0: a, 1: b}, [MAY, MAY], ROADS))
    assert [shared_booking.requests for shared_booking in found] == [(0, 1), (1, 0)]
    assert [shared_booking.together_s for shared_booking in found] == [8 * HOUR_S, 8 * HOUR_S]
    assert [shared_booking.days for shared_booking in found] == [3, 3]
    assert [[duration.job_s for duration in shared_booking.durations] for shared_booking in found] == [
        [4 * HOUR_S, 4 * HOUR_S],
        [4 * HOUR_S + 15 * MINUTE_S, 3 * HOUR_S + 45 * MINUTE_S],
    ]
    longer = replace(a, job_s=a.job_s + MINUTE_S)
    assert not list(shared_bookings_of(drill, program, {0: longer, 1: b}, [MAY, MAY], ROADS))


def test_only_the_order_that_fits_is_offered(program: RentalProgram) -> None:
    """The second saves its own long way to collect: 3.5 h of it going first is too much, going second it is
    not.
    """
    near, far = _length(4 * HOUR_S), _length(6 * HOUR_S, road_s=3.5 * HOUR_S)
    found = list(shared_bookings_of(_drill(program), program, {0: near, 1: far}, [MAY, MAY], ROADS))
    assert [shared_booking.requests for shared_booking in found] == [(0, 1)]


def test_who_cannot_share(program: RentalProgram) -> None:
    """Windows that share no day, a drill that cannot do one, a season without sharing, and days that
    sharing does not save.
    """
    drill, durations = _drill(program), {0: _length(3 * HOUR_S), 1: _length(3 * HOUR_S)}
    assert list(shared_bookings_of(drill, program, durations, [MAY, MAY], ROADS))
    june = (date(2027, 6, 1), date(2027, 6, 5))
    assert not list(shared_bookings_of(drill, program, durations, [MAY, june], ROADS))
    assert not list(
        shared_bookings_of(
            drill,
            program,
            durations | {1: BookingDuration(cannot=fact("nothing-of-it-drilled"))},
            [MAY, MAY],
            ROADS,
        )
    )
    never = replace(program, terms=replace(program.terms, share_days=False))
    assert not list(shared_bookings_of(drill, never, durations, [MAY, MAY], ROADS))
    sure = _drill(program, fieldwork_day_prob=1.0, uncertainty_frac=0.2)
    close = {0: _length(4 * HOUR_S, days=1), 1: _length(4 * HOUR_S, days=1)}
    assert not list(shared_bookings_of(sure, program, close, [MAY, MAY], ROADS))
    assert list(
        shared_bookings_of(_drill(program, fieldwork_day_prob=1.0), program, close, [MAY, MAY], ROADS)
    )


def _booked(*others: str, drill: str = "ten foot") -> Booked:
    return Booked(drill=drill, days=(MAY[0],), shares_with=others)


def test_who_goes_on_together() -> None:
    """Those that share and have both begun, in the order of the bookings; a finished one and one of another
    drill are left out.
    """
    was = {
        "A": _booked("B"),
        "B": _booked("A"),
        "C": _booked("D"),
        "D": _booked("C"),
        "E": _booked("A", drill="prairie"),
    }
    assert begun_together({"B", "A", "D", "E"}, was) == [("A", "B"), ("D",), ("E",)]


def test_what_is_left_of_a_party(program: RentalProgram) -> None:
    """First half done: 1 h + 45 min. Second not begun: 4 h − 30 min + 15 min. Begun to a quarter: 1 h 30
    min + 45 min.
    """
    drill, was = _drill(program), {"A": _booked("B"), "B": _booked("A")}
    durations, road_s = {"A": _length(4 * HOUR_S), "B": _length(4 * HOUR_S)}, {("A", "B"): 15 * MINUTE_S}
    left = left_s(("A", "B"), was, {"A": 0.5, "B": 0.0}, durations, road_s, drill)
    assert left == (60 + 45 + 240 - 30 + 15) * MINUTE_S
    left = left_s(("A", "B"), was, {"A": 0.5, "B": 0.25}, durations, road_s, drill)
    assert left == (60 + 45 + 90 + 45) * MINUTE_S
    assert left_s(("B",), was, {"B": 0.0}, durations, {}, drill) == 4 * HOUR_S
    assert left_s(("A",), was, {"A": 0.0}, durations, {}, drill) == (120 + 45) * MINUTE_S
