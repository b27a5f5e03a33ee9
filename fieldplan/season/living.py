"""Planning a season that has begun to be promised: what is confirmed stays, days lost and days freed are left out, and
all others are served by the rules on the days that remain.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from fieldplan.errors import InputError
from fieldplan.facts import Fact, fact
from fieldplan.model.booked import Booked, Confirmed, Placement
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.model.season import Refusal, Season
from fieldplan.model.standing import Standing
from fieldplan.season.as_booked import Book
from fieldplan.season.docket import Docket, docket_of, proof_of
from fieldplan.season.durations import Progress
from fieldplan.season.held import (
    begun_of,
    days_taken,
    duration_held,
    held_of,
    held_runs,
    usable,
    with_held_sharing,
)
from fieldplan.season.odds import odds_as_promised, odds_within
from fieldplan.season.placements import placements
from fieldplan.season.plan import Waiting, notes_of, plan_season, refuse_displaced
from fieldplan.season.priorities import priorities_of
from fieldplan.season.rain import booked_for
from fieldplan.season.reasons import kept_reason, refusal
from fieldplan.season.schedule import REASONS, Steps
from fieldplan.season.scheduling_problem import Run, served_by


def plan_living(
    program: RentalProgram,
    requests: Sequence[Request],
    standing: Standing,
    progress: Progress = iter,
    steps: Steps = iter,
    *,
    refill: bool = False,
) -> Season:
    """Plan a season as it stands.

    Held bookings (`held_of`) keep their drill and their days. Days that were promised and are free again go to nobody
    unless ``refill`` says so: they are offered (`waiting_list`). But who lost a booking to days lost, or to work that went
    on, is planned again on them: nobody had asked to give those up.

    Parameters
    ----------
    requests
        Requests that were not withdrawn.
    standing
        What the entries of the season come to.
    progress, steps
        As in `plan_season`.

    Raises
    ------
    InputError
        As `plan_season`, and if a booking is with a drill that the season has no more.
    MissingExtra
        If the solver is not installed.
    """
    held = held_of(standing)
    if not held and not standing.lost and not standing.freed and standing.latest is None:
        return plan_season(program, requests, progress, standing.agreed, steps)
    priorities_of(requests, program.terms.rules)
    docket = living_docket(program, requests, standing, held, progress)
    at = {request.request_id: i for i, request in enumerate(requests)}
    agreed = {at[name]: one for name, one in standing.agreed.items() if name in at}
    fixed = [*(at[name] for name in held if name in at), *agreed]
    priorities = priorities_of(requests, program.terms.rules, ahead=[fixed])
    cost = Waiting(docket, priorities)
    kept = held_runs(docket, held, cost.n_costs)
    may_be = _Open(docket, standing, kept, agreed, refill=refill)
    runs = [*kept, *filter(may_be, docket.runs(cost, program.terms.longest_days))]
    solved = docket.settled(priorities, runs, steps)
    served = served_by(solved.given) | {at[name] for name in held if name in at}
    refuse_displaced([(requests[i], agreed[i]) for i in agreed if i not in served], program)
    unconfirmed = {name for name, booked in held.items() if not booked.confirmed}
    book = Book(
        docket=docket,
        given=solved.given,
        priorities=priorities,
        confirmed=frozenset(fixed),
        begun=frozenset(at[name] for name in unconfirmed & begun_of(standing) if name in at),
        sharing=frozenset(at[name] for name in unconfirmed - begun_of(standing) if name in at),
        start=standing.latest,
        may_be=may_be,
    )
    placed = tuple(_placed(book, held, standing))
    refused = [i for group in priorities for i in group if i not in served]
    return Season(
        program=program,
        placements=placed,
        refusals=tuple(
            _refusal(book, i, standing, refill=refill) for _ in steps([REASONS]) for i in refused
        ),
        proof=proof_of(docket, solved, cost.n_costs),
        notes=notes_of(placed, program, requests),
    )


def living_docket(
    program: RentalProgram,
    requests: Sequence[Request],
    standing: Standing,
    held: Mapping[str, Booked],
    progress: Progress = iter,
) -> Docket:
    """The docket of a season as it stands: without days lost, and with held bookings as they were promised."""
    names = {drill.name for drill in program.drills}
    for name, booked in held.items():
        if booked.drill not in names:
            raise InputError.of("booking-unknown", request=name, drill=booked.drill)
    at = {request.request_id: i for i, request in enumerate(requests)}
    docket = docket_of(
        program,
        requests,
        progress,
        farthest_m=booked_for(requests, requests, held, program),
        begun=[at[name] for name in held if name in at],
        lost=standing.lost,
    )
    return with_held_sharing(docket, {name: booked for name, booked in held.items() if name in at})


class _Open:
    """Whether a run of days can still be given: not past, not taken, not freed and on offer, and as it was agreed."""

    def __init__(
        self,
        docket: Docket,
        standing: Standing,
        kept: Sequence[Run],
        agreed: Mapping[int, Confirmed],
        *,
        refill: bool,
    ) -> None:
        self._docket, self._start, self._agreed = docket, standing.latest, agreed
        self._closed = days_taken(docket, kept)
        self._struck = {
            i for i, request in enumerate(docket.requests) if request.request_id in standing.struck
        }
        drills = {drill.name: d for d, drill in enumerate(docket.program.drills)}
        self._freed = {
            (drills[one.drill], day)
            for one in (standing.freed if not refill else ())
            if one.drill in drills
            for day in one.days
        }

    def __call__(self, run: Run) -> bool:
        days, drill = self._docket.days_of(run), self._docket.program.drills[run.drill].name
        on = {(run.drill, day) for day in days}
        return (
            (self._start is None or days[0] >= self._start)
            and self._closed.isdisjoint(on)
            and (self._freed.isdisjoint(on) or self._struck.issuperset(run.requests))
            and all(
                (drill, days[0]) == (self._agreed[i].drill, self._agreed[i].first)
                for i in run.requests
                if i in self._agreed
            )
        )


def _placed(book: Book, held: Mapping[str, Booked], standing: Standing) -> Iterator[Placement]:
    """The bookings drill by drill in the order of days; held ones with the days, the road and the odds of their promise."""
    left = dict(held)
    found = []
    for placement in placements(book):
        booked = left.pop(placement.request.request_id, None)
        found.append(
            placement if booked is None else as_held(placement, booked, standing, book.docket.program)
        )
    at = {request.request_id: i for i, request in enumerate(book.docket.requests)}
    found += [
        _without_days(book, at[name], booked, standing) for name, booked in left.items() if name in at
    ]
    for drill in book.docket.program.drills:
        of_drill = [one for one in found if one.drill == drill.name]
        yield from sorted(of_drill, key=lambda one: (one.days[0], one.days[-1]))


def as_held(placement: Placement, booked: Booked, standing: Standing, program: RentalProgram) -> Placement:
    """A held booking as it was promised: its days, its odds less the days lost inside it, and whether it was confirmed."""
    drill = next(drill for drill in program.drills if drill.name == booked.drill)
    days = usable(booked, standing.lost)
    back = standing.back.get(placement.request.request_id)
    odds_prob = None
    if back is None:
        odds_prob = (
            odds_within(placement.duration.job_s, days, drill, program)
            if booked.promise is None
            else odds_as_promised(booked.promise, days, drill, program)
        )
    reason: Fact = placement.reason
    if back is not None:
        reason = fact("placed-back", back_typed_day=back)
    elif placement.request.request_id in standing.out:
        reason = fact("placed-out")
    return replace(
        placement,
        days=booked.days,
        duration=duration_held(placement.duration, booked),
        confirmed=booked.confirmed,
        odds_prob=odds_prob,
        reason=reason,
    )


def _without_days(book: Book, i: int, booked: Booked, standing: Standing) -> Placement:
    """A held booking all of whose days were lost."""
    docket = book.docket
    d = next(d for d, drill in enumerate(docket.program.drills) if drill.name == booked.drill)
    placement = Placement(
        request=docket.requests[i],
        drill=booked.drill,
        days=booked.days,
        duration=docket.duration(i, d),
        waiting_days=max(0, docket.waiting_days(booked.days[0], i)),
        tow_m=0.0,
        collect_from="",
        reason=kept_reason(book, i),
        shared_booking=(docket.requests[i].request_id,),
        farthest_m=docket.farthest_m[i][booked.drill],
    )
    return as_held(placement, booked, standing, docket.program)


def _refusal(book: Book, i: int, standing: Standing, *, refill: bool) -> Refusal:
    """Why a request has no days; if days that were freed would hold it, that they are on offer."""
    if not refill and standing.freed and _on_offer(book, i, standing):
        return Refusal(request=book.docket.requests[i], reason=fact("refused-on-offer"), changes=())
    return refusal(book, i)


def _on_offer(book: Book, i: int, standing: Standing) -> bool:
    docket = book.docket
    freed = {(one.drill, day) for one in standing.freed for day in one.days}
    earliest, last = docket.windows[i]
    return any(
        len(run) >= docket.duration(i, d).days
        and freed & {(docket.program.drills[d].name, day) for day in run}
        for d in docket.able(i)
        if docket.duration(i, d).days <= docket.program.terms.longest_days
        for run in book.free(d, earliest, last)
    )
