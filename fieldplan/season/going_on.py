"""What had begun before the rain: who goes on together, and the hours of work that are left."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from fieldplan.model.season import Booked, BookingDuration, SeasonDrill


def begun_together(begun: Collection[str], was: Mapping[str, Booked]) -> list[tuple[str, ...]]:
    """Bookings that have begun; those that share their days together, in the order that the drill goes to
    them.
    """
    groups: list[tuple[str, ...]] = []
    grouped: set[str] = set()
    for name, booked in sorted(was.items(), key=lambda pair: pair[1].days[0]):
        if name in begun and name not in grouped:
            own = [
                other
                for other in was
                if other == name or (other in booked.shares_with and was[other].drill == booked.drill)
            ]
            groups.append(tuple(other for other in own if other in begun and other not in grouped))
            grouped.update(own)
    return groups


def left_s(
    group: Sequence[str],
    was: Mapping[str, Booked],
    done_frac: Mapping[str, float],
    durations: Mapping[str, BookingDuration],
    road_s: Mapping[tuple[str, str], float],
    drill: SeasonDrill,
) -> float:
    """Time that is left of bookings that go on together.

    The rest of the field work and the clean-out of each; of one that the drill has still to go to, all of
    its hours.

    Parameters
    ----------
    durations
        What each takes with the drill by itself.
    road_s
        Time on the road from one to the next.
    """
    total_s = 0.0
    for k, name in enumerate(group):
        duration = durations[name]
        waits_for_another = (
            next(iter(other for other in was if other == name or other in was[name].shares_with)) != name
        )
        if done_frac[name] == 0 and waits_for_another:
            collecting_s = road_s[group[k - 1], name] if k else duration.road_s
            total_s += duration.job_s - duration.road_s + collecting_s
        else:
            total_s += duration.field_s * (1 - done_frac[name]) + drill.job.working.clean_out_s
    return total_s
