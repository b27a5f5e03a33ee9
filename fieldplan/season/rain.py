"""A season after rain: what was begun goes on, all else is served again by the rules, with the fewest people moved, and those least."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date

from fieldplan.errors import InputError
from fieldplan.model.season import Booked, Change, Lending, Length, Replanned, Request, SoFar
from fieldplan.season.claims import Claims, Run
from fieldplan.season.lengths import booking_terms, lengths_of
from fieldplan.season.plan import boundaries_of, levels_of, roads_of, window_of, working_days
from fieldplan.season.schedule import solve
from fieldplan.work.booking import booking_for

Progress = Callable[[Iterable[Request]], Iterable[Request]]


def replan(
    lending: Lending, requests: Sequence[Request], was: Mapping[str, Booked], so_far: SoFar, progress: Progress = iter
) -> Replanned:
    """What becomes of each booking.

    A booking whose days are all past is finished unless a smaller share of it is done. One that has begun keeps its drill and goes on
    today, for as long as the rest of its work needs. All others may be moved, to days that are not lost and within their own windows.

    Raises
    ------
    InputError
        If a booking names a request or drill that is not there, or it is not said how much of one that has begun is done.
    """
    by_id = {request.request_id: request for request in requests}
    _known(by_id, lending, was, so_far)
    begun = {one for one, booked in was.items() if booked.days[0] < so_far.today and _done(one, booked, so_far) < 1}
    finished = tuple(one for one, booked in was.items() if booked.days[0] < so_far.today and one not in begun)
    open_ids = [one for one in was if one not in finished]
    own = [by_id[one] for one in open_ids]
    if not own:
        return Replanned(changes=(), finished=finished, served_proven=True, moved_bound=0, moved_days_bound=0)
    names = [drill.name for drill in lending.drills]
    days = [
        [day for day in working_days(drill, lending) if day >= so_far.today and day not in so_far.lost]
        for drill in lending.drills
    ]
    roads = {drill.name: roads_of(own, drill) for drill in lending.drills}
    boundaries = boundaries_of(lending, own)
    runs: list[Run] = []
    for i, request in enumerate(progress(own)):
        lengths = lengths_of(
            request, boundaries[i], lending, {name: max(row[i] for row in metres) for name, metres in roads.items()}
        )
        booked = was[request.request_id]
        for d, name in enumerate(names):
            if request.request_id in begun:
                if name == booked.drill:
                    runs += _going_on(i, d, lengths[name], _done(request.request_id, booked, so_far), lending, days[d])
            else:
                runs += _moved(i, d, name == booked.drill, lengths[name], booked, window_of(request, lending), days[d])
    going_on = [i for i, one in enumerate(own) if one.request_id in begun]
    levels = [going_on, *([i for i in level if i not in going_on] for level in levels_of(own, lending.terms.rules))]
    tow = {d: [[round(metres) for metres in row] for row in roads[name]] for d, name in enumerate(names)}
    solved = solve(Claims(levels=[level for level in levels if level], runs=runs, tow_m=tow))
    now = {
        run.request: Booked(drill=names[run.drill], days=tuple(days[run.drill][run.first : run.first + run.length]))
        for run in solved.given
    }
    return Replanned(
        changes=tuple(
            Change(request=one, was=was[one.request_id], now=now.get(i), begun=one.request_id in begun,
                   reason="" if i in now else _lost(i, one, runs, lending))
            for i, one in enumerate(own)
        ),
        finished=finished, served_proven=solved.served_proven,
        moved_bound=solved.cost_bounds[0] if solved.cost_bounds else 0, moved_days_bound=solved.cost_bounds[1] if solved.cost_bounds else 0,
    )  # fmt: skip


def _known(requests: Mapping[str, Request], lending: Lending, was: Mapping[str, Booked], so_far: SoFar) -> None:
    drills = {drill.name for drill in lending.drills}
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
    for name in so_far.done_frac:
        if name not in was:
            raise InputError.of("done-unknown", f'"{name}" has no booking.', f"bookings: {', '.join(was)}")


def _done(name: str, booked: Booked, so_far: SoFar) -> float:
    """The share of a booking that is done: as said, else all of it when its days are past."""
    return so_far.done_frac.get(name, 1.0 if booked.days[-1] < so_far.today else 0.0)


def _going_on(i: int, d: int, length: Length, done: float, lending: Lending, days: Sequence[date]) -> Iterator[Run]:
    """The one run of a booking that has begun: from today, as long as the rest of its field work and the clean-out need."""
    left_s = length.field_s * (1 - done) + lending.drills[d].job.working.clean_out_s
    needed = booking_for(left_s, booking_terms(lending.drills[d], lending)).suggested_days
    if days:
        yield Run(request=i, drill=d, first=0, length=min(needed, len(days)), costs=(0, 0))


def _moved(
    i: int, d: int, same: bool, length: Length, booked: Booked, window: tuple[date, date], days: Sequence[date]
) -> Iterator[Run]:
    """Every run of a booking that has not begun; it costs a move, and the days between its first day as it was and now."""
    if length.cannot:
        return
    for first in range(len(days) - length.days + 1):
        if days[first] >= window[0] and days[first + length.days - 1] <= window[1]:
            away = abs((days[first] - booked.days[0]).days)
            yield Run(request=i, drill=d, first=first, length=length.days, costs=(int(not same or away > 0), away))


def _lost(i: int, request: Request, runs: Sequence[Run], lending: Lending) -> str:
    """Why a booking is lost."""
    if not any(run.request == i for run in runs):
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
