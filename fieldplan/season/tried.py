"""A season planned again with one request changed: whether the rules would then serve it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from fieldplan.model.booked import BookingDuration
from fieldplan.season.as_booked import Book
from fieldplan.season.docket import Docket
from fieldplan.season.priorities import priorities_of
from fieldplan.season.schedule import serving
from fieldplan.season.scheduling_problem import SchedulingProblem


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """What is other about a request.

    Parameters
    ----------
    until
        The last day that works for it.
    durations
        What it takes, by the index of the drill.
    acres
        What the list would give as its acres.
    """

    until: date | None = None
    durations: Mapping[int, BookingDuration] = field(default_factory=dict)
    acres: float | None = None


def served_with(book: Book, i: int, changed: Changed) -> bool:
    """Whether the season, planned again by its rules, serves a request that is changed so.

    It does if the request comes after the same requests as before and has days that nobody has: the season as it is and those
    days serve more by priority than any season without the request, if it is proven that none serves more now. Else the
    season is planned again.

    Parameters
    ----------
    book
        The season as it was scheduled.
    i
        Index of the request.
    """
    docket, program = _docket_with(book, i, changed), book.docket.program
    ahead = [sorted(book.confirmed)]
    priorities = priorities_of(docket.requests, program.terms.rules, ahead=ahead)
    n_ahead = next(n for n, group in enumerate(priorities, start=1) if i in group)
    if _alike(priorities[:n_ahead], book.priorities[:n_ahead]) and _has_days(book, docket, i):
        return True
    free = [
        run
        for run in docket.runs(lambda *_: (0,), program.terms.longest_days)
        if book.confirmed.isdisjoint(run.requests) and book.may_be(run)
    ]
    held = [replace(run, costs=(0,)) for run in book.given if book.confirmed & set(run.requests)]
    wanted = {one for group in priorities[:n_ahead] for one in group}
    problem = SchedulingProblem(
        priorities=priorities[:n_ahead],
        runs=[run for run in (*held, *free) if wanted & set(run.requests)],
        tow_m={},
    )
    return i in serving(problem)


def _docket_with(book: Book, i: int, changed: Changed) -> Docket:
    """The docket with one request changed."""
    docket, program = book.docket, book.docket.program
    facts = dict(docket.requests[i].facts)
    if changed.until is not None and "until" in facts:
        facts["until"] = changed.until.isoformat()
    if changed.acres is not None and facts.get("acres"):
        facts["acres"] = str(round(changed.acres, 1))
    requests = [replace(one, facts=facts) if k == i else one for k, one in enumerate(docket.requests)]
    durations, windows = list(docket.durations), list(docket.windows)
    named = {program.drills[d].name: duration for d, duration in changed.durations.items()}
    durations[i] = {**durations[i], **named}
    if changed.until is not None:
        windows[i] = (windows[i][0], min(changed.until, program.terms.closes))
    return replace(docket, requests=requests, durations=durations, windows=windows)


def _alike(priorities: Sequence[Collection[int]], others: Sequence[Collection[int]]) -> bool:
    return [set(group) for group in priorities] == [set(group) for group in others]


def _has_days(book: Book, docket: Docket, i: int) -> bool:
    """Whether a request could have days that nobody has."""
    taken = {(run.drill, day) for run in book.given for day in range(run.first, run.end)}
    return any(
        book.may_be(run) and taken.isdisjoint((run.drill, day) for day in range(run.first, run.end))
        for run in docket.runs(lambda *_: (), docket.program.terms.longest_days, only=(i,))
    )
