"""Letters that offer days which are free again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fieldplan.facts import fact
from fieldplan.model.letters import AboutOffer, NotWritten
from fieldplan.model.records import Entry
from fieldplan.model.standing import DrillDay, Freed, Offer
from fieldplan.office.mail_room import Found, MailRoom
from fieldplan.season.durations import Progress
from fieldplan.season.waiting_list import waiting_list

_ANSWERS = ("confirm", "decline", "withdraw")
"""Kinds of entries that answer an offer."""


@dataclass(frozen=True, kw_only=True)
class OfferLetters:
    """To the first of the waiting list for each span of freed days, but not to whoever said no to some of them. Nobody else is
    asked before the answer, nobody is asked about two spans at once, and no day is offered to two renters.

    Parameters
    ----------
    progress
        Wraps the requests while the days of offers are counted.
    """

    room: MailRoom
    progress: Progress

    def due(self) -> Found:
        """A letter to each renter who is first in line, the span that was freed first before others."""
        asked: set[str] = set()
        offered: set[DrillDay] = set()
        for letter in self._unanswered():
            asked.add(letter.request)
            offered |= _days_of(letter)
            why = fact("letter-offer-open", on_typed_day=letter.day)
            yield NotWritten(kind="offer", request_id=letter.request, why=why)
        for offer in self._firsts():
            name, days = offer.request.request_id, {(offer.freed.drill, day) for day in offer.days}
            if name not in asked and days.isdisjoint(offered):
                yield self.room.letter("offer", offer.request, AboutOffer(offer=offer))
            elif not days <= offered:
                why = fact("letter-offer-waits", drill=offer.freed.drill, first_typed_day=offer.days[0])
                yield NotWritten(kind="offer", request_id=name, why=why)
            asked.add(name)
            offered |= days

    def _unanswered(self) -> Iterator[Entry]:
        """The last offer that was made to each renter, if it has no answer and its days are still free."""
        room, bookings = self.room, self.room.office.standing.bookings
        for name in room.requests:
            letters = [
                entry for entry in room.sent(name, "offer") if {"drill", "days"} <= entry.facts.keys()
            ]
            if not letters or letters[-1].facts["days"][0] < room.day:
                continue
            taken = {
                (booked.drill, day)
                for other, booked in bookings.items()
                if other != name
                for day in booked.days
            }
            answered = any(
                entry.number > letters[-1].number
                for entry in room.entries
                if entry.request == name and entry.kind in _ANSWERS
            )
            if not answered and taken.isdisjoint(_days_of(letters[-1])):
                yield letters[-1]

    def _firsts(self) -> list[Offer]:
        """The first offer of each freed span."""
        office = self.room.office
        firsts: dict[Freed, Offer] = {}
        for offer in waiting_list(
            office.program, office.requests, office.standing, self.room.day, self.progress
        ):
            if not self._said_no(offer):
                firsts.setdefault(offer.freed, offer)
        return list(firsts.values())

    def _said_no(self, offer: Offer) -> bool:
        return any(
            (name, drill) == (offer.request.request_id, offer.freed.drill) and first in offer.freed.days
            for name, drill, first in self.room.office.standing.declined
        )


def _days_of(letter: Entry) -> set[DrillDay]:
    """The days that a letter offered."""
    drill = str(letter.facts["drill"])
    return {(drill, day) for day in letter.facts["days"]}
