"""The waiting list: who is to be offered days that were promised and are free again, in which order, and what each
would gain. Nothing moves by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from fieldplan.model.booked import Booked
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.model.standing import Freed, Offer, Standing
from fieldplan.season.docket import Docket
from fieldplan.season.durations import Progress
from fieldplan.season.living import living_docket
from fieldplan.season.odds import odds_within
from fieldplan.season.priorities import priorities_of

_ROUNDING = 1e-9


def waiting_list(
    program: RentalProgram,
    requests: Sequence[Request],
    standing: Standing,
    today: date | None = None,
    progress: Progress = iter,
) -> tuple[Offer, ...]:
    """Offers of all days that were promised and are free again.

    First come requests that lost their booking to days lost or to work that went on, then others without days, then those
    that would have theirs earlier, each by the rules. An offer holds
    days that nobody has, at least one of them freed, as many as the odds asked for take, as early as the request can have
    them. One that was declined is not made again, and nobody is offered days that they gave back.

    Parameters
    ----------
    requests
        Requests that were not withdrawn.
    today
        The first day still to come; else the latest on which something happened.

    Returns
    -------
    tuple
        For each freed span its offers in the order of phoning.
    """
    freed = _spans(standing, today or standing.latest)
    if not freed:
        return ()
    docket = living_docket(program, requests, standing, {}, progress)
    docket = replace(docket, begun=frozenset())
    rules = priorities_of(requests, program.terms.rules)
    turn = {i: n for n, group in enumerate(rules) for i in group}
    found = []
    for one in freed:
        offers = list(_of_span(docket, one, standing, today or standing.latest))
        at = {request.request_id: i for i, request in enumerate(requests)}
        offers.sort(
            key=lambda offer: (
                offer.earlier_days is not None,
                offer.request.request_id not in standing.struck,
                turn[at[offer.request.request_id]],
            )
        )
        found += offers
    return tuple(found)


def _spans(standing: Standing, today: date | None) -> list[Freed]:
    """Freed days still to come, each day once: days that several gave back, one after the other, are those of the last."""
    spans, seen = [], set(standing.lost)
    for one in reversed(standing.freed):
        days = tuple(
            day for day in one.days if (today is None or day >= today) and (one.drill, day) not in seen
        )
        seen |= {(one.drill, day) for day in days}
        if days:
            spans.append(replace(one, days=days))
    return spans[::-1]


def _gave_back(standing: Standing, freed: Freed) -> set[str]:
    """Ids of the requests that gave back days of a span, now or before."""
    return {
        one.request_id
        for one in standing.freed
        if one.drill == freed.drill and not set(one.days).isdisjoint(freed.days)
    }


def _of_span(docket: Docket, freed: Freed, standing: Standing, today: date | None) -> Iterator[Offer]:
    d = next((d for d, drill in enumerate(docket.program.drills) if drill.name == freed.drill), None)
    gave_back = _gave_back(standing, freed)
    for i, request in enumerate(docket.requests) if d is not None else ():
        name = request.request_id
        if name in gave_back or name in standing.out or name in standing.back or name in standing.agreed:
            continue
        booked = standing.bookings.get(name)
        if booked is not None and today is not None and booked.days[0] < today:
            continue
        assert d is not None
        days = _earliest(docket, d, i, freed, booked, standing, today)
        if days is not None:
            drill = docket.program.drills[d]
            yield Offer(
                request=request,
                freed=freed,
                days=days,
                odds_prob=odds_within(docket.duration(i, d).job_s, days, drill, docket.program),
                booked=booked,
                earlier_days=None if booked is None else (booked.days[0] - days[0]).days,
            )


def _earliest(
    docket: Docket,
    d: int,
    i: int,
    freed: Freed,
    booked: Booked | None,
    standing: Standing,
    today: date | None,
) -> tuple[date, ...] | None:
    """The earliest days that a request could have of a drill with freed ones among them; ``None`` if it gains nothing."""
    duration, request = docket.duration(i, d), docket.requests[i]
    if duration.cannot is not None or duration.days > docket.program.terms.longest_days:
        return None
    days, drill = docket.days[d], docket.program.drills[d]
    earliest, last = docket.windows[i]
    taken = _taken(standing.bookings, drill.name, but=request.request_id)
    wanted = set(freed.days)
    for k in range(len(days) - duration.days + 1):
        run = tuple(days[k : k + duration.days])
        if (
            run[0] >= max(earliest, today or earliest)
            and run[-1] <= last
            and taken.isdisjoint(run)
            and not wanted.isdisjoint(run)
            and (booked is None or run[0] < booked.days[0])
            and (request.request_id, drill.name, run[0]) not in standing.declined
            and _likely(docket, d, i, run)
        ):
            return run
    return None


def _taken(bookings: Mapping[str, Booked], drill: str, *, but: str) -> set[date]:
    """Days of a drill that others have."""
    return {
        day
        for name, booked in bookings.items()
        if booked.drill == drill and name != but
        for day in booked.days
    }


def _likely(docket: Docket, d: int, i: int, run: Sequence[date]) -> bool:
    """Whether days hold the odds asked for; without a weather record any days of the right number do."""
    drill = docket.program.drills[d]
    if drill.job.booking.weather is None:
        return True
    odds_prob = odds_within(docket.duration(i, d).job_s, run, drill, docket.program)
    return odds_prob >= docket.program.terms.confidence_prob - _ROUNDING
