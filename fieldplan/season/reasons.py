"""Why each request has the days it has, and why others have none, given the season as scheduled."""

from __future__ import annotations

from collections.abc import Iterable

from fieldplan.facts import Fact, Value, fact
from fieldplan.model.request import Request
from fieldplan.model.season import Refusal
from fieldplan.season.as_booked import Book
from fieldplan.season.offers import offers
from fieldplan.season.scheduling_problem import Run

MAX_NAMED = 4
"""A reason names so many renters; the rest are counted."""


def placed_reason(book: Book, run: Run, i: int) -> Fact:
    """Which rules gave a request its days, what it waits for, and with whom it shares them.

    Parameters
    ----------
    run
        The run of days that it was given.
    i
        Index of the request in the docket.
    """
    shared = [_shared(book, run, i)] if len(run.requests) > 1 else []
    if i in book.confirmed:
        return kept_reason(book, i, tuple(shared))
    able = book.docket.able(i)
    parts = [_waits(book, run, i), *shared]
    if len(able) == 1 and len(book.docket.program.drills) > 1:
        parts.insert(0, fact("only-drill"))
    return fact(
        "placed-by-rules",
        turn=book.priority_fact(i),
        found=_found(book, book.docket.requests[i]),
        parts=tuple(parts),
    )


def kept_reason(book: Book, i: int, parts: tuple[Fact, ...] = ()) -> Fact:
    """Why a request keeps its days: it was confirmed, it has begun, or it shares them with one that keeps them."""
    if i in book.begun:
        return fact("placed-begun", parts=parts)
    return fact("placed-sharing" if i in book.sharing else "placed-confirmed", parts=parts)


def _waits(book: Book, run: Run, i: int) -> Fact:
    """How long a request waits, and behind whom."""
    docket, first = book.docket, book.docket.days_of(run)[0]
    waits = docket.waiting_days(first, i)
    if not waits:
        return fact("waits/not")
    holders = {
        other
        for d in docket.able(i)
        for other in book.with_days(d, docket.windows[i][0], first)
        if other not in run.requests
    }
    if not holders:
        return fact("waits/for-a-working-day", n_days=waits)
    return fact("waits", n_days=waits, holders=_holders(book, holders))


def _shared(book: Book, run: Run, i: int) -> Fact:
    """With whom a request shares its days, in which order, and how their hours fit into one day."""
    docket = book.docket
    return fact(
        "shares-days",
        others=tuple(docket.requests[request].renter for request in run.requests if request != i),
        in_turn=tuple(docket.requests[request].renter for request in run.requests),
        together_s=docket.shared_bookings[run.drill, run.requests].together_s,
        day_s=docket.program.drills[run.drill].job.booking.day_s,
    )


def refusal(book: Book, i: int) -> Refusal:
    """Why a request is not served, and which offers (`offers`) would change that."""
    return Refusal(
        request=book.docket.requests[i], reason=_refused(book, i), changes=tuple(offers(book, i))
    )


def _refused(book: Book, i: int) -> Fact:
    docket, request, terms = book.docket, book.docket.requests[i], book.docket.program.terms
    earliest, last = docket.windows[i]
    days = {d: docket.duration(i, d).days for d in docket.able(i)}
    fits = [d for d in days if days[d] <= terms.longest_days]
    if earliest > last:
        return fact(
            "refused-outside",
            ready_typed_day=request.ready,
            until_typed_day=request.until,
            opens_typed_day=terms.opens,
            closes_typed_day=terms.closes,
            **_noticed(book, i),
        )
    if not days:
        each = (
            fact("drill-cannot", drill=name, why=duration.cannot or "")
            for name, duration in docket.durations[i].items()
        )
        return fact("refused-no-drill", each=tuple(each))
    if not fits:
        return fact("refused-long", n_days=min(days.values()), n_longest=terms.longest_days)
    holds = {d: sum(earliest <= day <= last for day in docket.days[d]) for d in fits}
    if not any(holds[d] >= days[d] for d in fits):
        d = min(fits, key=lambda d: days[d] - holds[d])
        return fact(
            "refused-narrow",
            n_days=days[d],
            drill=docket.program.drills[d].name,
            earliest_typed_day=earliest,
            last_typed_day=last,
            n_held=holds[d],
            **_noticed(book, i),
        )
    holders = _holders(book, {other for d in fits for other in book.with_days(d, earliest, last)})
    return fact(
        "refused-by-rules", turn=book.priority_fact(i), found=_found(book, request), holders=holders
    )


def _noticed(book: Book, i: int) -> dict[str, Value]:
    """The notice, if nothing else keeps a request from an earlier day."""
    request, terms = book.docket.requests[i], book.docket.program.terms
    if request.asked and book.docket.windows[i][0] > max(request.ready, terms.opens):
        return {"notice": fact("notice", n_days=terms.notice_days, asked_typed_day=request.asked)}
    return {}


def _found(book: Book, request: Request) -> tuple[Fact, ...]:
    """What each rule finds in a request."""
    return tuple(rule.finds(request.facts.get(rule.column, "")) for rule in book.docket.program.terms.rules)


def _holders(book: Book, requests: Iterable[int]) -> Fact:
    """Renters by priority, and how many more there are."""
    there = set(requests)
    order = [i for group in book.priorities for i in group if i in there]
    named = tuple(_holder(book, i) for i in order[:MAX_NAMED])
    more: dict[str, Value] = {"n_more": len(order) - MAX_NAMED} if len(order) > MAX_NAMED else {}
    return fact("holders", named=named, **more)


def _holder(book: Book, i: int) -> Fact:
    renter = book.docket.requests[i].renter
    if i in book.begun:
        return fact("holder/begun", renter=renter)
    if i in book.sharing:
        return fact("holder/sharing", renter=renter)
    if i in book.confirmed:
        return fact("holder/confirmed", renter=renter)
    return fact("holder", renter=renter, n_turn=book.priority(i))
