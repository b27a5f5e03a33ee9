"""A season after days lost, as its entries have it: held bookings keep their days and only their odds fall; what has
begun goes on; bookings nobody confirmed move by the rules, with odds no lower than were asked for. Nobody is moved or
struck off for work of which it is not known how much is done.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from fieldplan.facts import Fact, fact
from fieldplan.model.booked import Booked, BookingDuration
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.replanned import Change, Lowered, Question, Replanned
from fieldplan.model.request import Request
from fieldplan.model.standing import Standing
from fieldplan.season.docket import Docket
from fieldplan.season.durations import Progress
from fieldplan.season.held import days_taken, held_of, held_runs, order_of, usable
from fieldplan.season.living import living_docket
from fieldplan.season.moving import Moving
from fieldplan.season.odds import days_for, odds_as_promised, odds_within
from fieldplan.season.priorities import priorities_of
from fieldplan.season.rain import changed_booking, lost_booking
from fieldplan.season.schedule import Steps
from fieldplan.season.scheduling_problem import Run
from fieldplan.season.too_few_days import Left, clashes_of

_ROUNDING = 1e-9


def rain_living(
    program: RentalProgram,
    requests: Sequence[Request],
    standing: Standing,
    today: date,
    done_frac: Mapping[str, float],
    progress: Progress = iter,
    steps: Steps = iter,
) -> Replanned:
    """What becomes of each booking of a season as it stands.

    Parameters
    ----------
    today
        The first day still to come.
    done_frac
        Share of the work that is done, by request, as far as it is known.
    progress, steps
        As in `plan_season`.

    Notes
    -----
    A booking is finished when its drill came back, or when its days are past and all of it is done or no drill is out.
    One that has begun goes on today for as long as the rest of its work needs, and at least until its last day; it ends
    where a held booking begins. Work begun of which nothing is known counts as not done, but keeps only its own days and,
    if the drill is known to be with it, those that nobody has after them: what else it might need is asked
    (`Question`).
    """
    by_id = {request.request_id: request for request in requests}
    was = {name: booked for name, booked in standing.bookings.items() if name in by_id}
    finished = tuple(name for name in was if _finished(name, was[name], standing, today, done_frac))
    names = [name for name in was if name not in finished]
    if not names:
        return Replanned(
            changes=(), finished=finished, served_proven=True, moved_bound=0, moved_days_bound=0
        )
    begun = {name for name in names if name in standing.out or was[name].days[0] < today}
    held = {name: booked for name, booked in held_of(standing).items() if name in names} | {
        name: was[name] for name in begun
    }
    asked = [by_id[name] for name in names]
    docket = living_docket(program, asked, standing, held, progress)
    docket = replace(
        docket,
        days=[[day for day in days if day >= today] for days in docket.days],
        durations=_as_promised(docket, was, names),
    )
    going = _Going(docket, was, standing, done_frac, begun)
    waiting = {name: booked for name, booked in held.items() if name not in begun}
    fixed = held_runs(docket, waiting, 3)
    runs, left = going.on(fixed)
    bookings = [was[name] for name in names]
    ahead = [sorted(names.index(name) for name in held)]
    moving = Moving(docket, bookings, priorities_of(asked, program.terms.rules, ahead=ahead))
    solved = moving.settled([*runs, *fixed], steps)
    given = {i: run for run in solved.given for i in run.requests}
    possible = {i for run in moving.free([*runs, *fixed]) for i in run.requests}
    kept = going.kept(solved.given)
    left |= {name: _left(booked, standing, program) for name, booked in waiting.items()}
    left |= kept.left
    changes = tuple(
        _held_change(
            docket, i, booked, (*_days(docket, given.get(i)), *kept.days.get(names[i], ())), left[names[i]]
        )
        if names[i] in begun
        else Change(request=asked[i], was=booked, now=booked, odds_prob=left[names[i]].odds_prob)
        if names[i] in held
        else _moved(docket, given[i], i, booked)
        if i in given
        else lost_booking(docket, i, booked, possible, _causes(docket, i, booked, standing, was, runs))
        for i, booked in enumerate(bookings)
    )
    changes = tuple(
        replace(
            change,
            over=done_frac.get(change.request.request_id, 0.0) >= 1,
            depends_on=tuple(going.needed_by(change.now)) if not change.begun and change.now else (),
        )
        for change in changes
    )
    unknown = [name for name in names if name in begun and name not in done_frac]
    return Replanned(
        changes=changes,
        finished=finished,
        served_proven=solved.served_proven,
        moved_bound=solved.cost_bounds[1] if solved.cost_bounds else 0,
        moved_days_bound=solved.cost_bounds[2] if solved.cost_bounds else 0,
        confidence_prob=program.terms.confidence_prob,
        clashes=tuple(
            clashes_of(docket, changes, left, moving, [*runs, *fixed], out=standing.out, unknown=unknown)
        ),
        lowered=tuple(_lowered(changes, left, begun)),
        questions=tuple(
            Question(
                request=by_id[name],
                booked=was[name],
                out=name in standing.out,
                depends=tuple(change.request for change in changes if name in change.depends_on),
            )
            for name in unknown
        ),
    )


def _as_promised(
    docket: Docket, was: Mapping[str, Booked], names: Sequence[str]
) -> list[Mapping[str, BookingDuration]]:
    """What each request takes; with the drill that it was promised, by itself, what was reckoned then."""
    durations: list[Mapping[str, BookingDuration]] = []
    for name, each in zip(names, docket.durations, strict=True):
        booked, promise = was[name], was[name].promise
        if promise is not None and not booked.shares_with and each[booked.drill].cannot is None:
            kept = replace(
                each[booked.drill],
                days=len(booked.days),
                job_s=promise.work_s,
                field_s=promise.field_s,
            )
            each = {**each, booked.drill: kept}
        durations.append(each)
    return durations


def _finished(
    name: str, booked: Booked, standing: Standing, today: date, done_frac: Mapping[str, float]
) -> bool:
    over = name not in standing.out or done_frac.get(name, 0.0) >= 1
    return name in standing.back or (over and booked.days[-1] < today)


def _left(booked: Booked, standing: Standing, program: RentalProgram) -> Left:
    """What a held booking that has not begun has left: its odds in the days that were not lost."""
    drill = next(drill for drill in program.drills if drill.name == booked.drill)
    days = usable(booked, standing.lost)
    lost = tuple((day, standing.lost[booked.drill, day]) for day in booked.days if day not in days)
    if booked.promise is None:
        return Left(odds_prob=None, asked_prob=program.terms.confidence_prob, short_days=0, lost=lost)
    odds_prob = odds_as_promised(booked.promise, days, drill, program)
    asked = min(booked.promise.asked_prob, booked.promise.odds_prob)
    short = len(booked.days) - len(days) if odds_prob < asked - _ROUNDING else 0
    return Left(odds_prob=odds_prob, asked_prob=asked, short_days=short, lost=lost)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Unknown:
    """Bookings that go on together and of which it is not known how much is done.

    Parameters
    ----------
    first, n_days
        The days that they keep: the index of the first, and how many.
    needed
        Days that they would need from the first on if nothing more is done.
    """

    order: tuple[str, ...]
    drill: int
    first: int
    n_days: int
    needed: int
    work_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """Days that are kept for bookings after their last one, and what is left of them then, by request."""

    days: Mapping[str, tuple[date, ...]]
    left: Mapping[str, Left]


@dataclass
class _Going:
    """Bookings that have begun."""

    docket: Docket
    was: Mapping[str, Booked]
    standing: Standing
    done_frac: Mapping[str, float]
    begun: set[str]
    unknown: list[_Unknown] = field(default_factory=list)

    def on(self, fixed: Sequence[Run]) -> tuple[list[Run], dict[str, Left]]:
        """The runs of what goes on from today, drill by drill, and what is left of each.

        Parameters
        ----------
        fixed
            Runs of held bookings that have not begun: nothing runs into them.

        Notes
        -----
        Where it is not known how much is done, a run ends with the days that were booked.
        """
        runs: list[Run] = []
        left: dict[str, Left] = {}
        at = {request.request_id: i for i, request in enumerate(self.docket.requests)}
        own = {name: self.was[name] for name in self.begun}
        groups = dict.fromkeys(order_of(name, own) for name in self.begun)
        for order in sorted(groups, key=lambda order: own[order[0]].days):
            d = next(
                d for d, drill in enumerate(self.docket.program.drills) if drill.name == own[order[0]].drill
            )
            days, drill = self.docket.days[d], self.docket.program.drills[d]
            first = max((run.end for run in runs if run.drill == d), default=0)
            limit = min(
                (run.first for run in fixed if run.drill == d and run.first >= first), default=len(days)
            )
            booked_left = sum(day <= own[order[0]].days[-1] for day in days[first:])
            work_s = self._work_left_s(order, d, at)
            all_done = all(self.done_frac.get(name, 0.0) >= 1 for name in order)
            needed = 0 if all_done else days_for(work_s, 366, drill, self.docket.program)
            n_days = min(max(needed, booked_left), limit - first)
            if any(name not in self.done_frac for name in order):
                n_days = min(booked_left, limit - first)
                self.unknown.append(
                    _Unknown(order=order, drill=d, first=first, n_days=n_days, needed=needed, work_s=work_s)
                )
            if n_days > 0:
                runs.append(
                    Run(
                        requests=tuple(at[name] for name in order),
                        drill=d,
                        first=first,
                        n_days=n_days,
                        costs=(0, 0, 0),
                    )
                )
            left |= self._left(order, d, days[first : first + n_days], 0.0 if all_done else work_s, needed)
        return runs, left

    def _left(
        self, order: Sequence[str], d: int, days: Sequence[date], work_s: float, needed: int
    ) -> Iterator[tuple[str, Left]]:
        """What is left of bookings that go on together, within days."""
        drill, program = self.docket.program.drills[d], self.docket.program
        odds_prob = odds_within(work_s, days, drill, program) if work_s else 1.0
        for name in order:
            lost = tuple(
                (day, self.standing.lost[drill.name, day])
                for day in self.was[name].days
                if (drill.name, day) in self.standing.lost
            )
            yield (
                name,
                Left(
                    odds_prob=odds_prob,
                    asked_prob=program.terms.confidence_prob,
                    short_days=max(0, needed - len(days)),
                    lost=lost,
                ),
            )

    def kept(self, given: Sequence[Run]) -> _Kept:
        """Days after those booked for what is out and not known to be done, as long as nobody has or had them."""
        kept: dict[str, tuple[date, ...]] = {}
        left: dict[str, Left] = {}
        taken = days_taken(self.docket, given)
        for one in self.unknown:
            days, drill = self.docket.days[one.drill], self.docket.program.drills[one.drill].name
            held = {
                day
                for name, booked in self.was.items()
                if booked.drill == drill and name not in one.order
                for day in booked.days
            }
            start, end = one.first + one.n_days, one.first + one.n_days
            while (
                end < min(len(days), one.first + one.needed)
                and (one.drill, days[end]) not in taken
                and days[end] not in held
            ):
                end += 1
            if end > start and not self.standing.out.keys().isdisjoint(one.order):
                kept |= dict.fromkeys(one.order, tuple(days[start:end]))
                taken |= {(one.drill, day) for day in days[start:end]}
                left |= self._left(one.order, one.drill, days[one.first : end], one.work_s, one.needed)
        return _Kept(days=kept, left=left)

    def needed_by(self, booked: Booked) -> Iterator[str]:
        """Bookings of which it is not known how much is done, and that may need days of another one."""
        for one in self.unknown:
            days = self.docket.days[one.drill][one.first : one.first + one.needed]
            if self.docket.program.drills[one.drill].name == booked.drill and not set(days).isdisjoint(
                booked.days
            ):
                yield from (name for name in one.order if name not in self.done_frac)

    def _work_left_s(self, order: Sequence[str], d: int, at: Mapping[str, int]) -> float:
        """Work that is left of bookings that go on together: the rest in the field and the clean-out of each; all of
        what has not been reached.
        """
        clean_out_s = self.docket.program.drills[d].job.working.clean_out_s
        total_s = 0.0
        for k, name in enumerate(order):
            promise, done = self.was[name].promise, self.done_frac.get(name, 0.0)
            duration = self.docket.duration(at[name], d)
            field_s = promise.field_s if promise is not None and len(order) == 1 else duration.field_s
            if k and not done:
                total_s += duration.job_s
            else:
                total_s += field_s * (1 - done) + clean_out_s
        return total_s


def _lowered(
    changes: Sequence[Change], left: Mapping[str, Left], begun: Collection[str]
) -> Iterator[Lowered]:
    """Held bookings that lost days, with the odds that they had and have."""
    for change in changes:
        found = left.get(change.request.request_id)
        if (
            found is not None
            and found.lost
            and found.odds_prob is not None
            and change.request.request_id not in begun
        ):
            promise = change.was.promise
            yield Lowered(
                request=change.request,
                promised_prob=promise.odds_prob if promise else found.asked_prob,
                odds_prob=found.odds_prob,
                lost=found.lost,
            )


def _days(docket: Docket, run: Run | None) -> tuple[date, ...]:
    return () if run is None else docket.days_of(run)


def _held_change(docket: Docket, i: int, booked: Booked, days: tuple[date, ...], left: Left) -> Change:
    """A booking that has begun, with its days from today on."""
    now = replace(booked, days=days or booked.days[-1:])
    return Change(request=docket.requests[i], was=booked, now=now, begun=True, odds_prob=left.odds_prob)


def _causes(
    docket: Docket,
    i: int,
    booked: Booked,
    standing: Standing,
    was: Mapping[str, Booked],
    runs: Sequence[Run],
) -> Iterator[Fact]:
    """What took the days of a booking that is lost: days its drill lost, and work that goes on, known to need them.

    Where neither took one of them, days lost with any drill, and all work that goes on, left none to move to.
    """
    first, last = docket.windows[i]
    window = {first + timedelta(days=k) for k in range((last - first).days + 1)}
    every = tuple(drill.name for drill in docket.program.drills)
    for drills, wanted in (((booked.drill,), set(booked.days)), (every, window)):
        found = []
        for name in drills:
            lost = sorted(day for drill, day in standing.lost if drill == name and day in wanted)
            if lost:
                whys = tuple(dict.fromkeys(standing.lost[name, day] for day in lost))
                found.append(
                    fact(
                        "because-lost" if len(lost) > 1 else "because-lost/one-day",
                        drill=name,
                        first_typed_day=lost[0],
                        last_typed_day=lost[-1],
                        n_days=len(lost),
                        why=whys,
                    )
                )
            for run in runs:
                requests = [docket.requests[other].request_id for other in run.requests]
                beyond = [day for day in docket.days_of(run) if day not in was[requests[0]].days]
                if every[run.drill] == name and not wanted.isdisjoint(beyond):
                    found.append(
                        fact(
                            "because-goes-on",
                            requests=tuple(requests),
                            drill=name,
                            last_typed_day=beyond[-1],
                        )
                    )
        if found:
            yield from found
            return


def _moved(docket: Docket, run: Run, i: int, booked: Booked) -> Change:
    drill = docket.program.drills[run.drill]
    if booked.promise is not None and len(run.requests) == 1 and drill.name == booked.drill:
        odds_prob = odds_as_promised(booked.promise, docket.days_of(run), drill, docket.program)
    else:
        odds_prob = odds_within(docket.work_s(run), docket.days_of(run), drill, docket.program)
    now = changed_booking(docket, run, i, booked)
    return Change(request=docket.requests[i], was=booked, now=now, odds_prob=odds_prob)


def bookings_after(
    found: Replanned, was: Mapping[str, Booked], today: date
) -> Iterator[tuple[str, Booked | None]]:
    """Bookings that are other than they were, by request; ``None`` for those that are lost.

    One that goes on keeps the days that it had before today.
    """
    for change in found.changes:
        name = change.request.request_id
        now = change.now
        if now is not None and change.begun:
            now = replace(
                now, days=tuple(sorted({*(day for day in was[name].days if day < today), *now.days}))
            )
        if now is None or _place(now) != _place(was[name]):
            yield name, now


def _place(booked: Booked) -> tuple[object, ...]:
    return booked.drill, booked.days, booked.position, frozenset(booked.shares_with)
