"""Planning a season: drills and requests in, who has which drill when out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from fieldplan.errors import InputError, Problem, problem
from fieldplan.model.booked import Confirmed, Placement
from fieldplan.model.notes import Note
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.model.season import Season
from fieldplan.season.as_booked import Book
from fieldplan.season.docket import Docket, docket_of, proof_of
from fieldplan.season.durations import Progress
from fieldplan.season.placements import placements
from fieldplan.season.priorities import priorities_of
from fieldplan.season.reasons import refusal
from fieldplan.season.requests import column_notes
from fieldplan.season.schedule import REASONS, Steps
from fieldplan.season.scheduling_problem import Run, served_by
from fieldplan.season.shared_bookings import MAX_SHARING
from fieldplan.season.warnings import season_warnings


def plan_season(
    program: RentalProgram,
    requests: Sequence[Request],
    progress: Progress = iter,
    confirmed: Mapping[str, Confirmed] | None = None,
    steps: Steps = iter,
) -> Season:
    """Plan a season by its rules, with a reason for every booking and every refusal.

    Parameters
    ----------
    program
        The season's terms and drills.
    requests
        The list of requests, in its order.
    progress
        Wraps the requests while their booking durations are calculated, to show progress.
    confirmed
        Bookings that renters said yes to, by request: they keep their days, and all others go around them.
    steps
        Wraps the steps of scheduling, to show progress.

    Raises
    ------
    InputError
        If a rule names a column that the list of requests does not have, a boundary file cannot be read,
        or a confirmed booking cannot stay.
    MissingExtra
        If the solver is not installed.
    """
    priorities_of(requests, program.terms.rules)  # an impossible rule is refused before the long work
    return season_of(docket_of(program, requests, progress), confirmed or {}, steps)


def season_of(docket: Docket, confirmed: Mapping[str, Confirmed], steps: Steps = iter) -> Season:
    """The season of a docket.

    Confirmed bookings stay. All others are served by priority, then with the least waiting, then with the
    least towing.

    Parameters
    ----------
    docket
        The requests and what they take.
    confirmed, steps
        As in `plan_season`.

    Raises
    ------
    InputError
        If a confirmed booking cannot stay.
    MissingExtra
        If the solver is not installed.
    """
    program, requests = docket.program, docket.requests
    fixed = {
        i: confirmed[request.request_id]
        for i, request in enumerate(requests)
        if request.request_id in confirmed
    }
    priorities = priorities_of(requests, program.terms.rules, ahead=[fixed])
    waiting = Waiting(docket, priorities)

    def keeps(run: Run, booked: Confirmed) -> bool:
        return (program.drills[run.drill].name, docket.days[run.drill][run.first]) == (
            booked.drill,
            booked.first,
        )

    def may_be(run: Run) -> bool:
        return all(keeps(run, fixed[i]) for i in run.requests if i in fixed)

    runs = filter(may_be, docket.runs(waiting, program.terms.longest_days))
    solved = docket.settled(priorities, list(runs), steps)
    served = served_by(solved.given)
    refuse_displaced([(requests[i], fixed[i]) for i in fixed if i not in served], program)
    book = Book(
        docket=docket, given=solved.given, priorities=priorities, confirmed=frozenset(fixed), may_be=may_be
    )
    placed = tuple(placements(book))
    refused = [i for group in priorities for i in group if i not in served]
    return Season(
        program=program,
        placements=placed,
        refusals=tuple(refusal(book, i) for _ in steps([REASONS]) for i in refused),
        proof=proof_of(docket, solved, waiting.n_costs),
        notes=notes_of(placed, program, requests),
    )


class Waiting:
    """The cost of a run: days waited by all, or, where the rules also decide who is early, by each priority in turn."""

    def __init__(self, docket: Docket, priorities: Sequence[Sequence[int]]) -> None:
        self._docket = docket
        self._priorities = [frozenset(group) for group in priorities]
        self.n_costs = max(1, len(priorities)) if docket.program.terms.early_by_rules else 1

    def __call__(self, requests: tuple[int, ...], drill: int, first: date) -> tuple[int, ...]:
        """Days that requests wait if they begin on ``first``, for each cost."""
        del drill
        waits = {i: self._docket.waiting_days(first, i) for i in requests}
        if self.n_costs == 1:
            return (sum(waits.values()),)
        return tuple(sum(waits[i] for i in requests if i in group) for group in self._priorities)


def refuse_displaced(displaced: Sequence[tuple[Request, Confirmed]], program: RentalProgram) -> None:
    """Stop if bookings that were confirmed without a plan cannot have their days.

    Raises
    ------
    InputError
        With each of them.
    """
    if displaced:
        raise InputError(tuple(_cannot_stay(request, booked, program) for request, booked in displaced))


def notes_of(
    placed: Sequence[Placement], program: RentalProgram, requests: Sequence[Request]
) -> tuple[Note, ...]:
    """What the page of a season notes."""
    return (*_in_part(placed), *_notes(program, requests))


def _cannot_stay(request: Request, booked: Confirmed, program: RentalProgram) -> Problem:
    return problem(
        "confirmed-cannot-stay",
        renter=request.renter,
        request=request.request_id,
        drill=booked.drill,
        first_typed_day=booked.first,
        season=program.path.name,
    )


def _in_part(placed: Sequence[Placement]) -> Iterable[Note]:
    """A warning for each booking that leaves some of its fields out."""
    for placement in placed:
        if placement.duration.undrilled:
            yield Note(
                code="request-in-part",
                field_id=placement.request.request_id,
                warning=True,
                values={"undrilled": placement.duration.undrilled, "drill": placement.drill},
            )


def _notes(program: RentalProgram, requests: Sequence[Request]) -> Iterable[Note]:
    yield from program.notes
    yield from column_notes(requests)
    yield from season_warnings(program, requests)
    acres_only = tuple(request.request_id for request in requests if request.fields is None)
    if acres_only:
        yield Note(code="acres-only", values={"requests": acres_only})
    yield Note(code="season-lengths")
    if program.distances:
        yield Note(code="season-roads")
    if program.terms.share_days:
        yield Note(code="season-sharing", values={"n_most": MAX_SHARING})
    yield Note(code="season-waiting")
