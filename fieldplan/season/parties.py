"""Short jobs that share a drill's days: their hours, with hand-over and the road between them, fit in one
working day.

A party is booked as if it were one job of all its hours, weather risk included: its members have the drill
on the same days and work on the same fit day, one after the other. The first collects the drill from the
farthest place that it could come from, as it would alone; each other collects it from the one before.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise, permutations

from fieldplan.model.season import Lending, Length, SeasonDrill
from fieldplan.season.lengths import booking_terms
from fieldplan.work.booking import booking_for

MOST_SHARING = 2
"""More than so many would have no hour left for anything that goes wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """Requests on the same days of a drill, in driving order.

    ``lengths`` are what each takes: the days that all are booked for, and its own hours.
    """

    requests: tuple[int, ...]
    lengths: tuple[Length, ...]

    @property
    def days(self) -> int:
        """Working days to book."""
        return self.lengths[0].days

    @property
    def together_s(self) -> float:
        """Hours of all of them, in seconds."""
        return sum(length.job_s for length in self.lengths)


def parties_of(
    drill: SeasonDrill,
    lending: Lending,
    lengths: Mapping[int, Length],
    windows: Sequence[tuple[date, date]],
    road_m: Sequence[Sequence[float]],
) -> Iterator[Party]:
    """Every party of a drill that takes fewer days than its members one after the other, in each driving
    order.

    Parameters
    ----------
    lengths
        What each request that may share takes with the drill by itself.
    windows
        The first and the last day of every request.
    road_m
        Metres of road from request to request.
    """
    if not lending.terms.share_days:
        return
    short = [
        i
        for i, one in lengths.items()
        if one.cannot is None and one.job_s - one.road_s < drill.job.booking.day_s
    ]
    for size in range(2, MOST_SHARING + 1):
        for requests in permutations(short, size):
            if max(windows[i][0] for i in requests) <= min(windows[i][1] for i in requests):
                party = _party(requests, lengths, road_m, drill, lending)
                if party and party.days < sum(lengths[i].days for i in requests):
                    yield party


def together(
    requests: tuple[int, ...],
    lengths: Mapping[int, Length],
    road_m: Sequence[Sequence[float]],
    drill: SeasonDrill,
) -> list[Length]:
    """What each takes of the hours of a party, in driving order: all but the first collect the drill from
    the one before.
    """
    own = [lengths[requests[0]]]
    for before, i in pairwise(requests):
        road_s = road_m[before][i] / drill.job.working.towing_speed_m_per_s
        own.append(replace(lengths[i], job_s=lengths[i].job_s - lengths[i].road_s + road_s, road_s=road_s))
    return own


def _party(
    requests: tuple[int, ...],
    lengths: Mapping[int, Length],
    road_m: Sequence[Sequence[float]],
    drill: SeasonDrill,
    lending: Lending,
) -> Party | None:
    """Requests together, or ``None`` if one working day does not hold their hours."""
    own = together(requests, lengths, road_m, drill)
    booking = booking_for(sum(one.job_s for one in own), booking_terms(drill, lending))
    days = booking.suggested_days
    if days is None or booking.fit_days_needed > 1:
        return None
    return Party(requests=requests, lengths=tuple(replace(one, days=days) for one in own))
