"""Why each request stands where it does, and what would change a refusal. Judged against the season as it stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fieldplan.model.season import Lending, Length, Refusal, Request
from fieldplan.season.claims import Run
from fieldplan.season.lengths import booking_terms, ground_that_fits
from fieldplan.season.parties import Party
from fieldplan.units import ACRE_M2, HOUR_S

LEAST_ACRES = 0.5
"""Fewer acres than this are no offer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The season as it stands: requests, what each takes with each drill, when it may be, and who was given what.

    ``parties`` are the short requests that could share days, by drill and driving order; ``days`` the working days of each drill;
    ``levels`` the requests in the order they are served, ``confirmed`` those that stay where they were.
    """

    lending: Lending
    requests: Sequence[Request]
    lengths: Sequence[Mapping[str, Length]]
    parties: Mapping[tuple[int, tuple[int, ...]], Party]
    windows: Sequence[tuple[date, date]]
    days: Sequence[Sequence[date]]
    given: Sequence[Run]
    levels: Sequence[Sequence[int]]
    confirmed: frozenset[int] = frozenset()

    def length(self, request: int, drill: int) -> Length:
        """What a request takes with a drill."""
        return self.lengths[request][self.lending.drills[drill].name]

    def length_in(self, run: Run, request: int) -> Length:
        """What a request takes in a run: alone as by itself, in a party its own part of the hours."""
        if len(run.requests) == 1:
            return self.length(request, run.drill)
        return self.parties[run.drill, run.requests].lengths[run.requests.index(request)]

    def waiting_days(self, run: Run, request: int) -> int:
        """Days that a request waits in a run."""
        return (self.days[run.drill][run.first] - self.windows[request][0]).days

    def able(self, request: int) -> list[int]:
        """Drills that can do a request at all."""
        return [d for d in range(len(self.lending.drills)) if not self.length(request, d).cannot]

    def turn(self, request: int) -> str:
        """How soon a request is served by the rules, among all turns; those who are confirmed come before any turn."""
        before = bool(self.confirmed)
        return f"turn {self.level(request) - before} of {len(self.levels) - before}"

    def level(self, request: int) -> int:
        """How soon a request is served, from 1."""
        return next(n for n, level in enumerate(self.levels, start=1) if request in level)

    def held(self, drill: int, first: date, last: date) -> list[int]:
        """Requests that have a drill on any working day from first to last."""
        days = self.days[drill]
        return [
            request
            for run in self.given
            if run.drill == drill and days[run.first] <= last and days[run.end - 1] >= first
            for request in run.requests
        ]

    def free(self, drill: int, first: date, last: date) -> Iterator[list[date]]:
        """Runs of working days of a drill from first to last that nobody has, each as long as can be."""
        taken = {k for run in self.given if run.drill == drill for k in range(run.first, run.end)}
        run: list[date] = []
        for k, day in enumerate(self.days[drill]):
            if first <= day <= last and k not in taken:
                run.append(day)
            elif run:
                yield run
                run = []
        if run:
            yield run


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
    """Why a request is not served, and what would change it."""
    request, terms = book.requests[i], book.lending.terms
    earliest, last = book.windows[i]
    able = book.able(i)
    fits = [d for d in able if book.length(i, d).days <= terms.longest_days]
    shortest = min((book.length(i, d).days for d in able), default=0)
    if earliest > last:
        reason = f"no day from {request.ready} to {request.until} lies in the season, {terms.opens} to {terms.closes}" + _noticed(
            book, i
        )
    elif not able:
        reason = "no drill can do it: " + "; ".join(
            f"{drill.name}: {book.lengths[i][drill.name].cannot}" for drill in book.lending.drills
        )
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
    return Refusal(request=request, reason=reason, changes=tuple(_changes(book, i, able)))


def _changes(book: Book, i: int, able: Iterable[int]) -> Iterator[str]:
    """What would find it a place with everybody else where they are: later days, fewer acres, the other drill."""
    terms = book.lending.terms
    earliest, last = book.windows[i]
    later = [
        (run[length.days - 1], d)
        for d in able
        if (length := book.length(i, d)).days <= terms.longest_days
        for run in book.free(d, earliest, terms.closes)
        if len(run) >= length.days
    ]
    if later:
        day, d = min(later)
        if day > last:
            yield f"{(day - last).days} day(s) later: with {book.lending.drills[d].name} it would be done by {day}"
    fewer = []
    for d in able:
        days = min(terms.longest_days, max((len(run) for run in book.free(d, earliest, last)), default=0))
        if 0 < days < book.length(i, d).days:
            fewer.append(
                (ground_that_fits(book.length(i, d), days, booking_terms(book.lending.drills[d], book.lending)), days, d)
            )
    if fewer and max(fewer)[0] >= LEAST_ACRES * ACRE_M2:
        ground, days, d = max(fewer)
        less = (book.length(i, d).ground_m2 - ground) / ACRE_M2
        yield f"{less:.1f} acres less ({ground / ACRE_M2:.1f} acres): {book.lending.drills[d].name} is free for {days} working day(s)"
    others = [d for d in range(len(book.lending.drills)) if d not in set(able)]
    for d in others:
        if able and any(len(run) >= min(book.length(i, a).days for a in able) for run in book.free(d, earliest, last)):
            yield f"{book.lending.drills[d].name} has free days, if it could do it ({book.length(i, d).cannot})"


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
