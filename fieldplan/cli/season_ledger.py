"""Open a season with its requests and its ledger."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import click

from fieldplan.errors import InputError, UsageError
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.fee import RateCard
from fieldplan.model.records import Account, Bill, Entry
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.office.bills import Billing
from fieldplan.office.office import open_office
from fieldplan.records.accounts import accounts_of
from fieldplan.records.current_entries import current_entries
from fieldplan.records.seal import seal_of

MAX_NAMED = 20
"""At most this many requests are named in a hint."""
ledger_option = click.option(
    "--ledger",
    "ledger_path",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="The store of the season.  [default: SEASON.ledger beside SEASON.toml]",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A season with its requests and the current entries of its store, up to the day ``as_of``; the seal is of the whole store."""

    program: RentalProgram
    requests: tuple[Request, ...]
    entries: tuple[Entry, ...]
    as_of: date
    seal: str

    def bill(self, account: Account, card: RateCard) -> Bill:
        """The bill of an account as of the day, by a rate card."""
        return Billing.of(self.program, card, self.entries, self.as_of).bill(account)

    def works(self, drill: str, day: date) -> bool:
        """Whether a drill works on a day; one that the season has no more counts as working."""
        return self.program.works(drill, day)

    @property
    def accounts(self) -> tuple[Account, ...]:
        """The account of each request."""
        return accounts_of(self.entries, self.requests)

    def account(self, request_id: str) -> Account:
        """The account of a request.

        Raises
        ------
        UsageError
            If there is no such request.
        """
        for account in self.accounts:
            if account.request.request_id == request_id:
                return account
        known = tuple(request.request_id for request in self.requests[:MAX_NAMED])
        raise UsageError.of("request-unknown/asked", given=request_id, known=known)

    def invoices(self, request_id: str) -> tuple[date, ...]:
        """Days of the invoices that were sent about a request."""
        return tuple(
            entry.day
            for entry in self.entries
            if (entry.kind, entry.request, entry.facts.get("what")) == ("letter", request_id, "invoice")
        )


def open_book(season_path: Path, ledger_path: Path | None, by: date | None = None) -> Book:
    """A season and its ledger, up to a day.

    Parameters
    ----------
    ledger_path
        The ledger, or ``None`` for the one beside the season file.
    by
        The last day whose entries count: today if ``None``, ``date.max`` for all. An entry counts as it was
        last corrected.
    """
    office = open_office(season_path, ledger_path, must_be=True)
    as_of = by or date.today()
    current = current_entries(office.entries)
    return Book(
        program=office.program,
        requests=office.every_request,
        entries=tuple(entry for entry in current if entry.day <= as_of),
        as_of=as_of,
        seal=seal_of(office.store.chain),
    )


def card_of(program: RentalProgram) -> RateCard:
    """The rate card of a season.

    Raises
    ------
    InputError
        If the season file names no rate card.
    """
    if program.card_path is None:
        raise InputError.of("card-missing", file=str(program.path))
    return load_rate_card(program.card_path)
