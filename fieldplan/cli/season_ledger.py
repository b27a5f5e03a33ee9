"""A season with its requests and its ledger, as commands open them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import click

from fieldplan.errors import InputError, UsageError
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.fee import RateCard
from fieldplan.model.records import Account, Entry, Ground
from fieldplan.model.season import RentalProgram, Request
from fieldplan.records.accounts import accounts_of
from fieldplan.records.confirmed import ledger_path_of, season_of
from fieldplan.records.current_entries import current_entries
from fieldplan.records.ledger import entries_of
from fieldplan.season.durations import boundary_of
from fieldplan.season.program import load_program
from fieldplan.season.requests import read_requests

MAX_NAMED = 20
"""Requests that a hint names."""
ledger_option = click.option(
    "--ledger",
    "ledger_path",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="The ledger; if not given, the season file's name with .ledger, beside it.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A season with its requests and the entries of its ledger that hold, up to the day ``as_of``."""

    program: RentalProgram
    requests: tuple[Request, ...]
    entries: tuple[Entry, ...]
    as_of: date

    @property
    def lost(self) -> list[tuple[str, date]]:
        """Drills and days that were lost to weather."""
        return [(str(entry.facts["drill"]), entry.day) for entry in self.entries if entry.kind == "rain"]

    @property
    def accounts(self) -> tuple[Account, ...]:
        """An account for each request."""
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


def open_book(season_path: Path, ledger_path: Path | None, by: date | None = None) -> Book:
    """The season of a file with its ledger: what happened up to a day, or up to today, as it is known now.

    A paper that wants all entries asks for `date.max`.
    """
    program = load_program(season_path)
    holds = current_entries(entries_of(ledger_path_of(season_path, ledger_path), season_of(program)))
    as_of = by or date.today()
    return Book(
        program=program,
        requests=read_requests(program.requests_path),
        entries=tuple(hold for hold in holds if hold.day <= as_of),
        as_of=as_of,
    )


def card_of(program: RentalProgram) -> RateCard:
    """The rate card that a season's file names.

    Raises
    ------
    InputError
        If it names none.
    """
    if program.card_path is None:
        raise InputError.of("card-missing", file=str(program.path))
    return load_rate_card(program.card_path)


def ground_of(request: Request) -> tuple[Ground, ...]:
    """The fields of a request on the map."""
    return tuple(
        Ground(field_id=field.field_id, mapped_m2=field.mapped_m2, plantable_m2=field.plantable_m2)
        for field in boundary_of(request).fields
    )
