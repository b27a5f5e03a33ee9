"""Whether the drills are enough for what is asked, and what one more drill, a wider one, or another working
day would bring.
"""

from __future__ import annotations

import calendar
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import count

import numpy as np

from fieldplan.facts import Fact, fact
from fieldplan.model.booked import Confirmed
from fieldplan.model.capacity import Asked, Capacity, DrillUse, Option, RegionFound
from fieldplan.model.rental_program import RentalProgram, SeasonDrill
from fieldplan.model.request import Request
from fieldplan.model.season import Season
from fieldplan.season.docket import Docket, docket_of
from fieldplan.season.durations import Progress as EachRequest
from fieldplan.season.of_region import demand_of
from fieldplan.season.plan import season_of
from fieldplan.season.priorities import priorities_of
from fieldplan.season.weather import chances_of
from fieldplan.season.windows import working_days
from fieldplan.tables import read as tables

SEED = 20_270
"""All seasons compared go through the same weathers, so differences between them are not chance."""

Changed = tuple[Fact, RentalProgram]
"""What is changed, and the rental program with that change."""
Progress = Callable[[Iterable[Changed]], Iterable[Changed]]


def capacity_of(
    program: RentalProgram,
    requests: Sequence[Request],
    n_drawn: int,
    progress: Progress = iter,
    confirmed: Mapping[str, Confirmed] | None = None,
    region: RegionFound | None = None,
    ground_m2: float | None = None,
    each_request: EachRequest = iter,
) -> Capacity:
    """The season as it is and with each change: each is planned anew and goes through the same weathers.

    Parameters
    ----------
    n_drawn
        Weathers to simulate.
    progress
        Wraps the seasons while they are planned, to show progress.
    confirmed
        As for `plan_season`; they keep their days in every season.
    region, ground_m2
        Parcels of a region that a program would serve besides, and the ground that it would sow; all of it if
        ``None``.
    each_request
        Wraps the requests while what they take is counted, before the seasons are planned.

    Raises
    ------
    InputError, MissingExtra
        As `plan_season`.
    """
    priorities_of(requests, program.terms.rules)  # an impossible rule is refused before the long work
    asked = docket_of(program, requests, each_request)
    tried = [
        _option(change, asked if other is program else docket_of(other, requests), n_drawn, confirmed or {})
        for change, other in progress([(fact("as-it-is"), program), *_changed(program)])
    ]
    now = tried[0].season
    return Capacity(
        asked=_asked(asked),
        drills=tuple(_use(drill, now) for drill in program.drills),
        now=tried[0],
        options=tuple(tried[1:]),
        region=None
        if region is None
        else demand_of(region, tried[0].season, n_drawn, np.random.default_rng(SEED), ground_m2),
    )


def _option(changed: Fact, docket: Docket, n_drawn: int, confirmed: Mapping[str, Confirmed]) -> Option:
    season = season_of(docket, confirmed)
    return Option(
        changed=changed, season=season, chances=chances_of(season, n_drawn, np.random.default_rng(SEED))
    )


def _changed(program: RentalProgram) -> Iterator[Changed]:
    """One change at a time: one more drill like each, each one wider, work on each weekday off."""
    for drill in program.drills:
        yield fact("one-more-drill", drill=drill.name), with_another(program, drill)
    for drill in program.drills:
        wider = _wider(drill)
        others = tuple(wider if other is drill else other for other in program.drills)
        wide = fact("wider-drill", drill=drill.name, width_m=wider.job.drill.effective_width_m)
        yield wide, replace(program, drills=others)
    for weekday in sorted({day for drill in program.drills for day in drill.weekdays_off}):
        working = tuple(
            replace(drill, weekdays_off=drill.weekdays_off - {weekday}) for drill in program.drills
        )
        yield fact("all-work-on", weekday=calendar.day_name[weekday]), replace(program, drills=working)


def with_another(program: RentalProgram, drill: SeasonDrill) -> RentalProgram:
    """The program with a second drill like one of its own, with the same home and the same roads."""
    taken = {drill.name for drill in program.drills}
    name = next(name for k in count(2) if (name := f"{drill.name}, no. {k}") not in taken)
    old, new = drill.name.casefold(), name.casefold()
    roads = {
        (new if a == old else a, new if b == old else b): metres
        for (a, b), metres in program.distances.items()
        if old in (a, b)
    }
    return replace(
        program,
        drills=(*program.drills, replace(drill, name=name)),
        distances={**program.distances, **roads},
    )


def _wider(drill: SeasonDrill) -> SeasonDrill:
    """The same drill with more rows, and boxes to match, so refills stay as far apart."""
    rows = math.ceil(drill.job.drill.rows * tables.machinery_figure("a wider drill has", "times")[0])
    share = rows / drill.job.drill.rows
    boxes = tuple(replace(box, volume_m3=box.volume_m3 * share) for box in drill.job.drill.boxes)
    return replace(drill, job=replace(drill.job, drill=replace(drill.job.drill, rows=rows, boxes=boxes)))


def _asked(docket: Docket) -> Asked:
    """What all requests ask for together, each with the drill that needs the fewest days."""
    days, fieldwork_days, ground_m2 = 0, 0.0, 0.0
    unable = []
    drills, longest_days = docket.program.drills, docket.program.terms.longest_days
    for i, request in enumerate(docket.requests):
        able = [
            (duration, drills[d])
            for d in docket.able(i)
            if (duration := docket.duration(i, d)).days <= longest_days
        ]
        ground_m2 += sum(field.plantable_m2 for field in docket.boundaries[i].fields)
        if not able:
            unable.append(request.request_id)
            continue
        duration, drill = min(able, key=lambda pair: (pair[0].days, pair[0].job_s))
        days += duration.days
        fieldwork_days += math.ceil(duration.job_s / drill.job.booking.day_s)
    return Asked(days=days, fieldwork_days=fieldwork_days, ground_m2=ground_m2, unable=tuple(unable))


def _use(drill: SeasonDrill, season: Season) -> DrillUse:
    days = working_days(drill, season.program)
    bookings = [placement for placement in season.placements if placement.drill == drill.name]
    return DrillUse(
        name=drill.name,
        working_days=len(days),
        fieldwork_days=len(days) * drill.job.booking.chance_prob,
        booked_days=len({day for booking in bookings for day in booking.days}),
        ground_m2=sum(booking.duration.ground_m2 for booking in bookings),
    )
