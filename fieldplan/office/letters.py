"""Letters that are due: what renters are to be told in writing and were not told yet, by the entries of the season.

A letter that was made is an entry "letter". It is not made again, until what it told is not so any more; if its entry is struck,
it is due again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property

from fieldplan.facts import Fact, fact
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.fee import RateCard
from fieldplan.model.letters import (
    LETTER_KINDS,
    AboutBill,
    AboutBooking,
    AboutOffer,
    AboutSeason,
    Letter,
    LetterKind,
    Mail,
    NotWritten,
)
from fieldplan.model.records import Account, Bill, Entry, Fresh
from fieldplan.model.season import Booked, Request
from fieldplan.office.bills import Billing, ground_of
from fieldplan.office.office import Office
from fieldplan.office.required import required_of
from fieldplan.records.accounts import accounts_of
from fieldplan.records.current_entries import current_entries
from fieldplan.records.reading import days_text
from fieldplan.records.requirements import Required, checked
from fieldplan.season.durations import Progress
from fieldplan.season.waiting_list import waiting_list

Found = Iterator[Letter | NotWritten]
_OF_RENTALS = ("out", "in")


def mail_of(
    office: Office,
    day: date,
    kinds: Collection[LetterKind] = LETTER_KINDS,
    only: Collection[str] = (),
    ahead_days: int = 7,
    progress: Progress = iter,
) -> Mail:
    """The letters that are due on a day.

    A confirmation is due when a booking is confirmed; "moved" when its days are others than those of the letter before;
    "offer" to the first of the waiting list for each span of freed days; "pick-up" some days before the first day; "invoice"
    when all drills are back, and again when a meter or a day was corrected since; "payment" when the invoice is overdue, and
    again when as many days went by as the card gives; "season-end" after the last day of the season, one for each renter who
    had a drill.

    Parameters
    ----------
    kinds
        The kinds to look for.
    only
        Ids of the requests to look at; all of them if none is given.
    ahead_days
        How many days before its first day a pick-up is reminded of.
    progress
        Wraps the requests while the days of offers are counted.

    Raises
    ------
    FieldplanError
        If the rate card, an earlier season or the fields of a request cannot be read.
    """
    room = _Room(office=office, day=day, ahead_days=ahead_days, progress=progress)
    found: list[Letter | NotWritten] = []
    if not {"confirmation", "moved", "pick-up"}.isdisjoint(kinds):
        found += room.about_bookings()
    if "offer" in kinds:
        found += room.offers()
    if not {"invoice", "payment"}.isdisjoint(kinds):
        found += room.about_bills(with_invoices="invoice" in kinds)
    if "season-end" in kinds:
        found += room.season_ends()
    order = {kind: n for n, kind in enumerate(LETTER_KINDS)}
    wanted = [one for one in found if one.kind in kinds and (not only or _request_of(one) in only)]
    wanted.sort(key=lambda one: order[one.kind])
    return Mail(
        letters=tuple(one for one in wanted if isinstance(one, Letter)),
        not_written=tuple(one for one in wanted if isinstance(one, NotWritten)),
    )


def _request_of(one: Letter | NotWritten) -> str:
    return one.request.request_id if isinstance(one, Letter) else one.request_id


def entry_of(letter: Letter, file: str) -> Fresh:
    """The entry that a letter was made.

    Parameters
    ----------
    file
        The name of its file.
    """
    booked = letter.booked
    typed = {
        "request": letter.request.request_id,
        "day": letter.day.isoformat(),
        "what": letter.kind,
        "file": file,
        "drill": "" if booked is None else booked[0],
        "days": "" if booked is None else days_text(booked[1]),
    }
    return Fresh(kind="letter", typed={name: text for name, text in typed.items() if text})


@dataclass(frozen=True, kw_only=True)
class _Room:
    """A season on the day on which letters are written."""

    office: Office
    day: date
    ahead_days: int
    progress: Progress

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """Current entries up to the day."""
        return tuple(entry for entry in current_entries(self.office.entries) if entry.day <= self.day)

    @cached_property
    def requests(self) -> Mapping[str, Request]:
        return {request.request_id: request for request in self.office.every_request}

    @cached_property
    def card(self) -> RateCard | None:
        path = self.office.program.card_path
        return None if path is None else load_rate_card(path)

    @cached_property
    def accounts(self) -> tuple[Account, ...]:
        return accounts_of(self.entries, self.office.every_request)

    @cached_property
    def bills(self) -> Mapping[str, Bill | Fact]:
        """The bill of each request whose drills are all back, or why there is none."""
        card = self.card
        billing = None if card is None else Billing.of(self.office.program, card, self.entries, self.day)
        return {
            account.request.request_id: fact("letter-no-card")
            if billing is None
            else billing.bill_or_why(account)
            for account in self.accounts
            if account.returned
        }

    def sent(self, request_id: str, *kinds: LetterKind) -> list[Entry]:
        """Entries of letters about a request, the latest last."""
        return [
            entry
            for entry in self.entries
            if entry.kind == "letter" and entry.request == request_id and entry.facts["what"] in kinds
        ]

    def letter(
        self,
        kind: LetterKind,
        request: Request,
        about: AboutBooking | AboutOffer | AboutBill | AboutSeason,
    ) -> Letter:
        person = self.office.people.get(request.renter_id)
        gone = person is not None and person.taken_out
        given = "" if gone else request.facts.get("address", "")
        return Letter(
            kind=kind,
            request=request,
            called=request.renter_id if gone else request.renter,
            address=tuple(line.strip() for line in given.replace("\n", ";").split(";") if line.strip()),
            day=self.day,
            about=about,
        )

    def about_bookings(self) -> Found:
        """Confirmations, letters about other days, reminders of a pick-up."""
        standing = self.office.standing
        over = {*standing.out, *standing.back}
        for name, request in self.requests.items():
            if name in over:
                continue
            booked = standing.bookings.get(name)
            told = [entry for entry in self.sent(name, "confirmation", "moved") if "days" in entry.facts]
            before = (str(told[-1].facts["drill"]), told[-1].facts["days"]) if told else None
            withdrawn = name in standing.rows and standing.rows[name].withdrawn
            if booked is None or not booked.days or booked.days[-1] < self.day:
                if before is not None and booked is None and not withdrawn and before[1][-1] >= self.day:
                    yield NotWritten(
                        kind="moved",
                        request_id=name,
                        why=fact("letter-days-gone", told_day=told[-1].day),
                    )
                continue
            now = (booked.drill, booked.days)
            if not booked.confirmed:
                if before is not None and before != now:
                    yield NotWritten(
                        kind="moved",
                        request_id=name,
                        why=fact("letter-not-confirmed", told_day=told[-1].day),
                    )
                continue
            if before is None:
                yield self.letter("confirmation", request, self._about(request, booked))
            elif before != now:
                yield self.letter("moved", request, self._about(request, booked, before))
            reminded = [
                entry
                for entry in self.sent(name, "pick-up")
                if entry.facts.get("days", booked.days) == booked.days
            ]
            ahead = (booked.days[0] - self.day).days
            if 0 <= ahead <= self.ahead_days and not reminded:
                yield self.letter("pick-up", request, self._about(request, booked))

    def _about(
        self, request: Request, booked: Booked, was: tuple[str, tuple[date, ...]] | None = None
    ) -> AboutBooking:
        name = request.request_id
        same = sorted(
            (one.days[0], one.position, other)
            for other, one in self.office.standing.bookings.items()
            if one.drill == booked.drill and one.days and other in self.requests
        )
        at = same.index((booked.days[0], booked.position, name))
        before = self.requests[same[at - 1][2]] if at else None
        home = next(
            (drill.home_lonlat for drill in self.office.program.drills if drill.name == booked.drill),
            request.place_lonlat,
        )
        sharing = [other for first, _, other in same if other == name or other in booked.shares_with]
        required = self._required
        return AboutBooking(
            drill=booked.drill,
            days=booked.days,
            odds_prob=None if booked.promise is None else booked.promise.odds_prob,
            ground_m2=sum(field.plantable_m2 for field in ground_of(request)),
            collect_from=self._called(before) if before else "",
            place_lonlat=before.place_lonlat if before else home,
            sharing=tuple(self._called(self.requests[other]) for other in sharing)
            if len(sharing) > 1
            else (),
            was=was,
            checks=tuple(
                checked(required, name, booked.drill, max(self.day, booked.days[0]), self.entries)
            ),
        )

    @cached_property
    def _required(self) -> Required:
        return required_of(self.office)

    def _called(self, request: Request) -> str:
        person = self.office.people.get(request.renter_id)
        return request.renter_id if person is not None and person.taken_out else request.renter

    def offers(self) -> Found:
        """To the first of the waiting list for each span of freed days, but not to whoever gave them back or said no to
        some of them; nobody else is asked before the answer.
        """
        office = self.office
        asked = set()
        for offer in waiting_list(
            office.program, office.requests, office.standing, self.day, self.progress
        ):
            request, freed = offer.request, offer.freed
            said_no = any(
                (name, drill) == (request.request_id, freed.drill) and first in freed.days
                for name, drill, first in office.standing.declined
            )
            if freed in asked or said_no or freed.request_id == request.request_id:
                continue
            asked.add(freed)
            sent = [
                entry
                for entry in self.sent(request.request_id, "offer")
                if entry.facts.get("drill") == offer.freed.drill and entry.facts.get("days") == offer.days
            ]
            if sent:
                yield NotWritten(
                    kind="offer",
                    request_id=request.request_id,
                    why=fact("letter-offer-open", on_typed_day=sent[-1].day),
                )
            else:
                yield self.letter("offer", request, AboutOffer(offer=offer))

    def about_bills(self, *, with_invoices: bool) -> Found:
        """Invoices, and reminders of those that were written before."""
        for name, bill in self.bills.items():
            invoices, reminders = self.sent(name, "invoice"), self.sent(name, "payment")
            due = not invoices or self._changed_since(name, invoices[-1])
            if isinstance(bill, Fact):
                if due:
                    yield NotWritten(kind="invoice", request_id=name, why=bill)
                continue
            if due:
                yield self.letter(
                    "invoice",
                    bill.account.request,
                    AboutBill(bill=bill, earlier=tuple(entry.day for entry in invoices)),
                )
            if bill.owed > 0 and not (due and with_invoices):
                yield from self._reminder(bill, reminders)

    def _changed_since(self, name: str, letter: Entry) -> bool:
        """Whether a drill went out or came back, or that was corrected, after a letter was made."""
        return any(
            entry.number > letter.number
            for entry in self.entries
            if entry.request == name and entry.kind in _OF_RENTALS
        )

    def _reminder(self, bill: Bill, reminders: Sequence[Entry]) -> Found:
        request, days = bill.account.request, bill.card.paid_in_days
        if bill.due is None or days is None:
            yield NotWritten(kind="payment", request_id=request.request_id, why=fact("letter-no-due"))
            return
        since = reminders[-1].day + timedelta(days=days) if reminders else bill.due
        if self.day > since:
            yield self.letter(
                "payment", request, AboutBill(bill=bill, earlier=tuple(entry.day for entry in reminders))
            )

    def season_ends(self) -> Found:
        """One for each renter who had a drill, when the season is over."""
        if self.day <= self.office.program.terms.closes:
            return
        renters: dict[str, list[Account]] = {}
        for account in self.accounts:
            if account.rentals:
                renters.setdefault(account.request.renter_id, []).append(account)
        for accounts in renters.values():
            requests = [account.request for account in accounts]
            if any(self.sent(request.request_id, "season-end") for request in requests):
                continue
            lacking = next(
                (why for account in accounts if (why := self._unsettled(account)) is not None), None
            )
            if lacking is not None:
                yield NotWritten(kind="season-end", request_id=requests[0].request_id, why=lacking)
                continue
            bills = [bill for one in requests if isinstance(bill := self.bills[one.request_id], Bill)]
            yield self.letter(
                "season-end",
                requests[0],
                AboutSeason(
                    requests=tuple(request.request_id for request in requests),
                    rentals=tuple(rental for account in accounts for rental in account.rentals),
                    charged=sum((bill.fee.total for bill in bills), Decimal(0)),
                    paid=sum((bill.paid for bill in bills), Decimal(0)),
                    deposit=sum((account.deposit for account in accounts), Decimal(0)),
                    currency=self.card.currency if self.card else "",
                ),
            )

    def _unsettled(self, account: Account) -> Fact | None:
        """Why a renter's season cannot be added up; ``None`` if it can."""
        if not account.returned:
            return fact("letter-drill-out")
        bill = self.bills[account.request.request_id]
        return bill if isinstance(bill, Fact) else None
