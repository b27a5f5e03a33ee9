"""A season after rain: what was begun goes on, all else is served again by the rules, with the fewest people moved, and those least."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from itertools import pairwise

from fieldplan.errors import InputError
from fieldplan.model.season import Booked, Change, Lending, Length, Replanned, Request, SoFar
from fieldplan.season.claims import Asked, Claims, Run
from fieldplan.season.going_on import begun_together, left_s
from fieldplan.season.lengths import Progress, booking_terms, every_length
from fieldplan.season.parties import parties_of
from fieldplan.season.plan import boundaries_of
from fieldplan.season.roads import roads_of
from fieldplan.season.schedule import Steps, solve
from fieldplan.season.turns import levels_of
from fieldplan.season.windows import window_of, working_days
from fieldplan.work.booking import MOST_DAYS, booking_for


def replan(
    lending: Lending,
    requests: Sequence[Request],
    was: Mapping[str, Booked],
    so_far: SoFar,
    progress: Progress = iter,
    steps: Steps = iter,
) -> Replanned:
    """What becomes of each booking; ``progress`` and ``steps`` are as in `plan_season`.

    A booking whose days are all past is finished unless a smaller share of it is done. One that has begun keeps its drill and goes on
    today, for as long as the rest of its work needs; those that share their days go on together, and of two with one drill the later one
    after the earlier. All others may be moved, to days that are not lost and within their own windows, and may come to share days or no
    longer share them. Those who had said yes are served before the others and moved last.

    Raises
    ------
    InputError
        If a booking names a request or drill that is not there, or it is not said how much of one that has begun is done.
    """
    by_id = {request.request_id: request for request in requests}
    _known(by_id, lending, was, so_far)
    done = {one: _done(one, booked, so_far) for one, booked in was.items()}
    finished = tuple(one for one in was if done[one] >= 1)
    begun = {one for one, booked in was.items() if one not in finished and (booked.days[0] < so_far.today or done[one] > 0)}
    open_ids = [one for one in was if one not in finished]
    own = [by_id[one] for one in open_ids]
    if not own:
        return Replanned(changes=(), finished=finished, served_proven=True, moved_bound=0, moved_days_bound=0)
    names = [drill.name for drill in lending.drills]
    days = [
        [day for day in working_days(drill, lending) if day >= so_far.today and day not in so_far.lost]
        for drill in lending.drills
    ]
    roads = {drill.name: roads_of(own, drill, lending.distances) for drill in lending.drills}
    boundaries = boundaries_of(lending, own)
    lengths = every_length(own, boundaries, lending, roads, progress)
    windows = [window_of(request, lending) for request in own]
    going_on = [i for i, one in enumerate(own) if one.request_id in begun]
    asked: list[Asked] = [
        ((i,), d, one[name]) for i, one in enumerate(lengths) if i not in going_on for d, name in enumerate(names)
    ]
    for d, drill in enumerate(lending.drills):
        may_move = {i: one[drill.name] for i, one in enumerate(lengths) if i not in going_on}
        parties = parties_of(drill, lending, may_move, windows, roads[drill.name])
        asked += [(party.requests, d, party.lengths[0]) for party in parties]
    bookings = [was[one] for one in open_ids]
    runs: list[Run] = []
    for group in begun_together(begun, was):
        runs += _going_on(group, lending, own, was, done, lengths, roads, days, runs)
    runs += [run for one, d, length in asked for run in _moved(one, d, names[d], length, bookings, windows, days[d])]
    confirmed = [i for i, one in enumerate(own) if was[one.request_id].confirmed and i not in going_on]
    levels = [
        going_on,
        confirmed,
        *([i for i in level if i not in (*going_on, *confirmed)] for level in levels_of(own, lending.terms.rules)),
    ]
    tow = {d: [[round(metres) for metres in row] for row in roads[name]] for d, name in enumerate(names)}
    solved = solve(Claims(levels=[level for level in levels if level], runs=runs, tow_m=tow), steps)
    now = {
        i: Booked(
            drill=names[run.drill], days=tuple(days[run.drill][run.first : run.end]),
            shares_with=tuple(open_ids[other] for other in run.requests if other != i), turn=run.requests.index(i),
            confirmed=bookings[i].confirmed and (i in going_on or (names[run.drill], days[run.drill][run.first]) == (bookings[i].drill, bookings[i].days[0])),
        )
        for run in solved.given for i in run.requests
    }  # fmt: skip
    return Replanned(
        changes=tuple(
            Change(request=one, was=was[one.request_id], now=now.get(i), begun=one.request_id in begun,
                   reason="" if i in now else _lost(i, one, runs, lending))
            for i, one in enumerate(own)
        ),
        finished=finished, served_proven=solved.served_proven,
        moved_bound=solved.cost_bounds[1] if solved.cost_bounds else 0, moved_days_bound=solved.cost_bounds[2] if solved.cost_bounds else 0,
    )  # fmt: skip


def _known(requests: Mapping[str, Request], lending: Lending, was: Mapping[str, Booked], so_far: SoFar) -> None:
    drills = {drill.name for drill in lending.drills}
    for name in so_far.done_frac:
        if name not in was:
            raise InputError.of("done-unknown", f'"{name}" has no booking.', f"bookings: {', '.join(was)}")
    for name, booked in was.items():
        if name not in requests or booked.drill not in drills or not booked.days:
            raise InputError.of(
                "booking-unknown", f'The booking of "{name}" with {booked.drill} fits neither the requests nor the drills.',
                "the season.json that was planned from this season file",
            )  # fmt: skip
        if booked.days[0] < so_far.today <= booked.days[-1] and name not in so_far.done_frac:
            raise InputError.of(
                "done-not-said", f'"{name}" has begun: how much of it is done is not said.', f'--done "{name}=60 %"'
            )  # fmt: skip


def _done(name: str, booked: Booked, so_far: SoFar) -> float:
    """The share of a booking that is done: as said, else all of it when its days are past."""
    return so_far.done_frac.get(name, 1.0 if booked.days[-1] < so_far.today else 0.0)


def _going_on(
    group: Sequence[str],
    lending: Lending,
    own: Sequence[Request],
    was: Mapping[str, Booked],
    done: Mapping[str, float],
    lengths: Sequence[Mapping[str, Length]],
    roads: Mapping[str, Sequence[Sequence[float]]],
    days: Sequence[Sequence[date]],
    before: Sequence[Run],
) -> Iterator[Run]:
    """The one run of bookings that have begun: from today, or after those that began before with the drill, as long as their work needs."""
    d, drill = next((d, one) for d, one in enumerate(lending.drills) if one.name == was[group[0]].drill)
    at = {one.request_id: i for i, one in enumerate(own)}
    with_it = {name: lengths[at[name]][drill.name] for name in group}
    speed = drill.job.working.towing_speed_m_per_s
    road_s = {(a, b): roads[drill.name][at[a]][at[b]] / speed for a, b in pairwise(group)}
    needed = (
        booking_for(left_s(group, was, done, with_it, road_s, drill), booking_terms(drill, lending)).suggested_days or MOST_DAYS
    )
    first = max((run.end for run in before if run.drill == d), default=0)
    if first < len(days[d]):
        length = min(needed, len(days[d]) - first)
        yield Run(requests=tuple(at[name] for name in group), drill=d, first=first, length=length, costs=(0, 0, 0))


def _moved(
    requests: tuple[int, ...],
    d: int,
    drill: str,
    length: Length,
    bookings: Sequence[Booked],
    windows: Sequence[tuple[date, date]],
    days: Sequence[date],
) -> Iterator[Run]:
    """Every run of bookings that have not begun; it costs those moved who had said yes, all moved, and the days between first days."""
    if length.cannot:
        return
    ready, until = max(windows[i][0] for i in requests), min(windows[i][1] for i in requests)
    for first in range(len(days) - length.days + 1):
        if days[first] >= ready and days[first + length.days - 1] <= until:
            away = {i: abs((days[first] - bookings[i].days[0]).days) for i in requests}
            moved = sum(drill != bookings[i].drill or away[i] > 0 for i in requests)
            promised = sum(bookings[i].confirmed and (drill != bookings[i].drill or away[i] > 0) for i in requests)
            yield Run(requests=requests, drill=d, first=first, length=length.days, costs=(promised, moved, sum(away.values())))


def _lost(i: int, request: Request, runs: Sequence[Run], lending: Lending) -> str:
    """Why a booking is lost."""
    if not any(i in run.requests for run in runs):
        return f"no drill has enough working days left before {min(request.until, lending.terms.closes)}"
    return f"the days left before {min(request.until, lending.terms.closes)} go to those served before it by the rules"


def lost_days(lending: Lending, lost: Iterable[date]) -> frozenset[date]:
    """Days that are lost, checked to lie in the season."""
    found = frozenset(lost)
    for day in found:
        if not lending.terms.opens <= day <= lending.terms.closes:
            raise InputError.of(
                "lost-outside", f"{day} lies outside the season.", f"{lending.terms.opens} to {lending.terms.closes}"
            )
    return found
