"""A season planned again with one request changed: whether the rules would then serve it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from fieldplan.model.booked import BookingDuration
from fieldplan.season.as_booked import Book
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

    Parameters
    ----------
    book
        The season as it was scheduled.
    i
        Index of the request.
    """
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
    docket = replace(docket, requests=requests, durations=durations, windows=windows)
    held = [run for run in book.given if book.confirmed & set(run.requests)]
    free = (
        run
        for run in docket.runs(lambda *_: (0,), program.terms.longest_days)
        if book.confirmed.isdisjoint(run.requests) and book.may_be(run)
    )
    runs = [*(replace(run, costs=(0,)) for run in held), *free]
    priorities = priorities_of(requests, program.terms.rules, ahead=[sorted(book.confirmed)])
    upto = next(n for n, group in enumerate(priorities) if i in group)
    wanted = {one for group in priorities[: upto + 1] for one in group}
    problem = SchedulingProblem(
        priorities=priorities[: upto + 1],
        runs=[run for run in runs if wanted & set(run.requests)],
        tow_m={},
    )
    return i in serving(problem)
