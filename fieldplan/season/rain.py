"""A season after rain: what was begun goes on, all else is served again by the rules, with the fewest
people moved, and those least.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from itertools import pairwise

from fieldplan.errors import InputError
from fieldplan.facts import fact
from fieldplan.model.season import Booked, Change, RentalProgram, Replanned, Request, SoFar
from fieldplan.season.docket import Cost, Docket, docket_of
from fieldplan.season.durations import Progress
from fieldplan.season.going_on import begun_together, left_s
from fieldplan.season.odds import days_for, odds_within
from fieldplan.season.priorities import priorities_of
from fieldplan.season.roads import farthest_of
from fieldplan.season.schedule import Steps
from fieldplan.season.scheduling_problem import Run


def replan(
    program: RentalProgram,
    requests: Sequence[Request],
    was: Mapping[str, Booked],
    so_far: SoFar,
    progress: Progress = iter,
    steps: Steps = iter,
) -> Replanned:
    """What becomes of each booking; ``progress`` and ``steps`` are as in `plan_season`.

    A booking whose days are all past is finished unless a smaller share of it is done. One that has begun
    keeps its drill and goes on today, for as long as the rest of its work needs; those that share their
    days go on together, and of two with one drill the later one after the earlier. All others may be moved,
    to days that are not lost and within their own windows, and may come to share days or no longer share
    them. Those who had said yes are served before the others and moved last.

    A booking takes the days that it was made for: the road to collect the drill is the one it was booked
    with, whoever is still to come. So nothing changes where nothing was lost and nothing is behind.

    Raises
    ------
    InputError
        If a booking names a request or drill that is not there, or it is not said how much of one that has
        begun is done.
    """
    by_id = {request.request_id: request for request in requests}
    _known(by_id, program, was, so_far)
    done = {one: _done(one, booked, so_far) for one, booked in was.items()}
    finished = tuple(one for one in was if done[one] >= 1)
    own = [by_id[one] for one in was if one not in finished]
    if not own:
        return Replanned(
            changes=(), finished=finished, served_proven=True, moved_bound=0, moved_days_bound=0
        )
    bookings = [was[one.request_id] for one in own]
    begun = {
        i for i, one in enumerate(own) if bookings[i].days[0] < so_far.today or done[one.request_id] > 0
    }
    docket = docket_of(
        program,
        own,
        progress,
        farthest_m=booked_for(requests, own, was, program),
        begun=begun,
        open_day=lambda day: day >= so_far.today and day not in so_far.lost,
    )
    going_on: dict[Run, float] = {}
    for group in begun_together({own[i].request_id for i in begun}, was):
        going_on |= _going_on(docket, group, was, done, list(going_on))
    runs = _as_driven(docket, [*going_on, *docket.runs(_moving(docket, bookings))], bookings)
    confirmed = [i for i, booking in enumerate(bookings) if booking.confirmed and i not in begun]
    solved = docket.settled(
        priorities_of(own, program.terms.rules, ahead=[sorted(begun), confirmed]), runs, steps
    )
    given = {i: run for run in solved.given for i in run.requests}
    possible = {i for run in runs for i in run.requests}
    return Replanned(
        changes=tuple(
            _kept(docket, given[i], i, booked, going_on)
            if i in given
            else _lost(docket, i, booked, possible)
            for i, booked in enumerate(bookings)
        ),
        finished=finished,
        served_proven=solved.served_proven,
        moved_bound=solved.cost_bounds[1] if solved.cost_bounds else 0,
        moved_days_bound=solved.cost_bounds[2] if solved.cost_bounds else 0,
        confidence_prob=program.terms.confidence_prob,
    )


def _kept(docket: Docket, run: Run, i: int, was: Booked, going_on: Mapping[Run, float]) -> Change:
    """What becomes of a booking that still has days: of one that has begun, only the work that is left
    counts.
    """
    work_s = going_on[run] if run in going_on else docket.work_s(run)
    odds_prob = odds_within(work_s, run.n_days, docket.program.drills[run.drill], docket.program)
    now = _booked(docket, run, i, was)
    return Change(
        request=docket.requests[i], was=was, now=now, begun=i in docket.begun, odds_prob=odds_prob
    )


def _booked(docket: Docket, run: Run, i: int, was: Booked) -> Booked:
    """The booking that a run is for one of its requests; it is confirmed still if it begins where it began,
    or has begun.
    """
    drill, days = docket.program.drills[run.drill].name, docket.days_of(run)
    return Booked(
        drill=drill,
        days=days,
        shares_with=tuple(docket.requests[other].request_id for other in run.requests if other != i),
        position=run.requests.index(i),
        farthest_m=docket.farthest_m[i][drill],
        confirmed=was.confirmed and (i in docket.begun or (drill, days[0]) == (was.drill, was.days[0])),
    )


def booked_for(
    requests: Sequence[Request], own: Sequence[Request], was: Mapping[str, Booked], program: RentalProgram
) -> list[dict[str, float]]:
    """For each request of one's own and each drill, the road (m) to collect it that its days hold.

    With the drill that it is booked with, the road it was booked with, else that from the farthest place of
    the whole list: never that of the places that are left alone, from which a booking would come out
    shorter than it was promised.
    """
    whole = {
        request.request_id: roads
        for request, roads in zip(
            requests, farthest_of(requests, program.drills, program.distances), strict=True
        )
    }
    held = {name: {one.drill: one.farthest_m} for name, one in was.items() if one.farthest_m is not None}
    return [{**whole[one.request_id], **held.get(one.request_id, {})} for one in own]


def _known(
    requests: Mapping[str, Request], program: RentalProgram, was: Mapping[str, Booked], so_far: SoFar
) -> None:
    drills = {drill.name for drill in program.drills}
    for name in so_far.done_frac:
        if name not in was:
            raise InputError.of("done-unknown", request=name, bookings=tuple(was))
    for name, booked in was.items():
        if name not in requests or booked.drill not in drills or not booked.days:
            raise InputError.of("booking-unknown", request=name, drill=booked.drill)
        if booked.days[0] < so_far.today <= booked.days[-1] and name not in so_far.done_frac:
            raise InputError.of("done-not-said", request=name)


def _done(name: str, booked: Booked, so_far: SoFar) -> float:
    """The share of a booking that is done: as said, else all of it when its days are past."""
    return so_far.done_frac.get(name, 1.0 if booked.days[-1] < so_far.today else 0.0)


def _going_on(
    docket: Docket,
    group: Sequence[str],
    was: Mapping[str, Booked],
    done: Mapping[str, float],
    before: Sequence[Run],
) -> dict[Run, float]:
    """The one run of bookings that have begun, with the work (s) that is left; none if the season is over.

    From today, or after those that began before with the drill, as long as their work needs; shorter where
    the season ends before.
    """
    d, drill = next(
        (d, drill) for d, drill in enumerate(docket.program.drills) if drill.name == was[group[0]].drill
    )
    at = {request.request_id: i for i, request in enumerate(docket.requests)}
    speed = drill.job.working.towing_speed_m_per_s
    road_s = {(a, b): docket.road_m[d][at[a]][at[b]] / speed for a, b in pairwise(group)}
    left = left_s(group, was, done, {name: docket.duration(at[name], d) for name in group}, road_s, drill)
    first = max((run.end for run in before if run.drill == d), default=0)
    maximum = len(docket.days[d]) - first
    if maximum <= 0:
        return {}
    n_days = days_for(left, maximum, drill, docket.program)
    return {
        Run(
            requests=tuple(at[name] for name in group),
            drill=d,
            first=first,
            n_days=n_days,
            costs=(0, 0, 0),
        ): left
    }


def _moving(docket: Docket, bookings: Sequence[Booked]) -> Cost:
    """What days cost bookings that have not begun: those moved who had said yes, all moved, and the days
    between first days.
    """

    def cost(requests: tuple[int, ...], d: int, first: date) -> tuple[int, ...]:
        drill = docket.program.drills[d].name
        away = {i: abs((first - bookings[i].days[0]).days) for i in requests}
        moved = [i for i in requests if drill != bookings[i].drill or away[i] > 0]
        return sum(bookings[i].confirmed for i in moved), len(moved), sum(away.values())

    return cost


def _as_driven(docket: Docket, runs: Sequence[Run], bookings: Sequence[Booked]) -> list[Run]:
    """Runs without those in which a party that can stay where it is would be driven the other way round,
    for less road alone.
    """

    def stays(run: Run) -> bool:
        here = (docket.program.drills[run.drill].name, docket.days[run.drill][run.first])
        return len(run.requests) > 1 and all(
            (bookings[i].drill, bookings[i].days[0]) == here for i in run.requests
        )

    def in_turn(run: Run) -> bool:
        return [bookings[i].position for i in run.requests] == sorted(
            bookings[i].position for i in run.requests
        )

    kept = {frozenset(run.requests) for run in runs if stays(run) and in_turn(run)}
    return [run for run in runs if not stays(run) or in_turn(run) or frozenset(run.requests) not in kept]


def _lost(docket: Docket, i: int, was: Booked, possible: Collection[int]) -> Change:
    """A booking that is lost, and why; ``possible`` are the requests that days are left for."""
    last = min(docket.requests[i].until, docket.program.terms.closes)
    reason = fact("lost/by-rules" if i in possible else "lost/no-days", last_typed_day=last)
    return Change(request=docket.requests[i], was=was, now=None, begun=i in docket.begun, reason=reason)


def lost_days(program: RentalProgram, lost: Iterable[date]) -> frozenset[date]:
    """Days that are lost, checked to lie in the season."""
    found = frozenset(lost)
    for day in found:
        if not program.terms.opens <= day <= program.terms.closes:
            raise InputError.of(
                "lost-outside",
                lost_typed_day=day,
                opens_typed_day=program.terms.opens,
                closes_typed_day=program.terms.closes,
            )
    return found
