"""Letters about money: invoices, reminders of a payment, and what a renter's season came to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property

from fieldplan.facts import Fact, Money, fact
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.fee import RateCard
from fieldplan.model.letters import AboutBill, AboutSeason, NotWritten
from fieldplan.model.records import Account, Bill, Entry
from fieldplan.office.bills import Billing
from fieldplan.office.mail_room import Found, MailRoom

_OF_RENTALS = ("out", "in")


def late_at_once(bill: Bill, earlier: Sequence[date]) -> Fact | None:
    """That the first bill of a request charges for paying late, which nobody could have done in time; ``None`` if not.

    Parameters
    ----------
    earlier
        Days of the invoices before.
    """
    back = max(rental.back.day for rental in bill.account.rentals if rental.back)
    if earlier or not bill.late:
        return None
    first = min(charge.each_days for charge in bill.card.charges if charge.each_days is not None)
    return fact(
        "late-on-first-bill",
        request=bill.account.request.request_id,
        late=Money(bill.late, bill.card.currency),
        back_typed_day=back,
        n_days=(bill.as_of - back).days,
        by_typed_day=back + timedelta(days=first),
    )


@dataclass(frozen=True, kw_only=True)
class BillLetters:
    """Letters about what is owed for drills that are back."""

    room: MailRoom

    @cached_property
    def _card(self) -> RateCard | None:
        path = self.room.office.program.card_path
        return None if path is None else load_rate_card(path)

    @cached_property
    def _bills(self) -> Mapping[str, Bill | Fact]:
        """The bill of each request whose drills are all back, or why there is none."""
        room, card = self.room, self._card
        billing = None if card is None else Billing.of(room.office.program, card, room.entries, room.day)
        return {
            name: fact("letter-no-card") if billing is None else billing.bill_or_why(account)
            for name, account in room.accounts.items()
            if account.returned
        }

    def due(self, *, with_invoices: bool) -> Found:
        """Invoices, and reminders of those that were written before."""
        for name, bill in self._bills.items():
            invoices, reminders = self.room.sent(name, "invoice"), self.room.sent(name, "payment")
            due = not invoices or self._changed_since(name, invoices[-1])
            if isinstance(bill, Fact):
                if due:
                    yield NotWritten(kind="invoice", request_id=name, why=bill)
                continue
            if due:
                about = AboutBill(bill=bill, earlier=tuple(entry.day for entry in invoices))
                yield self.room.letter("invoice", bill.account.request, about)
            if bill.owed > 0 and not (due and with_invoices):
                yield from self._reminder(bill, reminders)

    def _changed_since(self, name: str, letter: Entry) -> bool:
        """Whether a drill went out or came back, or that was corrected, after a letter was made."""
        return any(
            entry.number > letter.number
            for entry in self.room.entries
            if entry.request == name and entry.kind in _OF_RENTALS
        )

    def _reminder(self, bill: Bill, reminders: Sequence[Entry]) -> Found:
        request, days = bill.account.request, bill.card.paid_in_days
        if bill.due is None or days is None:
            yield NotWritten(kind="payment", request_id=request.request_id, why=fact("letter-no-due"))
            return
        since = reminders[-1].day + timedelta(days=days) if reminders else bill.due
        if self.room.day > since:
            about = AboutBill(bill=bill, earlier=tuple(entry.day for entry in reminders))
            yield self.room.letter("payment", request, about)

    def season_ends(self) -> Found:
        """One for each renter who had a drill, when the season is over."""
        room = self.room
        if room.day <= room.office.program.terms.closes:
            return
        for accounts in self._by_renter().values():
            first = accounts[0].request
            if any(room.sent(account.request.request_id, "season-end") for account in accounts):
                continue
            lacking = next((why for account in accounts if (why := self._unsettled(account))), None)
            if lacking is not None:
                yield NotWritten(kind="season-end", request_id=first.request_id, why=lacking)
            else:
                yield room.letter("season-end", first, self._season(accounts))

    def _by_renter(self) -> Mapping[str, list[Account]]:
        """The accounts of each renter who had a drill."""
        renters: dict[str, list[Account]] = {}
        for account in self.room.accounts.values():
            if account.rentals:
                renters.setdefault(account.request.renter_id, []).append(account)
        return renters

    def _unsettled(self, account: Account) -> Fact | None:
        """Why a renter's season cannot be added up; ``None`` if it can."""
        if not account.returned:
            return fact("letter-drill-out")
        bill = self._bills[account.request.request_id]
        return bill if isinstance(bill, Fact) else None

    def _season(self, accounts: Sequence[Account]) -> AboutSeason:
        names = [account.request.request_id for account in accounts]
        bills = [bill for name in names if isinstance(bill := self._bills[name], Bill)]
        return AboutSeason(
            requests=tuple(names),
            rentals=tuple(rental for account in accounts for rental in account.rentals),
            charged=sum((bill.fee.total for bill in bills), Decimal(0)),
            paid=sum((bill.paid for bill in bills), Decimal(0)),
            deposit=sum((account.deposit for account in accounts), Decimal(0)),
            currency=self._card.currency if self._card else "",
        )
