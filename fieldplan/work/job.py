"""Hours of the whole job: the fields, and all that stands around them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pyproj import Geod

from fieldplan.model.job import WorkingTerms
from fieldplan.model.work import JobTime, TimePart

_WGS84 = Geod(ellps="WGS84")


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """What the hours of a job are made of: those in the fields and between them, and the terms of the
    work.
    """

    field_s: float
    moving_s: float
    working: WorkingTerms


PARTS: Mapping[str, Callable[[Round], float]] = {
    "pick_up": lambda job: job.working.pick_up_s,
    "set_up": lambda job: job.working.set_up_s,
    "calibration": lambda job: job.working.calibration_s,
    "field": lambda job: job.field_s,
    "moving": lambda job: job.moving_s,
    "clean_out": lambda job: job.working.clean_out_s,
}
"""All parts by their key, in the order in which they are told."""


def job_time(
    field_s: float,
    gates: Sequence[tuple[float, float]],
    working: WorkingTerms,
    moves_s: Sequence[float | None] = (),
) -> JobTime:
    """Hours by part, the fields driven in the order given.

    Moving between fields = the time given or, where none is, straight distance from gate to gate × road
    factor / towing speed.

    Parameters
    ----------
    gates
        Longitude and latitude of each field's gate, in order.
    moves_s
        Time to get to each field from the one before, where it was given.
    """
    given = list(moves_s)[1:] or [None] * (len(gates) - 1)
    apart_m = [float(_WGS84.inv(*here, *there)[2]) for here, there in pairwise(gates)]
    reckoned = [metres * working.road_factor / working.towing_speed_m_per_s for metres in apart_m]
    moving_s = sum(time if said is None else said for time, said in zip(reckoned, given, strict=True))
    job = Round(field_s=field_s, moving_s=moving_s, working=working)
    return JobTime(parts=tuple(TimePart(key=key, spent_s=part_s(job)) for key, part_s in PARTS.items()))


def longest_load_s(fields_s: Sequence[float], crews: int) -> float:
    """Field time of the crew with the most: the longest field goes to the crew with the least to do so
    far.
    """
    loads = [0.0] * max(1, min(crews, len(fields_s)))
    for field_s in sorted(fields_s, reverse=True):
        loads[loads.index(min(loads))] += field_s
    return max(loads)


def no_time() -> JobTime:
    """A job of which nothing is drilled: nobody fetches a drill for it."""
    return JobTime(parts=tuple(TimePart(key=key, spent_s=0.0) for key in PARTS))
