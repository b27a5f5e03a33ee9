"""Bookings that had begun before the rain: who shares days with whom, and the work that is left."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from fieldplan.model.booked import Booked, BookingDuration
from fieldplan.model.rental_program import SeasonDrill


def begun_together(begun: Collection[str], was: Mapping[str, Booked]) -> list[tuple[str, ...]]:
    """Bookings that have begun, grouped by shared days.

    Parameters
    ----------
    begun
        Ids of requests that have begun.
    was
        All bookings before the rain.

    Returns
    -------
    list of tuple
        Ids of each group, in the order that they get the drill.
    """
    groups: list[tuple[str, ...]] = []
    grouped: set[str] = set()
    for name, booked in sorted(was.items(), key=lambda pair: pair[1].days[0]):
        if name in begun and name not in grouped:
            sharing = [
                other
                for other in was
                if other == name or (other in booked.shares_with and was[other].drill == booked.drill)
            ]
            groups.append(tuple(other for other in sharing if other in begun and other not in grouped))
            grouped.update(sharing)
    return groups


def left_s(
    group: Sequence[str],
    was: Mapping[str, Booked],
    done_frac: Mapping[str, float],
    durations: Mapping[str, BookingDuration],
    road_s: Mapping[tuple[str, str], float],
    drill: SeasonDrill,
) -> float:
    """Work that is left of bookings that go on together, in seconds.

    Each needs the rest of its field work and its clean-out; one that the drill has not reached yet needs
    all of its hours.

    Parameters
    ----------
    group
        Ids of the bookings, in the order that they get the drill.
    was
        All bookings before the rain.
    done_frac
        Share of the work that is done, by request.
    durations
        What each takes with the drill, alone.
    road_s
        Time on the road from one to the next.
    """
    total_s = 0.0
    for k, name in enumerate(group):
        duration = durations[name]
        first_of_shared = next(other for other in was if other == name or other in was[name].shares_with)
        if done_frac[name] == 0 and first_of_shared != name:
            collecting_s = road_s[group[k - 1], name] if k else duration.road_s
            total_s += duration.job_s - duration.road_s + collecting_s
        else:
            total_s += duration.field_s * (1 - done_frac[name]) + drill.job.working.clean_out_s
    return total_s
