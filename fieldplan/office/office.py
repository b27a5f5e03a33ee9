"""A season as an office has it: its file, its list of requests, and how its store stands."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from fieldplan.errors import InputError, Problem
from fieldplan.files import is_there
from fieldplan.model.booked import Confirmed
from fieldplan.model.records import Entry
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.model.standing import Listed, Person, Standing
from fieldplan.records.beside import Beside
from fieldplan.records.ledger import LEDGER_FILE, Store, read_store
from fieldplan.records.standing import standing_of
from fieldplan.records.whose import Whose, ledger_path_of, whose
from fieldplan.season.program import load_program
from fieldplan.season.requests import read_requests, request_of, requests_read


@dataclass(frozen=True, kw_only=True)
class Office:
    """A season as it stands.

    Parameters
    ----------
    path
        The store, whether it is there yet or not.
    listed
        The requests of the list.
    store
        What the store holds; nothing if there is none yet.
    standing
        How the season stands by its entries.
    """

    program: RentalProgram
    path: Path
    listed: tuple[Request, ...]
    store: Store
    standing: Standing

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries of the store."""
        return self.store.entries

    @property
    def people(self) -> Mapping[str, Person]:
        """The renters that the store knows, by id."""
        return self.store.beside.people

    @property
    def whose(self) -> Whose:
        """The season that the store must be of."""
        return whose(self.program)

    @property
    def season_id(self) -> str:
        """The id of the season: as the store was begun with, so that it stays when the first day is moved."""
        there = self.store.season
        return there if there and there != self.program.terms.name else self.program.terms.id

    @cached_property
    def gone(self) -> tuple[Request, ...]:
        """Requests that the store has and the list has no more, and that nobody withdrew."""
        there = {request.request_id for request in self.listed}
        return tuple(
            self._from_store(row)
            for row in self.standing.rows.values()
            if row.request_id not in there and not row.withdrawn
        )

    @cached_property
    def requests(self) -> tuple[Request, ...]:
        """The requests that stand: those of the list and those that are gone from it, without those withdrawn."""
        rows = self.standing.rows
        kept = (
            request
            for request in self.listed
            if request.request_id not in rows or not rows[request.request_id].withdrawn
        )
        return (*kept, *self.gone)

    @cached_property
    def every_request(self) -> tuple[Request, ...]:
        """All requests there ever were, for papers."""
        there = {request.request_id for request in (*self.listed, *self.gone)}
        rows = (row for name, row in self.standing.rows.items() if name not in there)
        return (*self.listed, *self.gone, *map(self._from_store, rows))

    def _from_store(self, row: Listed) -> Request:
        person = self.people.get(row.renter_id, Person(renter_id=row.renter_id))
        cells = {
            **person.cells,
            **row.cells,
            "request": row.request_id,
            "renter": person.called,
            "renter_id": row.renter_id,
        }
        return request_of(self.program.requests_path, 0, cells)


def open_office(season_path: Path, ledger_path: Path | None, *, must_be: bool = False) -> Office:
    """A season, its list of requests, and its store.

    Parameters
    ----------
    ledger_path
        The store, or ``None`` for the one beside the season's file.
    must_be
        Whether there must be a store already. One that was named must be there anyhow.

    Raises
    ------
    FieldplanError
        With what is wrong with any of them.
    """
    program = load_program(season_path)
    return office_of(program, read_requests(program.requests_path), ledger_path, must_be=must_be)


def open_office_for(
    concerned: Collection[str], season_path: Path, ledger_path: Path | None
) -> tuple[Office, tuple[Problem, ...]]:
    """The office of a season for entries about some requests, and what is wrong with other rows of its list.

    Parameters
    ----------
    concerned
        Ids of the requests; a row of one of them must be readable.

    Raises
    ------
    FieldplanError
        As `open_office`, for all but rows of other requests.
    """
    program = load_program(season_path)
    found = requests_read(program.requests_path)
    there = {request.request_id for request in found.requests}
    if not found.unread.isdisjoint(concerned) or ("" in found.unread and not there.issuperset(concerned)):
        raise InputError(found.problems)
    return office_of(program, found.requests, ledger_path), found.problems


def office_of(
    program: RentalProgram,
    listed: tuple[Request, ...],
    ledger_path: Path | None,
    *,
    must_be: bool = False,
) -> Office:
    """The office of a season that was read already; see `open_office`."""
    path = ledger_path_of(program.path, ledger_path)
    store = Store(season="", entries=(), beside=Beside())
    if must_be or is_there(path, LEDGER_FILE):
        store = read_store(path, whose(program))
    standing = standing_of(store.entries, [drill.name for drill in program.drills])
    known = {row.request_id: row.renter_id for row in standing.rows.values()}
    return Office(
        program=program, path=path, listed=_with_renters(listed, known), store=store, standing=standing
    )


def _with_renters(listed: Sequence[Request], known: Mapping[str, str]) -> tuple[Request, ...]:
    """The requests with the ids of their renters.

    The list gives it, else the store has it. Else requests with one name and one telephone number are of one renter,
    whose id is that of the first of them.
    """
    by_name: dict[tuple[str, str], str] = {}
    found = []
    for request in listed:
        renter_id = request.renter_id or known.get(request.request_id, "")
        if not renter_id:
            renter_id = by_name.setdefault((request.renter, request.phone), request.request_id)
        elif not request.renter_id:
            by_name.setdefault((request.renter, request.phone), renter_id)
        found.append(replace(request, renter_id=renter_id))
    return tuple(found)


def done_of(office: Office, ground_m2: Mapping[str, float]) -> dict[str, float]:
    """Share of the work done, by request: as it was said or, where more, ground sown over ground asked for.

    Parameters
    ----------
    ground_m2
        Ground by request.
    """
    standing = office.standing
    found = dict(standing.done_frac)
    for name, sown_m2 in standing.sown_m2.items():
        if ground_m2.get(name) and sown_m2:
            found[name] = max(found.get(name, 0.0), min(1.0, sown_m2 / ground_m2[name]))
    return found


def promises_of(standing: Standing) -> dict[str, Confirmed]:
    """Drill and first day of every booking that was confirmed, by request."""
    confirmed = {
        name: Confirmed(drill=booked.drill, first=booked.days[0])
        for name, booked in standing.bookings.items()
        if booked.confirmed
    }
    return {**confirmed, **standing.agreed}
