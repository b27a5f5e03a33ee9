"""Hours of the whole job: the fields and everything around them, from pick-up to return."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pyproj import Geod

from fieldplan.model.job import WorkingTerms
from fieldplan.model.work import JobTime, TimePart

_WGS84 = Geod(ellps="WGS84")


@dataclass(frozen=True, slots=True, kw_only=True)
class JobHours:
    """Time in the fields, at changes of the boxes and between the fields, and the working terms with the times of everything else."""

    field_s: float
    changing_s: float
    moving_s: float
    working: WorkingTerms


PARTS: Mapping[str, Callable[[JobHours], float]] = {
    "pick_up": lambda job: job.working.pick_up_s,
    "set_up": lambda job: job.working.set_up_s,
    "calibration": lambda job: job.working.calibration_s,
    "field": lambda job: job.field_s,
    "changing": lambda job: job.changing_s,
    "moving": lambda job: job.moving_s,
    "clean_out": lambda job: job.working.clean_out_s,
}
"""All parts by key, in the order of the outputs."""


def apart_m(here_lonlat: tuple[float, float], there_lonlat: tuple[float, float]) -> float:
    """Straight distance between two places on the WGS84 ellipsoid, in m."""
    return float(_WGS84.inv(*here_lonlat, *there_lonlat)[2])


def moves_between_s(
    gates: Sequence[tuple[float, float]], working: WorkingTerms, given_s: Sequence[float | None] = ()
) -> tuple[float, ...]:
    """The time to get to each field but the first from the one before, as `job_time` has it."""
    known_s = list(given_s)[1:] or [None] * (len(gates) - 1)
    towed_s = [
        apart_m(here, there) * working.road_factor / working.towing_speed_m_per_s
        for here, there in pairwise(gates)
    ]
    return tuple(towed if given is None else given for towed, given in zip(towed_s, known_s, strict=True))


def job_time(
    field_s: float,
    gates: Sequence[tuple[float, float]],
    working: WorkingTerms,
    moves_s: Sequence[float | None] = (),
    changing_s: float = 0.0,
) -> JobTime:
    """The time of the whole job by part, with the fields in the order given.

    A move between fields takes the time given for it or, where none is given, straight distance from gate
    to gate × road factor / towing speed.

    Parameters
    ----------
    gates
        Longitude and latitude of the gate of each field, in order.
    moves_s
        Time to get to each field from the one before; ``None`` where it was not given. The first counts
        for nothing.
    changing_s
        Time of emptying, cleaning, setting and calibrating boxes between one mix and the next.
    """
    moving_s = sum(moves_between_s(gates, working, moves_s))
    job = JobHours(field_s=field_s, changing_s=changing_s, moving_s=moving_s, working=working)
    return JobTime(parts=tuple(TimePart(key=key, spent_s=part_s(job)) for key, part_s in PARTS.items()))


def longest_load_s(fields_s: Sequence[float], crews: int) -> float:
    """Field time, in s, of the crew with the most to do.

    The longest field left goes to the crew with the least to do so far.

    Examples
    --------
    >>> longest_load_s([4.0, 3.0, 3.0, 2.0], crews=2)
    6.0
    """
    loads = [0.0] * max(1, min(crews, len(fields_s)))
    for field_s in sorted(fields_s, reverse=True):
        loads[loads.index(min(loads))] += field_s
    return max(loads)


def no_time() -> JobTime:
    """The time of a job without drilled fields: all parts are 0, as nobody fetches a drill for it."""
    return JobTime(parts=tuple(TimePart(key=key, spent_s=0.0) for key in PARTS))
