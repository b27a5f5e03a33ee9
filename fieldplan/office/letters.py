"""Letters that are due: what renters are to be told in writing and were not told yet, by the entries of the season.

A letter that was made is an entry "letter". It is not made again, until what it told is not so any more; if its entry is struck,
it is due again.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from fieldplan.model.letters import LETTER_KINDS, AboutBill, Letter, LetterKind, Mail, NotWritten
from fieldplan.model.records import Fresh
from fieldplan.office.bill_letters import BillLetters, late_at_once
from fieldplan.office.booking_letters import BookingLetters
from fieldplan.office.mail_room import MailRoom
from fieldplan.office.offer_letters import OfferLetters
from fieldplan.office.office import Office
from fieldplan.records.reading import days_text
from fieldplan.season.durations import Progress


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
    "cancellation" when a booking that a letter told of was cancelled, and its days are not over; "offer" to the first of the
    waiting list for each span of freed days, one at a time to each renter; "pick-up" some days before the first day;
    "invoice" when all drills are back, and again when a meter or a day was corrected since; "payment" when the invoice is
    overdue, and again when as many days went by as the card gives; "season-end" after the last day of the season, one for
    each renter who had a drill.

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
    room = MailRoom(office=office, day=day)
    bills = BillLetters(room=room)
    found: list[Letter | NotWritten] = []
    if not {"confirmation", "moved", "cancellation", "pick-up"}.isdisjoint(kinds):
        found += BookingLetters(room=room, ahead_days=ahead_days).due()
    if "offer" in kinds:
        found += OfferLetters(room=room, progress=progress).due()
    if not {"invoice", "payment"}.isdisjoint(kinds):
        found += bills.due(with_invoices="invoice" in kinds)
    if "season-end" in kinds:
        found += bills.season_ends()
    order = {kind: n for n, kind in enumerate(LETTER_KINDS)}
    wanted = [one for one in found if one.kind in kinds and (not only or _request_of(one) in only)]
    wanted.sort(key=lambda one: order[one.kind])
    return Mail(
        letters=tuple(one for one in wanted if isinstance(one, Letter)),
        not_written=tuple(one for one in wanted if isinstance(one, NotWritten)),
        doubts=tuple(
            doubt
            for one in wanted
            if isinstance(one, Letter)
            and one.kind == "invoice"
            and isinstance(one.about, AboutBill)
            and (doubt := late_at_once(one.about.bill, one.about.earlier)) is not None
        ),
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
