"""The working days of a job: days off, daylight, and how many of them it takes."""

from __future__ import annotations

from datetime import date, timedelta

from fieldplan.model.job import BookingTerms
from fieldplan.work.daylight import daylight_s

MAX_DAYS = 366
_ROUNDING = 1e-9


def working_days_s(terms: BookingTerms, place_lonlat: tuple[float, float] | None) -> list[float]:
    """Working time of each of 366 days from the start, in s.

    It is 0 on days off. Where date and place are known, it is no more than the daylight.
    """
    if terms.start is None:
        return [terms.day_s] * MAX_DAYS
    return [_working_day_s(terms, terms.start + timedelta(days=k), place_lonlat) for k in range(MAX_DAYS)]


def _working_day_s(terms: BookingTerms, on: date, place_lonlat: tuple[float, float] | None) -> float:
    if on.weekday() in terms.weekdays_off or on in terms.dates_off:
        return 0.0
    if place_lonlat is None:
        return terms.day_s
    return min(terms.day_s, daylight_s(on, place_lonlat[1], place_lonlat[0]))


def fieldwork_days_needed(job_s: float, hours: list[float]) -> int:
    """Working days that the job takes if every one is a fieldwork day; longer jobs repeat the first year."""
    years, left = divmod(job_s, sum(hours)) if 0 < sum(hours) < job_s else (0.0, job_s)
    needed = int(years) * sum(seconds > 0 for seconds in hours)
    for seconds in hours:
        if left <= job_s * _ROUNDING and needed > 0:
            break
        needed += seconds > 0
        left -= seconds
    return max(1, needed)
