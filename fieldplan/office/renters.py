"""Renters over seasons: what they rented, what they owe, their deposits and their standing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal

from fieldplan.errors import FieldplanError
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.records import Account, Entry, Renter, RenterSeason
from fieldplan.model.request import Request
from fieldplan.model.standing import Person
from fieldplan.office.bills import Billing
from fieldplan.office.office import Office
from fieldplan.office.required import earlier_offices
from fieldplan.records.accounts import accounts_of
from fieldplan.records.current_entries import current_entries


def renters_of(office: Office, as_of: date) -> tuple[Renter, ...]:
    """The renters of a season, in the order of their requests, with what earlier seasons know of them.

    A renter is the same in an earlier season if the lists of both give the same id.

    Raises
    ------
    FieldplanError
        If an earlier season or a rate card cannot be read.
    """
    offices = [office, *earlier_offices(office)]
    seasons = [_seasons(one, as_of) for one in offices]
    with_id = {request.renter_id for request in office.every_request if request.facts.get("renter_id")}
    found = []
    for renter_id, (first, _) in seasons[0].items():
        n_seasons = len(offices) if renter_id in with_id else 1
        entries = [entry for one in offices[:n_seasons] for entry in _entries_of(one, renter_id, as_of)]
        person = office.people.get(renter_id, Person(renter_id=renter_id, name=first.renter))
        found.append(
            Renter(
                renter_id=renter_id,
                called=person.called if person.taken_out else first.renter,
                phone="" if person.taken_out else first.phone,
                seasons=tuple(one[renter_id][1] for one in seasons[:n_seasons] if renter_id in one),
                bad_standing=_bad(entries),
                shown=tuple(
                    (str(entry.facts["what"]), entry.day, entry.facts.get("until"))
                    for entry in entries
                    if entry.kind == "met"
                ),
            )
        )
    return tuple(found)


def _entries_of(office: Office, renter_id: str, as_of: date) -> list[Entry]:
    """Current entries of a season about the requests of a renter, up to a day."""
    theirs = {request.request_id for request in office.every_request if request.renter_id == renter_id}
    return [
        entry for entry in current_entries(office.entries) if entry.request in theirs and entry.day <= as_of
    ]


def _bad(entries: Sequence[Entry]) -> str | None:
    said = sorted((entry for entry in entries if entry.kind == "standing"), key=lambda entry: entry.day)
    return str(said[-1].facts["why"]) if said and said[-1].facts["good"] == "no" else None


def _seasons(office: Office, as_of: date) -> dict[str, tuple[Request, RenterSeason]]:
    """Each renter of a season by id, with the first request and the sums."""
    entries = [entry for entry in current_entries(office.entries) if entry.day <= as_of]
    requests = office.every_request
    card = None if office.program.card_path is None else load_rate_card(office.program.card_path)
    billing = None if card is None else Billing.of(office.program, card, entries, as_of)
    by_renter: dict[str, list[Account]] = {}
    for account in accounts_of(entries, requests):
        by_renter.setdefault(account.request.renter_id or account.request.request_id, []).append(account)
    found = {}
    for renter_id, accounts in by_renter.items():
        charged, unbilled = Decimal(0), []
        for account in accounts:
            if billing is None or not account.returned:
                continue
            try:
                charged += billing.bill(account).fee.total
            except FieldplanError:
                unbilled.append(account.request.request_id)
        found[renter_id] = (
            accounts[0].request,
            RenterSeason(
                season=office.program.terms.name,
                requests=tuple(account.request.request_id for account in accounts),
                rentals=sum(rental.back is not None for account in accounts for rental in account.rentals),
                drilled_m2=sum(account.drilled_m2 for account in accounts),
                charged=charged,
                paid=sum(
                    (entry.facts["sum"] for account in accounts for entry in account.paid), Decimal(0)
                ),
                deposit=sum((account.deposit for account in accounts), Decimal(0)),
                currency=card.currency if card else "",
                unbilled=tuple(unbilled),
            ),
        )
    return found


def naming(office: Office, person: Person) -> Mapping[str, tuple[int, ...]]:
    """Where a person's name or telephone number stands besides the store's own table: rows of the list, and of entries."""
    words = [word.casefold() for word in (person.name, *person.cells.values()) if len(word) > 2]
    rows = tuple(request.row for request in office.listed if request.renter_id == person.renter_id)
    entries = tuple(
        entry.number
        for entry in office.entries
        if any(word in str(text).casefold() for text in entry.typed.values() for word in words)
    )
    return {"rows": rows, "entries": entries}
