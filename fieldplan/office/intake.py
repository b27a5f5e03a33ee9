"""What changed in the clerk's list of requests since the store last took it in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from fieldplan.errors import InputError, Problem, problem
from fieldplan.model.records import Fresh
from fieldplan.model.request import Request
from fieldplan.model.standing import Listed, Person, Since
from fieldplan.office.office import Office
from fieldplan.records.reading import cells_text
from fieldplan.season.held import held_of

PERSONAL = ("renter", "phone", "email", "address", "mobile")
"""Columns about the person: they go beside the chain of entries, never into it."""
_NOT_CELLS = ("request", "renter_id", *PERSONAL)


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What is to be entered of the list, and what there is to say of it."""

    fresh: tuple[Fresh, ...]
    people: tuple[Person, ...]
    since: Since


def taken_in(office: Office, day: date) -> TakenIn:
    """Compare the list with the store.

    Parameters
    ----------
    day
        The day on which it is taken in.

    Raises
    ------
    InputError
        If one id of a renter stands by two names.
    """
    people = _people(office)
    fresh: list[Fresh] = []
    came: list[str] = []
    changed: dict[str, tuple[str, ...]] = {}
    withdrawn: list[str] = []
    for request in office.listed:
        name, row = request.request_id, office.standing.rows.get(request.request_id)
        if row is None:
            came.append(name)
            typed = {"renter": request.renter_id, "cells": cells_text(cells_of(request))}
            fresh.append(_entry("request", name, day, typed))
        elif row.withdrawn:
            withdrawn.append(name)
        else:
            found = _changes(office, request, row)
            if found:
                fresh.append(_entry("changed", name, day, found[0]))
                changed[name] = found[1]
    return TakenIn(
        fresh=tuple(fresh),
        people=tuple(one for name, one in people.items() if office.people.get(name) != one),
        since=Since(
            came=tuple(came),
            changed=changed,
            gone=tuple(request.request_id for request in office.gone),
            withdrawn=tuple(withdrawn),
            namesakes=_namesakes(office),
            outside=tuple(_outside(office)),
            freed=office.standing.freed,
        ),
    )


def _outside(office: Office) -> Iterator[str]:
    """Requests with a held booking outside their dates; a drill that is out or was back is past asking."""
    held = held_of(office.standing)
    for request in office.requests:
        booked = held.get(request.request_id)
        if (
            booked is not None
            and booked.confirmed
            and request.request_id not in office.standing.back
            and not request.ready <= booked.days[0] <= booked.days[-1] <= request.until
        ):
            yield request.request_id


def cells_of(request: Request) -> dict[str, str]:
    """The cells of a request's row that go into the chain."""
    return {name: cell for name, cell in request.facts.items() if cell and name and name not in _NOT_CELLS}


def _entry(kind: str, name: str, day: date, typed: Mapping[str, str]) -> Fresh:
    return Fresh(kind=kind, typed={"request": name, "day": day.isoformat(), **typed})


def _changes(
    office: Office, request: Request, row: Listed
) -> tuple[dict[str, str], tuple[str, ...]] | None:
    """The facts of an entry "changed", and the columns that differ."""
    now, renter_id = cells_of(request), request.renter_id
    differing = [name for name in dict.fromkeys((*row.cells, *now)) if row.cells.get(name) != now.get(name)]
    person = office.people.get(renter_id)
    personal = [
        name
        for name in PERSONAL
        if person is not None
        and not person.taken_out
        and (person.name if name == "renter" else person.cells.get(name, "")) != _cell(request, name)
    ]
    if not differing and not personal and renter_id == row.renter_id:
        return None
    typed = {"cells": cells_text({name: now.get(name, "") for name in differing})}
    if renter_id != row.renter_id:
        typed["renter"] = renter_id
    if personal:
        typed["personal"] = ", ".join(personal)
    columns = (*differing, *personal, *(["renter_id"] if renter_id != row.renter_id else []))
    return typed, columns


def _cell(request: Request, column: str) -> str:
    return request.renter if column == "renter" else request.facts.get(column, "")


def _people(office: Office) -> dict[str, Person]:
    """The renters of the list, by id; one that was taken out is not put back."""
    found: dict[str, Person] = {}
    problems: list[Problem] = []
    first: dict[str, Request] = {}
    for request in office.listed:
        renter_id = request.renter_id
        there = office.people.get(renter_id)
        if there is not None and there.taken_out:
            continue
        if renter_id in found and found[renter_id].name != request.renter:
            problems.append(
                problem(
                    "renter-two-names",
                    file=str(office.program.requests_path),
                    about=f"row {request.row}",
                    renter=renter_id,
                    row=first[renter_id].row,
                )
            )
            continue
        cells = {
            name: cell for name in PERSONAL if name != "renter" and (cell := request.facts.get(name, ""))
        }
        before = found[renter_id].cells if renter_id in found else {}
        found[renter_id] = Person(renter_id=renter_id, name=request.renter, cells={**before, **cells})
        first.setdefault(renter_id, request)
    if problems:
        raise InputError(tuple(problems))
    return found


def _namesakes(office: Office) -> dict[str, tuple[str, ...]]:
    by_name: dict[str, dict[str, list[str]]] = {}
    for request in office.listed:
        ids = by_name.setdefault(request.renter, {})
        ids.setdefault(request.renter_id, []).append(request.request_id)
    return {
        name: tuple(request for requests in ids.values() for request in requests)
        for name, ids in by_name.items()
        if len(ids) > 1
    }
