"""Planning a season again after rain: work begun goes on, and all other bookings are served again by the rules,
with the fewest people moved, by the fewest days.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from itertools import pairwise

from fieldplan.errors import InputError
from fieldplan.facts import Fact, fact
from fieldplan.model.booked import Booked
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.replanned import Change, Replanned, SoFar
from fieldplan.model.request import Request
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
    """What becomes of each booking after rain.

    Parameters
    ----------
    was
        Bookings before the rain, by request.
    so_far
        Today, the days lost, and the share of the work that is done.
    progress, steps
        As in `plan_season`.

    Raises
    ------
    InputError
        If a booking names a request or drill that does not exist, or ``so_far`` does not say how much of a
        booking under way is done.
    MissingExtra
        If the solver is not installed.

    Notes
    -----
    A booking whose days are all past is finished unless ``so_far`` gives a share below 1. One that has
    begun keeps its drill and goes on today, as long as the rest of its work needs. Bookings that share
    days go on together, and two on one drill go on one after the other. All others may move to days that
    are not lost, within their own windows, and may start or stop sharing days. Confirmed bookings are
    served before the others and moved last.

    A booking keeps the road to collect the drill that it was booked with, whoever is still to come. So
    nothing changes if no day was lost and no work is behind.
    """
    by_id = {request.request_id: request for request in requests}
    _known(by_id, program, was, so_far)
    done = {name: _done(name, booked, so_far) for name, booked in was.items()}
    finished = tuple(name for name in was if done[name] >= 1)
    open_requests = [by_id[name] for name in was if name not in finished]
    if not open_requests:
        return Replanned(
            changes=(), finished=finished, served_proven=True, moved_bound=0, moved_days_bound=0
        )
    bookings = [was[request.request_id] for request in open_requests]
    begun = {
        i
        for i, request in enumerate(open_requests)
        if bookings[i].days[0] < so_far.today or done[request.request_id] > 0
    }
    docket = docket_of(
        program,
        open_requests,
        progress,
        farthest_m=booked_for(requests, open_requests, was, program),
        begun=begun,
        open_day=lambda day: day >= so_far.today and day not in so_far.lost,
    )
    going_on: dict[Run, float] = {}
    for group in begun_together({open_requests[i].request_id for i in begun}, was):
        going_on |= _going_on(docket, group, was, done, list(going_on))
    runs = without_reversals(docket, [*going_on, *docket.runs(moving_cost(docket, bookings))], bookings)
    confirmed = [i for i, booking in enumerate(bookings) if booking.confirmed and i not in begun]
    solved = docket.settled(
        priorities_of(open_requests, program.terms.rules, ahead=[sorted(begun), confirmed]), runs, steps
    )
    given = {i: run for run in solved.given for i in run.requests}
    possible = {i for run in runs for i in run.requests}
    return Replanned(
        changes=tuple(
            _kept(docket, given[i], i, booked, going_on)
            if i in given
            else lost_booking(docket, i, booked, possible)
            for i, booked in enumerate(bookings)
        ),
        finished=finished,
        served_proven=solved.served_proven,
        moved_bound=solved.cost_bounds[1] if solved.cost_bounds else 0,
        moved_days_bound=solved.cost_bounds[2] if solved.cost_bounds else 0,
        confidence_prob=program.terms.confidence_prob,
    )


def _kept(docket: Docket, run: Run, i: int, was: Booked, going_on: Mapping[Run, float]) -> Change:
    """A booking that still has days, with its odds; if it has begun, only the work left counts."""
    work_s = going_on[run] if run in going_on else docket.work_s(run)
    odds_prob = odds_within(work_s, docket.days_of(run), docket.program.drills[run.drill], docket.program)
    now = changed_booking(docket, run, i, was)
    return Change(
        request=docket.requests[i], was=was, now=now, begun=i in docket.begun, odds_prob=odds_prob
    )


def changed_booking(docket: Docket, run: Run, i: int, was: Booked) -> Booked:
    """The booking that a run gives one of its requests.

    It stays confirmed if it has begun, or if its drill and first day are the old ones.
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
    requests: Sequence[Request], kept: Sequence[Request], was: Mapping[str, Booked], program: RentalProgram
) -> list[dict[str, float]]:
    """The road to collect each drill that the days of each request must allow for.

    For the drill it is booked with, that is the road it was booked with. Otherwise it is the road from the
    farthest place of the whole list. Taking only the requests still open could make a booking shorter than
    the one promised.

    Parameters
    ----------
    requests
        The whole list.
    kept
        The requests wanted.
    was
        Bookings by request.

    Returns
    -------
    list of dict
        For each request of ``kept``, meters of road by the drill's name.
    """
    from_whole_list = {
        request.request_id: roads
        for request, roads in zip(
            requests, farthest_of(requests, program.drills, program.distances), strict=True
        )
    }
    as_booked = {
        name: {booked.drill: booked.farthest_m}
        for name, booked in was.items()
        if booked.farthest_m is not None
    }
    return [
        {**from_whole_list[request.request_id], **as_booked.get(request.request_id, {})} for request in kept
    ]


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
    """The share of a booking that is done: as given, else all of it once its days are past."""
    return so_far.done_frac.get(name, 1.0 if booked.days[-1] < so_far.today else 0.0)


