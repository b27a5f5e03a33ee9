"""What letters are written from: the entries of a season up to a day, its requests, and the letters that were made before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from fieldplan.model.letters import About, Letter, LetterKind, NotWritten
from fieldplan.model.records import Account, Entry
from fieldplan.model.request import Request
from fieldplan.office.office import Office
from fieldplan.records.accounts import accounts_of
from fieldplan.records.current_entries import current_entries

Found = Iterator[Letter | NotWritten]
"""Letters that are due, and those that cannot be written yet."""


@dataclass(frozen=True, kw_only=True)
class MailRoom:
    """A season on the day on which letters are written."""

    office: Office
    day: date

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """Current entries up to the day."""
        return tuple(entry for entry in current_entries(self.office.entries) if entry.day <= self.day)

    @cached_property
    def requests(self) -> Mapping[str, Request]:
        """All requests by id, withdrawn ones too."""
        return {request.request_id: request for request in self.office.every_request}

    @cached_property
    def accounts(self) -> Mapping[str, Account]:
        """What was written down about each request, by its id."""
        return {
            account.request.request_id: account
            for account in accounts_of(self.entries, self.office.every_request)
        }

    def sent(self, request_id: str, *kinds: LetterKind) -> list[Entry]:
        """Entries of letters of these kinds about a request, the latest last."""
        return [
            entry
            for entry in self.entries
            if entry.kind == "letter" and entry.request == request_id and entry.facts["what"] in kinds
        ]

    def letter(self, kind: LetterKind, request: Request, about: About) -> Letter:
        """A letter of the day; one to a renter who was taken out names neither person nor address."""
        given = "" if self._taken_out(request) else request.facts.get("address", "")
        return Letter(
            kind=kind,
            request=request,
            called=self.called(request),
            address=tuple(line.strip() for line in given.replace("\n", ";").split(";") if line.strip()),
            day=self.day,
            about=about,
        )

    def called(self, request: Request) -> str:
        """The name of the renter; the id of one who was taken out."""
        return request.renter_id if self._taken_out(request) else request.renter

    def _taken_out(self, request: Request) -> bool:
        person = self.office.people.get(request.renter_id)
        return person is not None and person.taken_out
