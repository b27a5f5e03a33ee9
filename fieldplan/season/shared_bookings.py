"""Shared bookings: short jobs on the same days of a drill, because their hours, with hand-over and the road between
them, fit into one working day.

A shared booking is booked like one job of all the hours, weather risk included. Its members have the drill
on the same days and work on the same fieldwork day, one after the other. The first collects the drill from
the farthest place that it could come from, as it would alone; each other one collects it from the one
before.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise, permutations

from fieldplan.model.booked import BookingDuration
from fieldplan.model.rental_program import RentalProgram, SeasonDrill
from fieldplan.season.durations import booking_terms
from fieldplan.work.booking import booking_for

MAX_SHARING = 2
"""With more sharing, the day would have no hour left if anything goes wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedBooking:
    """Requests on the same days of a drill, in the order that they get it.

    ``durations`` has for each of them the days that all are booked for, and its own hours.
    """

    requests: tuple[int, ...]
    durations: tuple[BookingDuration, ...]

    @property
    def days(self) -> int:
        """Working days to book."""
        return self.durations[0].days

    @property
    def together_s(self) -> float:
        """Work of all of them, in seconds."""
        return sum(duration.job_s for duration in self.durations)


def shared_bookings_of(
    drill: SeasonDrill,
    program: RentalProgram,
    durations: Mapping[int, BookingDuration],
    windows: Sequence[tuple[date, date]],
    road_m: Sequence[Sequence[float]],
) -> Iterator[SharedBooking]:
    """Every shared booking that takes fewer days than its members one after the other, in each order.

    Parameters
    ----------
    durations
        What each request that may share takes with the drill, alone.
    windows
        First and last day that each request can have.
    road_m
        Meters of road from request to request.
    """
    if not program.terms.share_days:
        return
    short = [
        i
        for i, duration in durations.items()
        if duration.cannot is None and duration.job_s - duration.road_s < drill.job.booking.day_s
    ]
    for size in range(2, MAX_SHARING + 1):
        for requests in permutations(short, size):
            if max(windows[i][0] for i in requests) <= min(windows[i][1] for i in requests):
                shared_booking = _shared_booking(requests, durations, road_m, drill, program)
                if shared_booking and shared_booking.days < sum(durations[i].days for i in requests):
                    yield shared_booking


def together(
    requests: tuple[int, ...],
    durations: Mapping[int, BookingDuration],
    road_m: Sequence[Sequence[float]],
    drill: SeasonDrill,
) -> list[BookingDuration]:
    """What each member of a shared booking takes: all but the first collect the drill from the one before.

    Parameters
    ----------
    requests
        The members, in the order that they get the drill.
    durations
        What each takes alone.
    road_m
        Meters of road from request to request.

    Returns
    -------
    list
        A duration for each member; their days are still those of each one alone.
    """
    durations_together = [durations[requests[0]]]
    for before, i in pairwise(requests):
        road_s = road_m[before][i] / drill.job.working.towing_speed_m_per_s
        durations_together.append(
            replace(durations[i], job_s=durations[i].job_s - durations[i].road_s + road_s, road_s=road_s)
        )
    return durations_together


def _shared_booking(
    requests: tuple[int, ...],
    durations: Mapping[int, BookingDuration],
    road_m: Sequence[Sequence[float]],
    drill: SeasonDrill,
    program: RentalProgram,
) -> SharedBooking | None:
    """Requests together, or ``None`` if one working day does not hold their hours."""
    durations_together = together(requests, durations, road_m, drill)
    booking = booking_for(
        sum(duration.job_s for duration in durations_together), booking_terms(drill, program)
    )
    days = booking.suggested_days
    if days is None or booking.fieldwork_days_needed > 1:
        return None
    return SharedBooking(
        requests=requests, durations=tuple(replace(duration, days=days) for duration in durations_together)
    )