def _going_on(
    docket: Docket,
    group: Sequence[str],
    was: Mapping[str, Booked],
    done: Mapping[str, float],
    before: Sequence[Run],
) -> dict[Run, float]:
    """The only run of bookings that have begun, with the work (s) left; none if the season is over.

    It starts today, or after other bookings that began on the drill, and lasts as long as the work needs
    or until the season ends.
    """
    d, drill = next(
        (d, drill) for d, drill in enumerate(docket.program.drills) if drill.name == was[group[0]].drill
    )
    at = {request.request_id: i for i, request in enumerate(docket.requests)}
    speed = drill.job.working.towing_speed_m_per_s
    road_s = {(a, b): docket.road_m[d][at[a]][at[b]] / speed for a, b in pairwise(group)}
    work_left_s = left_s(
        group, was, done, {name: docket.duration(at[name], d) for name in group}, road_s, drill
    )
    first = max((run.end for run in before if run.drill == d), default=0)
    n_left = len(docket.days[d]) - first
    if n_left <= 0:
        return {}
    n_days = days_for(work_left_s, n_left, drill, docket.program)
    return {
        Run(
            requests=tuple(at[name] for name in group),
            drill=d,
            first=first,
            n_days=n_days,
            costs=(0, 0, 0),
        ): work_left_s
    }


def moving_cost(docket: Docket, bookings: Sequence[Booked]) -> Cost:
    """Costs of giving days to bookings not begun: confirmed ones moved, all moved, days they move by."""

    def cost(requests: tuple[int, ...], d: int, first: date) -> tuple[int, ...]:
        drill = docket.program.drills[d].name
        away = {i: abs((first - bookings[i].days[0]).days) for i in requests}
        moved = [i for i in requests if drill != bookings[i].drill or away[i] > 0]
        return sum(bookings[i].confirmed for i in moved), len(moved), sum(away.values())

    return cost


def without_reversals(docket: Docket, runs: Sequence[Run], bookings: Sequence[Booked]) -> list[Run]:
    """Runs without those that only reverse the order in a shared booking that can stay as it is.

    Nobody should hear of a new order for the sake of less road.
    """

    def unmoved(run: Run) -> bool:
        place = (docket.program.drills[run.drill].name, docket.days[run.drill][run.first])
        return len(run.requests) > 1 and all(
            (bookings[i].drill, bookings[i].days[0]) == place for i in run.requests
        )

    def same_order(run: Run) -> bool:
        return [bookings[i].position for i in run.requests] == sorted(
            bookings[i].position for i in run.requests
        )

    with_same_order = {frozenset(run.requests) for run in runs if unmoved(run) and same_order(run)}
    return [
        run
        for run in runs
        if not unmoved(run) or same_order(run) or frozenset(run.requests) not in with_same_order
    ]


def lost_booking(
    docket: Docket, i: int, was: Booked, possible: Collection[int], causes: Iterable[Fact] = ()
) -> Change:
    """A booking that is lost, and why.

    Parameters
    ----------
    possible
        Requests for which days are left.
    causes
        What took its days.
    """
    last = min(docket.requests[i].until, docket.program.terms.closes)
    code = "lost/by-rules" if i in possible else "lost/no-days"
    reason = fact(code, last_typed_day=last, because=tuple(causes))
    return Change(request=docket.requests[i], was=was, now=None, begun=i in docket.begun, reason=reason)


def lost_days(program: RentalProgram, lost: Iterable[date]) -> frozenset[date]:
    """The days lost to weather, checked to lie in the season.

    Raises
    ------
    InputError
        If one lies outside the season.
    """
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
