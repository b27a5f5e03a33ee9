"""Sunrise and sunset against published tables."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from fieldplan.work.daylight import daylight_s, sun_times

MINUTE = timedelta(minutes=1)
USNO = {
    (1, 1): ("0722", "1700"),
    (2, 1): ("0711", "1732"),
    (3, 1): ("0638", "1802"),
    (4, 1): ("0552", "1831"),
    (5, 1): ("0512", "1858"),
    (6, 1): ("0448", "1923"),
    (7, 1): ("0451", "1932"),
    (8, 1): ("0512", "1915"),
    (9, 1): ("0539", "1836"),
    (10, 1): ("0604", "1750"),
    (11, 1): ("0633", "1709"),
    (12, 1): ("0704", "1650"),
}


@pytest.mark.parametrize(("month", "day"), USNO)
def test_a_year_of_sunrises(month: int, day: int) -> None:
    """United States Naval Observatory table for 2008, W121°55' N37°24', eight hours behind UTC, to a
    minute.
    """
    times = sun_times(date(2008, month, day), 37 + 24 / 60, -(121 + 55 / 60))
    assert times is not None
    for got, printed in zip(times, USNO[month, day], strict=True):
        wanted = datetime(2008, month, day, int(printed[:2]), int(printed[2:]), tzinfo=UTC) + timedelta(
            hours=8
        )
        assert abs(got - wanted) <= MINUTE


def test_solar_position_sample() -> None:
    """NREL solar position algorithm sample, 17 October 2003, 39.742476° N, 105.1786° W, seven hours behind
    UTC: sunrise 06:12:43.

    Its sunset of 17:20:19 belongs to the local day before, as UTC days are counted; on the 17th it is
    17:18:50.
    """
    times = sun_times(date(2003, 10, 17), 39.742476, -105.1786)
    before = sun_times(date(2003, 10, 16), 39.742476, -105.1786)
    assert times is not None
    assert before is not None
    local = timedelta(hours=-7)
    assert abs(times[0] + local - datetime(2003, 10, 17, 6, 12, 43, tzinfo=UTC)) <= timedelta(seconds=1)
    assert abs(times[1] + local - datetime(2003, 10, 17, 17, 18, 50, tzinfo=UTC)) <= timedelta(seconds=10)
    assert abs(before[1] + local - datetime(2003, 10, 16, 17, 20, 19, tzinfo=UTC)) <= timedelta(seconds=10)


def test_polar_days_have_no_sunrise() -> None:
    """At 70° N the sun neither rises in December nor sets in June (an astronomical fact, no table)."""
    assert sun_times(date(2027, 12, 21), 70, 25) is None
    assert daylight_s(date(2027, 12, 21), 70, 25) == 0
    assert daylight_s(date(2027, 6, 21), 70, 25) == 86_400
