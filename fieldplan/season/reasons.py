"""Why each request stands where it does, and why others have no place. Judged against the season as it stands."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from fieldplan.model.season import Refusal, Request
from fieldplan.season.because import joined
from fieldplan.season.claims import Run
from fieldplan.season.offers import offers
from fieldplan.season.standing import Book
from fieldplan.units import HOUR_S


def placed_reason(book: Book, run: Run, i: int) -> str:
    """Which rule put a request there, what it waits for, and with whom it shares its days."""
    request, waits = book.requests[i], book.waiting_days(run, i)
    if i in book.confirmed:
        return "confirmed: it stays where it was" + (f"; {_shared(book, run, i)}" if len(run.requests) > 1 else "")
    parts = [f"{book.turn(i)} by the rules ({_standing(book, request)})"]
    able = book.able(i)
    if len(able) == 1 and len(book.lending.drills) > 1:
        parts.append("the only drill that can do it")
    if waits:
        earliest, first = book.windows[i][0], book.days[run.drill][run.first]
        holders = {one for d in able for one in book.held(d, earliest, first) if one not in run.requests}
        parts.append(f"waits {waits} day(s)" + (f" behind {_names(book, holders)}" if holders else " for a working day"))
    else:
        parts.append("on the first day it can begin")
    if len(run.requests) > 1:
        parts.append(_shared(book, run, i))
    return "; ".join(parts)


def _shared(book: Book, run: Run, i: int) -> str:
    """With whom a request shares its days, who has the drill first, and whether the day holds their hours."""
    names = [book.requests[one].renter for one in run.requests]
    others = ", ".join(book.requests[one].renter for one in run.requests if one != i)
    together_s, day_s = book.parties[run.drill, run.requests].together_s, book.lending.drills[run.drill].job.booking.day_s
    return (
        f"shares its days with {others}: first {' then '.join(names)}, on the same day; together {together_s / HOUR_S:.1f} h of "
        f"a working day of {day_s / HOUR_S:.1f} h"
    )


def refusal(book: Book, i: int) -> Refusal:
    """Why a request is not served, and what of later days, less ground and other drills would change it."""
    request, terms = book.requests[i], book.lending.terms
    earliest, last = book.windows[i]
    able = book.able(i)
    fits = [d for d in able if book.length(i, d).days <= terms.longest_days]
    values: dict[str, float] = {}
    shortest = min((book.length(i, d).days for d in able), default=0)
    if earliest > last:
        reason = f"no day from {request.ready} to {request.until} lies in the season, {terms.opens} to {terms.closes}" + _noticed(
            book, i
        )
    elif not able:
        lengths = [(drill.name, book.lengths[i][drill.name]) for drill in book.lending.drills]
        why, values = joined(((f"{name}: {one.cannot}", one.cannot_values) for name, one in lengths), "; ")
        reason = f"no drill can do it: {why}"
    elif not fits:
        reason = f"needs {shortest} working days, more than the longest booking of {terms.longest_days}"
    elif not any(_holds(book, d, earliest, last) >= book.length(i, d).days for d in fits):
        d = min(fits, key=lambda d: book.length(i, d).days - _holds(book, d, earliest, last))
        reason = (
            f"needs {book.length(i, d).days} working days with {book.lending.drills[d].name}, and its window from {earliest} to {last} holds "
            f"{_holds(book, d, earliest, last)}" + _noticed(book, i)
        )
    else:
        holders = {one for d in fits for one in book.held(d, earliest, last)}
        reason = f"{book.turn(i)} by the rules ({_standing(book, request)}); its days go to {_names(book, holders)}"
    return Refusal(request=request, reason=reason, values=values, changes=tuple(offers(book, i)))


def _holds(book: Book, drill: int, first: date, last: date) -> int:
    return sum(first <= day <= last for day in book.days[drill])


def _noticed(book: Book, i: int) -> str:
    request, notice = book.requests[i], book.lending.terms.notice_days
    if request.asked and book.windows[i][0] > max(request.ready, book.lending.terms.opens):
        return f" ({notice} days of notice from {request.asked} are behind it)"
    return ""


def _standing(book: Book, request: Request) -> str:
    """What each rule finds in a request."""
    found = []
    for rule in book.lending.terms.rules:
        fact = request.facts.get(rule.column, "") or "nothing"
        if rule.value is None:
            found.append(f"{rule.column} {fact}")
        else:
            found.append(f"{rule.text}: {'yes' if fact.casefold() == rule.value.casefold() else 'no'}")
    return ", ".join(found)


def _names(book: Book, requests: Iterable[int]) -> str:
    """Renters by the order they are served, and how many more."""
    order = [i for level in book.levels for i in level if i in set(requests)]
    names = [
        f"{book.requests[i].renter} ({'confirmed' if i in book.confirmed else book.turn(i).partition(' of')[0]})" for i in order
    ]
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")
