"""Days that drills take for many parcels, and the drills that are done by the end of a season."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from fieldplan.model.job import Job
from fieldplan.model.region import Fleet
from fieldplan.model.work import Odds
from fieldplan.region.columns import Row
from fieldplan.work.booking import booking_for, booking_for_days
from fieldplan.work.working_days import MAX_DAYS, working_days_s


@dataclass(slots=True)
class Demand:
    """What parcels of one job file ask of drills; ``lon_deg`` and ``lat_deg`` add up over them."""

    n_parcels: float = 0
    plantable_m2: float = 0.0
    work_s: float = 0.0
    field_s: float = 0.0
    lon_deg: float = 0.0
    lat_deg: float = 0.0
    n_places: int = 0

    def add(self, row: Row, weight: float = 1.0) -> None:
        """Add a planned parcel that stands for so many."""
        self.n_parcels += weight
        self.plantable_m2 += weight * row["plantable_m2"]
        self.work_s += weight * row["job_s"]
        self.field_s += weight * row["field_s"]
        self.lon_deg += row["gate_lon_deg"]
        self.lat_deg += row["gate_lat_deg"]
        self.n_places += 1

    @property
    def middle_lonlat(self) -> tuple[float, float]:
        """The middle of the gates, for the daylight there."""
        return self.lon_deg / self.n_places, self.lat_deg / self.n_places


def fleet_for(demand: Demand, job: Job, n_drills: int) -> Fleet:
    """Days and odds for so many drills that share the work evenly, and the drills that a season needs.

    Each parcel is a job by itself, from pick-up to return: who rents for several parcels at once needs less.
    All drills have the same weather, so the odds of one are those of all.

    Parameters
    ----------
    n_drills
        Drills that there are.
    """
    terms, place = job.booking, demand.middle_lonlat
    share = booking_for(demand.work_s / n_drills, terms, place)
    made = Fleet(
        job=job.path.name,
        width_m=job.drill.effective_width_m,
        boxes=_kinds_of_boxes(job),
        n_parcels=round(demand.n_parcels),
        plantable_m2=demand.plantable_m2,
        work_s=demand.work_s,
        field_s=demand.field_s,
        n_drills=n_drills,
        fieldwork_days=share.fieldwork_days_needed,
        days=share.suggested_days,
        confidence_prob=terms.confidence_prob,
        start=terms.start,
        finish_by=terms.finish_by,
    )
    if terms.start is None or terms.finish_by is None:
        return made
    days = min((terms.finish_by - terms.start).days + 1, MAX_DAYS)

    def odds(n: int) -> Odds:
        """The odds that so many drills are done by the end of the season."""
        booked = booking_for_days(demand.work_s / n, terms, place, days)
        return next((one for one in booked.odds if one.days == days), Odds(days=days, prob=0.0))

    season = odds(n_drills)
    made = replace(made, season_prob=season.prob, range_prob=season.range_prob)
    needed = _fewest(demand, odds, terms.confidence_prob, sum(working_days_s(terms, place)[:days]))
    return made if needed is None else replace(made, needed=needed, needed_prob=odds(needed).prob)


def _kinds_of_boxes(job: Job) -> tuple[str, ...]:
    """The kinds of boxes that seed rides in."""
    used = {component.box for mix in job.mixes for component in mix.components}
    return tuple(sorted({box.kind for box in job.drill.boxes if box.name in used}))


def _fewest(demand: Demand, odds: Callable[[int], Odds], wanted_prob: float, season_s: float) -> int | None:
    """The fewest drills that meet the wanted odds; no more than there are parcels, for none is shared."""
    if season_s <= 0 or demand.n_parcels < 1:
        return None
    fewest, most = max(1, math.floor(demand.work_s / season_s)), math.ceil(demand.n_parcels)
    step = fewest
    while odds(min(step, most)).prob < wanted_prob:
        if step >= most:
            return None
        fewest, step = step + 1, 2 * step
    high = min(step, most)
    while fewest < high:
        middle = (fewest + high) // 2
        fewest, high = (fewest, middle) if odds(middle).prob >= wanted_prob else (middle + 1, high)
    return high
